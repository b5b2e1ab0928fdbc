"""Learning against the same rule of Bayes, integrated finely and with closed forms where there are.

In air of 23 °C and 50 % the temperature's effect plays no part, and the prior of a finish in a
room is a mixture of two normals. What is left over is the program's grid of 0.02.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from finplan.air.series import constant
from finplan.drying.bands import BOOK_QUANTILE, normal_quantile, prior
from finplan.drying.clock import clock_for
from finplan.drying.learning import Observation, learn
from finplan.drying.normal import normal_below
from finplan.trade.finishes import Stage
from tests.finishes_for_tests import make

FINISH = make()
SHED, ATTIC = (FINISH.name, "shed"), (FINISH.name, "attic")
CLOCK = clock_for(FINISH, constant(23, 50))
DAY_S = 86400.0
END_S = 1_790_000_000.0
LIKELY_S = math.sqrt(12 * 24) * 3600.0

SIGMA = prior(FINISH).sigma
COAT = min(0.15, math.sqrt(0.5) * SIGMA)
ROOM = math.sqrt(0.4 * (SIGMA**2 - COAT**2))
OWN = math.sqrt(0.6 * (SIGMA**2 - COAT**2))
FINE = np.linspace(-4.0, 4.0, 8001)


def normal(values, sigma):
    return np.exp(-0.5 * (values / sigma) ** 2) / sigma


def cdf(values):
    return np.vectorize(lambda z: 0.5 * math.erfc(-z / math.sqrt(2.0)))(values)


def chance(times, reached, weight):
    """Of one check of one coat, for each logarithm of finish and room together."""
    below = cdf((math.log(times) - FINE) / COAT)
    return (0.97 * (below if reached else 1.0 - below) + 0.03 * 0.5) ** weight


def prior_of(room):
    """Of finish and room together: a bell, and 8 % in one 2.5 times as wide."""
    narrow = normal(FINE, math.hypot(OWN, room))
    return 0.92 * narrow + 0.08 * normal(FINE, math.hypot(2.5 * OWN, room))


def next_coat(weights):
    """Median and 80 % quantile of the next coat's logarithm."""
    at = np.linspace(-3.0, 3.0, 1201)
    below = np.array([weights @ cdf((one - FINE[::8]) / COAT) for one in at]) / weights.sum()
    return np.interp(0.5, below, at), np.interp(BOOK_QUANTILE, below, at)


@pytest.mark.parametrize(
    ("times", "reached", "age_days"), [(0.7, True, 0.0), (1.5, False, 0.0), (1.5, False, 365.0)]
)
def test_one_check(times, reached, age_days):
    at_s = END_S + times * LIKELY_S
    seen = Observation(*SHED, END_S, Stage.DRY_TO_RECOAT, at_s, reached)
    band = learn([seen], {SHED: CLOCK}, at_s + age_days * DAY_S)[SHED].band
    weights = (prior_of(ROOM) * chance(times, reached, 0.5 ** (age_days / 730.0)))[::8]
    middle, safe = next_coat(weights)
    assert math.log(band.median) == pytest.approx(middle, abs=0.004)
    assert band.sigma * normal_quantile(BOOK_QUANTILE) == pytest.approx(safe - middle, abs=0.004)


def test_a_check_in_another_room_tells_of_the_finish_alone():
    at_s = END_S + 2.0 * LIKELY_S
    seen = Observation(*SHED, END_S, Stage.DRY_TO_RECOAT, at_s, False)
    band = learn([seen], {SHED: CLOCK, ATTIC: CLOCK}, at_s)[ATTIC].band
    told = chance(2.0, False, 1.0)
    step = FINE[1] - FINE[0]
    bell = normal(np.arange(-1.5, 1.5 + step / 2, step), ROOM)
    finish = (prior_of(0.0)) * np.convolve(told, bell / bell.sum(), mode="same")
    both = np.convolve(finish, bell / bell.sum(), mode="same")[::8]
    middle, safe = next_coat(both)
    assert math.log(band.median) == pytest.approx(middle, abs=0.004)
    assert band.sigma * normal_quantile(BOOK_QUANTILE) == pytest.approx(safe - middle, abs=0.004)


def test_the_normal_distribution():
    z = np.array([-40.0, -6.0, -1.3, -1e-3, 0.0, 0.4, 2.2, 8.0, math.inf, -math.inf])
    exact = [NormalDist().cdf(one) for one in z.tolist()]
    assert normal_below(z) == pytest.approx(exact, abs=1e-7)
