"""The pace of each chemistry, and what a thicker film does to it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finplan.drying import film
from finplan.drying.bands import Band, prior, stage_band
from finplan.drying.rates import activation_energy_kj, pace, pace_without_stops, rate
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Stage
from tests.finishes_for_tests import make, span

T = np.array([5.0, 15.0, 23.0, 30.0])
DRY, DAMP = np.full(4, 50.0), np.full(4, 85.0)
CURING = [c for c in Chemistry if c is not Chemistry.NON_CURING]


@pytest.mark.parametrize("chemistry", Chemistry)
def test_every_chemistry_runs_at_1_at_reference(chemistry):
    found = pace(make(chemistry), np.array([23.0]), np.array([50.0]))
    assert (found.log_time[0], found.tilt[0], found.spread[0]) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("chemistry", CURING)
def test_doubt_grows_with_the_distance_from_reference(chemistry):
    tilt = pace(make(chemistry), T, DRY).tilt
    assert tilt[0] > tilt[1] > tilt[2] == 0.0 > tilt[3]


def test_damp_slows_oil_and_water_but_not_solvent_or_hardener():
    slower = {
        chemistry: float((rate(make(chemistry), T, DAMP) / rate(make(chemistry), T, DRY)).max())
        for chemistry in Chemistry
    }
    assert slower[Chemistry.OXIDATIVE] == pytest.approx(1 / 1.5)
    assert slower[Chemistry.WATERBORNE] == pytest.approx(0.3)
    assert slower[Chemistry.SOLVENT] == slower[Chemistry.TWO_COMPONENT] == 1.0
    assert slower[Chemistry.NON_CURING] == 1.0


def test_nothing_dries_below_the_refusal_temperature_but_wax_does_not_care():
    cold = np.array([4.99, 5.0])
    fifty = np.full(2, 50.0)
    for chemistry in CURING:
        assert rate(make(chemistry), cold, fifty)[0] == 0.0
        assert rate(make(chemistry), cold, fifty)[1] > 0.0
        assert np.isfinite(pace_without_stops(make(chemistry), cold, fifty).log_time).all()
    assert rate(make(Chemistry.NON_CURING), cold, fifty).tolist() == [1.0, 1.0]


def test_hot_dry_air_speeds_water_only_so_far():
    finish = make(Chemistry.WATERBORNE)
    assert rate(finish, np.array([38.0]), np.array([10.0]))[0] == pytest.approx(2.5)


def test_a_finish_may_have_an_activation_energy_of_its_own():
    assert activation_energy_kj(make())[0] == 60.0
    wide = activation_energy_kj(make(activation_energy_kj_per_mol=span(50, 72)))
    assert wide == (pytest.approx(60.0), pytest.approx(6.687, abs=0.001))
    exact = make(activation_energy_kj_per_mol=span(66, 66))
    assert activation_energy_kj(exact) == (66.0, activation_energy_kj(make())[1])
    assert rate(exact, T, DRY)[0] == 0 or rate(exact, T, DRY)[0] < rate(make(), T, DRY)[0]


@pytest.mark.parametrize(
    ("share", "multiplier"), [(1, 1), (2, 2**1.5), (0.5, 0.5**1.5), (100, 8), (0.001, 0.125)]
)
def test_thick_and_thin_films(share, multiplier):
    assert film.time_multiplier(share) == pytest.approx(multiplier)


def test_a_film_of_nothing_is_refused():
    for share in (0.0, -1.0, math.nan):
        with pytest.raises(BadInput, match="above zero"):
            film.time_multiplier(share)


def test_the_band_of_a_finish_comes_from_its_first_stated_range():
    assert prior(make()).sigma == stage_band(make(), Stage.DRY_TO_RECOAT).sigma
    only_touch = make(stages={Stage.SET_TO_TOUCH: span(1, 4)})
    assert prior(only_touch).sigma == stage_band(only_touch, Stage.SET_TO_TOUCH).sigma
    nothing = make(Chemistry.SOLVENT, stages={})
    assert prior(nothing) == Band(1.0, 0.25)
    never = make(stages={Stage.FULL_CURE: span(10, math.inf)})
    assert stage_band(never, Stage.FULL_CURE) is None


def test_a_range_from_zero_keeps_its_upper_end():
    band = stage_band(make(stages={Stage.SET_TO_TOUCH: span(0, 2)}), Stage.SET_TO_TOUCH)
    assert band.median < 2.0 and band.sigma == 0.35
