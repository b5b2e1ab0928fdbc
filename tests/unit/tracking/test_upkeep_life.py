"""How long a finish lasts, from what was seen, and when its coat is best renewed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finplan.tracking.upkeep.life import (
    COAT_SPREAD,
    Bounds,
    Look,
    accepted_chance,
    bounds_of,
    chance_gone,
    learn,
    price_months,
    renewal_age,
)
from finplan.tracking.upkeep.pieces import Finding
from tests.unit.tracking.bench_in_use import YEAR

PRICE = price_months(YEAR)


def median_months(belief):
    """The middle of the lives believed in."""
    return math.exp(belief.log_medians @ belief.weights)


def test_what_drops_do_bounds_the_life():
    assert bounds_of([Look(6.0, (Finding.BEADS,))]) == Bounds(8.0, math.inf)
    assert bounds_of([Look(6.0, (Finding.BEADS,)), Look(9.0, (Finding.SLOW,))]) == Bounds(9.0, 12.0)
    assert bounds_of([Look(9.0, (Finding.SLOW,)), Look(11.0, (Finding.GREYING,))]) == Bounds(
        9.0, 11.0
    )
    assert bounds_of([Look(4.0, (Finding.MILDEW,))]) == Bounds()


def test_a_later_look_outweighs_an_earlier_one():
    looks = [Look(5.0, (Finding.BARE,)), Look(8.0, (Finding.BEADS,))]
    assert bounds_of(looks).longer_than == pytest.approx(8.0 / 0.75)


def test_without_any_look_the_default_stands():
    belief = learn(YEAR, [])
    assert median_months(belief) == pytest.approx(12.0, rel=1e-9)
    log_ages, gone = chance_gone(belief, Bounds())
    assert np.exp(np.interp(0.5, gone, log_ages)) == pytest.approx(12.0, rel=0.01)


def test_lives_that_end_early_pull_the_median_down_and_late_ones_up():
    early = learn(YEAR, [Bounds(5.0, 7.0)] * 3)
    late = learn(YEAR, [Bounds(16.0, 20.0)] * 3)
    assert median_months(early) < 7.8
    assert median_months(late) > 15.5
    assert median_months(learn(YEAR, [Bounds()] * 5)) == pytest.approx(12.0)


def test_the_standing_coat_is_gone_inside_its_bounds():
    belief = learn(YEAR, [])
    log_ages, gone = chance_gone(belief, Bounds(9.0, 12.0))
    ages = np.exp(log_ages)
    assert gone[ages <= 9.0] == pytest.approx(0.0, abs=1e-6)
    assert gone[ages >= 12.0] == pytest.approx(1.0, abs=1e-6)
    assert np.all(np.diff(gone) >= 0.0)
    assert 9.0 <= renewal_age(belief, Bounds(9.0, 12.0), PRICE) <= 12.0
    assert renewal_age(belief, Bounds(2000.0), PRICE) == 2000.0


def test_what_is_accepted_makes_lateness_and_renewals_cost_least():
    """Beside the formula: a life of known median, drawn 200,000 times, renewed at every age."""
    lives = 12.0 * np.exp(COAT_SPREAD.value * np.random.default_rng(7).standard_normal(200_000))
    ages = np.linspace(7.0, 14.0, 141)
    for price in (1.5, 3.0, 5.0):
        cost = [(price + np.maximum(0.0, age - lives).mean()) / age for age in ages]
        best = ages[int(np.argmin(cost))]
        accepted = accepted_chance(np.array([12.0]), price)[0]
        assert np.mean(lives <= best) == pytest.approx(accepted, abs=0.02)
        assert min(cost) == pytest.approx(accepted, abs=0.005)


@pytest.mark.parametrize("seen", [Bounds(), Bounds(9.0), Bounds(9.0, 14.0)])
def test_the_renewal_falls_where_the_chance_of_being_gone_is_what_is_accepted(seen):
    """Against sums with the error function, without the tables the code looks it up in."""
    belief = learn(YEAR, [Bounds(8.0, 15.0)])

    def gone_by(months):
        if not 0.0 < months < math.inf:
            return np.full_like(belief.weights, float(months > 0.0))
        z = (math.log(months) - belief.log_medians) / COAT_SPREAD.value
        return np.array([0.5 * math.erfc(-one / math.sqrt(2.0)) for one in z])

    alive = gone_by(seen.at_most) - gone_by(seen.longer_than)
    accepted = accepted_chance(np.exp(belief.log_medians), PRICE)
    age = renewal_age(belief, seen, PRICE)
    gone = belief.weights @ (gone_by(age) - gone_by(seen.longer_than))
    wanted = (belief.weights * alive) @ accepted
    assert gone / (belief.weights @ alive) == pytest.approx(
        wanted / (belief.weights @ alive), abs=0.002
    )


def test_the_longer_a_piece_lasts_the_smaller_the_chance_its_coats_are_renewed_at():
    def chance_at_renewal(lives):
        belief = learn(YEAR, [lives] * 4)
        log_ages, gone = chance_gone(belief, Bounds())
        return np.interp(np.log(renewal_age(belief, Bounds(), PRICE)), log_ages, gone)

    long, usual, short = (chance_at_renewal(Bounds(low, 1.3 * low)) for low in (17.0, 11.0, 7.0))
    assert long < usual < short
    assert long < 0.25 and short > 0.4
