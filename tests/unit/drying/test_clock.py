"""The drying clock in air that is constant, steps, stalls and ends."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest

from finplan.air.climate import normals_series
from finplan.air.series import AirSeries, constant
from finplan.drying.bands import Band
from finplan.drying.clock import clock_for
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Stage
from finplan.trade.workshop import MonthlyNormals
from tests.finishes_for_tests import make, number, span

START = 1_790_000_000.0
HOUR = 3600.0
RECOAT = Stage.DRY_TO_RECOAT


def stepped(temperatures: list[float], step_h: float = 12.0, humidity: float = 50.0) -> AirSeries:
    n = len(temperatures)
    return AirSeries(
        START + np.arange(n) * step_h * HOUR,
        np.array(temperatures, dtype=float),
        np.full(n, humidity),
        np.zeros(n, dtype=np.uint8),
    )


def test_at_reference_the_safe_time_is_the_upper_end_exactly():
    clock = clock_for(make(), constant(23, 50))
    assert clock.ready(START, RECOAT) - START == 24 * HOUR


def test_the_fourth_coat_of_a_daily_oil_goes_on_72_hours_after_the_first():
    clock = clock_for(make(), constant(23, 50))
    end = START
    for _ in range(3):
        end = clock.ready(end, RECOAT)
    assert end - START == 72 * HOUR


def test_in_a_cold_shed_the_fourth_coat_comes_later():
    clock = clock_for(make(), constant(9, 50))
    assert clock.ready(START, RECOAT) - START > 72 * HOUR


def test_likely_is_the_geometric_middle():
    clock = clock_for(make(), constant(23, 50))
    hours = (clock.likely(START, RECOAT) - START) / HOUR
    assert hours == pytest.approx(math.sqrt(12 * 24), abs=1e-6)


def test_a_single_stated_time_is_the_safe_one_and_likely_lies_below():
    finish = make(stages={RECOAT: span(24, 24)})
    clock = clock_for(finish, constant(23, 50))
    assert clock.ready(START, RECOAT) - START == 24 * HOUR
    assert clock.likely(START, RECOAT) < clock.ready(START, RECOAT)


def test_the_window_counts_as_stated_at_reference():
    clock = clock_for(make(), constant(23, 50))
    assert clock.window_closes(START) - START == 168 * HOUR


def test_the_window_of_a_careful_person_closes_earlier():
    bold = clock_for(make(), constant(15, 50), quantile=0.5)
    careful = clock_for(make(), constant(15, 50), quantile=0.95)
    assert careful.window_closes(START) < bold.window_closes(START)
    assert careful.ready(START, RECOAT) > bold.ready(START, RECOAT)


def test_the_window_goes_on_closing_where_the_cold_stops_the_drying():
    clock = clock_for(make(), constant(3, 50))
    assert clock.ready(START, RECOAT) == math.inf
    assert START + 168 * HOUR < clock.window_closes(START) < math.inf


def test_no_window_never_closes():
    finish = make(window_closes_hours=None)
    assert clock_for(finish, constant(23, 50)).window_closes(START) == math.inf


def test_an_unstated_stage_is_never_reached():
    finish = make(Chemistry.NON_CURING, stages={RECOAT: span(4, 24)})
    clock = clock_for(finish, constant(23, 50))
    assert clock.ready(START, Stage.FULL_CURE) == math.inf
    assert np.all(np.isinf(clock.likely(np.array([START, START + 1]), Stage.FULL_CURE)))


def test_a_stall_stops_the_clock_and_warmth_resumes_it():
    # 12 h at 23 °C, 24 h below the refusal temperature, then warm again.
    clock = clock_for(make(), stepped([23, 4, 4, 23]))
    assert clock.ready(START, RECOAT) - START == 48 * HOUR


def test_a_stage_reached_just_as_the_stall_begins_is_not_put_off():
    finish = make(stages={RECOAT: span(6, 12)})
    clock = clock_for(finish, stepped([23, 4, 4, 23]))
    assert clock.ready(START, RECOAT) - START == 12 * HOUR
    assert clock.ready(np.array([START]), RECOAT)[0] - START == 12 * HOUR


def test_cold_for_good_is_never():
    clock = clock_for(make(), stepped([23, 4]))
    assert clock.ready(START, RECOAT) == math.inf
    assert clock.likely(START, Stage.SET_TO_TOUCH) < math.inf


def test_the_last_air_holds_beyond_the_end():
    clock = clock_for(make(), stepped([23, 23]))
    assert clock.ready(START + 1000 * HOUR, RECOAT) == START + 1024 * HOUR


def test_coats_before_the_first_air_take_its_value():
    clock = clock_for(make(), stepped([23, 23]))
    assert clock.ready(START - 100 * HOUR, RECOAT) == START - 76 * HOUR


def test_one_by_one_and_all_at_once_agree():
    rng = np.random.default_rng(3)
    air = stepped(list(rng.uniform(2, 30, 200)), step_h=1.0)
    clock = clock_for(make(), air)
    ends = START + np.sort(rng.uniform(-10, 260, 300)) * HOUR
    for ask in (lambda e: clock.ready(e, RECOAT), lambda e: clock.likely(e, RECOAT)):
        assert ask(ends).tolist() == [ask(float(e)) for e in ends]
    assert clock.window_closes(ends).tolist() == [clock.window_closes(float(e)) for e in ends]


def test_a_slower_shop_waits_in_proportion():
    finish = make()
    slow = clock_for(
        finish, constant(23, 50), Band(1.3, clock_for(finish, constant(23, 50)).belief.sigma)
    )
    assert slow.ready(START, RECOAT) - START == pytest.approx(24 * 1.3 * HOUR, abs=0.01)


def test_knowing_more_brings_safe_nearer_to_likely():
    clock = clock_for(make(), constant(23, 50), Band(1.0, 0.1))
    assert clock.likely(START, RECOAT) < clock.ready(START, RECOAT) < START + 20 * HOUR


def test_the_band_widens_away_from_reference():
    def width(celsius: float) -> float:
        clock = clock_for(make(), constant(celsius, 50))
        return (clock.ready(START, RECOAT) - START) / (clock.likely(START, RECOAT) - START)

    assert width(8) > width(15) > width(23) < width(31)


def test_progress_runs_from_nothing_to_done():
    clock = clock_for(make(), constant(23, 50))
    half = clock.progress(START, START + 12 * HOUR)
    assert half.safe_share == pytest.approx(0.5)
    assert half.likely_share == pytest.approx(12 / math.sqrt(288))
    assert half.safe_stage is Stage.TACK_FREE
    assert half.likely_stage is Stage.DRY_TO_HANDLE
    before = clock.progress(START, START - HOUR)
    assert (before.safe_share, before.safe_stage) == (0.0, None)
    assert clock.progress(START, START + 400 * HOUR).safe_stage is Stage.FULL_CURE


def test_a_thick_film_takes_longer():
    thick = clock_for(make(), constant(23, 50), film_multiplier=2.0)
    assert thick.ready(START, RECOAT) - START == 48 * HOUR


def test_a_waterborne_film_never_dries_in_saturated_air():
    finish = make(Chemistry.WATERBORNE, refuse_below_c=number(10))
    clock = clock_for(finish, constant(20, 100))
    assert clock.ready(START, RECOAT) == math.inf
    assert clock.window_closes(START) == math.inf


@pytest.mark.parametrize("day", [(2026, 3, 29), (2026, 10, 25)])
def test_hours_are_elapsed_hours_across_a_clock_change(day):
    steady = MonthlyNormals((23.0,) * 12, (0.0,) * 12, (50.0,) * 12, "invented for tests")
    midnight = dt.datetime(*day, tzinfo=dt.UTC).timestamp()
    air = normals_series(steady, "Europe/Oslo", midnight - 48 * HOUR, midnight + 96 * HOUR)
    clock = clock_for(make(), air)
    for hours in (-30, -3.25, 0.5, 1.0, 2.0):
        end = midnight + hours * HOUR
        assert clock.ready(end, RECOAT) - end == pytest.approx(24 * HOUR, abs=0.01)


@pytest.mark.parametrize("quantile", [0.2, 1.0, -1.0, math.nan])
def test_a_senseless_quantile_is_refused(quantile):
    with pytest.raises(BadInput, match="quantile"):
        clock_for(make(), constant(23, 50), quantile=quantile)


def test_where_nothing_dries_only_what_needs_no_time_is_ready():
    finish = make(stages={RECOAT: span(12, 24), Stage.SET_TO_TOUCH: span(0, 0)})
    clock = clock_for(finish, constant(3, 50))
    ends = np.array([START, START + HOUR])
    assert clock.ready(ends, RECOAT).tolist() == [math.inf, math.inf]
    assert clock.ready(ends, Stage.SET_TO_TOUCH).tolist() == ends.tolist()
    assert clock.ready(START, Stage.SET_TO_TOUCH) == START
    reached = clock.progress(START, START + HOUR, Stage.SET_TO_TOUCH)
    assert (reached.likely_share, reached.safe_share) == (1.0, 1.0)
    assert clock.progress(START, START + HOUR, RECOAT).safe_share == 0.0


def test_a_stall_ends_for_many_coats_as_for_one():
    clock = clock_for(make(), stepped([20, 2, 2, 14, 3, 20]))
    ends = START + HOUR * np.arange(0.0, 60.0, 3.0)
    one_by_one = [clock.ready(float(end), RECOAT) for end in ends]
    assert clock.ready(ends, RECOAT).tolist() == one_by_one


def test_a_thick_film_is_as_far_as_its_own_longer_time_says():
    thick = clock_for(make(), constant(23, 50), film_multiplier=2.0)
    likely = math.sqrt(12 * 24) * HOUR
    times, _, _ = thick.times_the_book(START, START + likely, RECOAT)
    assert times == pytest.approx(0.5)
