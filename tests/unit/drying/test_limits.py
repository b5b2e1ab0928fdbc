"""Limits, advice and what spoils a coat."""

from __future__ import annotations

import numpy as np
import pytest

from finplan.air.series import AirSeries, constant
from finplan.air.sorption import emc_percent
from finplan.drying.advice import Verdict, advice
from finplan.drying.clock import clock_for
from finplan.drying.limits import Limit, broken_limits, coldest_ahead_c, conditions_at, may_coat
from finplan.drying.spoiling import Cause, spoiling
from finplan.drying.wood_temperature import board_c, time_constant_hours
from finplan.trade.finishes import Chemistry, Stage
from tests.finishes_for_tests import make, number, span

START = 1_790_000_000.0
HOUR = 3600.0
WATERBORNE = make(
    Chemistry.WATERBORNE,
    coldest_c=number(10),
    refuse_below_c=number(10),
    dampest_wood_percent=None,
)


def hourly(temperatures, humidity=50.0) -> AirSeries:
    n = len(temperatures)
    return AirSeries(
        START + np.arange(n) * HOUR,
        np.array(temperatures, dtype=float),
        np.broadcast_to(np.asarray(humidity, dtype=float), (n,)).copy(),
        np.zeros(n, dtype=np.uint8),
    )


def broken(finish, air, hours=0.0, **more):
    now = conditions_at(air, np.array([START + hours * HOUR]), **more)
    return {limit for limit, found in broken_limits(finish, now).items() if found[0]}


@pytest.mark.parametrize(
    ("celsius", "percent", "limits"),
    [
        (20, 50, set()),
        (4, 50, {Limit.TOO_COLD}),
        (5, 50, set()),
        (35, 40, {Limit.TOO_WARM}),
        (32, 40, set()),
        (20, 80, set()),
        (20, 81, {Limit.DAMP_AIR}),
        (20, 84, {Limit.DAMP_AIR, Limit.DEW}),
    ],
)
def test_which_limit_is_broken(celsius, percent, limits):
    assert broken(make(dampest_wood_percent=None), constant(celsius, percent)) == limits


def test_what_lies_on_a_limit_is_within_it():
    assert broken(WATERBORNE, constant(10, 50)) == set()
    assert broken(make(), constant(20, 50), wood_percent=15.0) == set()
    assert broken(make(), constant(20, 50), wood_percent=15.1) == {Limit.DAMP_WOOD}


def test_damp_wood_is_found_from_the_air_and_a_meter_overrules_it():
    damp = constant(10, 79)  # the wood comes to about 16 %
    assert broken(make(), damp) == {Limit.DAMP_WOOD}
    assert broken(make(), damp, wood_percent=11.0) == set()
    assert broken(make(), constant(20, 50), wood_percent=22.0) == {Limit.DAMP_WOOD}


def test_a_cold_night_ahead_forbids_only_what_must_close_its_film():
    air = hourly([18] * 12 + [8] * 6 + [18] * 40)
    assert broken(WATERBORNE, air) == {Limit.TOO_COLD_AHEAD}
    assert broken(make(), air) == set()
    assert broken(WATERBORNE, air, hours=22) == set()


def test_the_coldest_ahead_looks_at_the_whole_stretch_and_no_further():
    air = hourly([10, 9, 8, 7, 6, 5, 4, 3])
    ahead = coldest_ahead_c(
        air, np.array([START, START + 1800, START + 5 * HOUR, START + 99 * HOUR]), 3.0
    )
    assert ahead.tolist() == [8, 7, 3, 3]
    assert coldest_ahead_c(air, np.zeros(0), 3.0).size == 0


def test_a_board_lags_behind_warming_air_and_sweats():
    cold_then_mild = hourly([5] * 24 + [14] * 24, [70] * 24 + [75] * 24)
    finish = make(dampest_wood_percent=None)
    assert broken(finish, cold_then_mild, hours=24) == {Limit.DEW}
    assert broken(finish, cold_then_mild, hours=40) == set()


def test_a_board_nears_the_air_with_its_time_constant():
    lag = time_constant_hours(40.0)
    assert time_constant_hours(20.0) == pytest.approx(lag / 2)
    assert time_constant_hours(20.0, airy_faces=1) == pytest.approx(lag)
    air = AirSeries(
        START + np.array([0.0, lag, 2 * lag]) * HOUR,
        np.array([20.0, 20.0, 20.0]),
        np.full(3, 50.0),
        np.zeros(3, dtype=np.uint8),
    )
    board = board_c(air, 40.0, begin_c=10.0)
    assert board == pytest.approx([10, 20 - 10 / np.e, 20 - 10 / np.e**2])


def coarse(values_c, percents, hours):
    """Steps as coarse as the air changes, the last one for good."""
    return AirSeries(
        START + np.array(hours) * HOUR,
        np.array(values_c, dtype=float),
        np.array(percents, dtype=float),
        np.zeros(len(hours), dtype=np.uint8),
    )


def test_wood_goes_on_nearing_the_air_within_a_long_step_and_after_the_last():
    steps = coarse([20.0, 5.0], [40.0, 85.0], [0, 400])
    fine = hourly([20.0] * 400 + [5.0] * 700, [40.0] * 400 + [85.0] * 700)
    asked = START + np.arange(0.0, 1000.0, 7.25) * HOUR
    here, there = conditions_at(steps, asked), conditions_at(fine, asked)
    assert here.wood_percent == pytest.approx(there.wood_percent)
    assert here.surface_c == pytest.approx(there.surface_c)
    assert here.margin_c == pytest.approx(there.margin_c)
    soon, late = conditions_at(steps, START + np.array([401.0, 900.0]) * HOUR).wood_percent
    assert soon < 9.0
    assert late == pytest.approx(emc_percent(5.0, 85.0), abs=0.01)


def test_the_outer_wood_takes_its_two_days_for_most_of_the_way():
    steps = coarse([20.0, 20.0], [40.0, 80.0], [0, 400])
    begin, end = emc_percent(20.0, 40.0), emc_percent(20.0, 80.0)
    (after_two_days,) = conditions_at(steps, START + np.array([448.0]) * HOUR).wood_percent
    assert after_two_days == pytest.approx(end + (begin - end) / np.e)


def test_before_the_first_step_the_wood_is_as_at_it():
    steps = coarse([20.0, 5.0], [40.0, 85.0], [0, 400])
    early, first = conditions_at(steps, START + np.array([-99.0, 0.0]) * HOUR).wood_percent
    assert early == first


def test_may_coat_is_the_absence_of_every_limit():
    rng = np.random.default_rng(1)
    air = hourly(rng.uniform(0, 38, 300), rng.uniform(30, 98, 300))
    at_s = START + np.arange(0, 300, 0.5) * HOUR
    for finish in (make(), WATERBORNE, make(Chemistry.NON_CURING)):
        each = [not broken(finish, air, hours=h) for h in np.arange(0, 300, 0.5)]
        assert may_coat(finish, air, at_s).tolist() == each


def test_go():
    told = advice(make(), constant(20, 50), START)
    assert told.verdict is Verdict.GO
    assert told.reasons == () and told.cautions == ()
    assert (told.good_hours[0].start_s, told.good_hours[0].end_s) == (START, START + 72 * HOUR)


def test_wait_says_why_and_when():
    air = hourly([3] * 10 + [15] * 90)
    told = advice(make(), air, START)
    assert told.verdict is Verdict.WAIT
    assert "at 3 °C it is too cold: Test finish needs 5 °C" in told.reasons[0].sentence
    assert told.reasons[0].source == "invented for tests"
    assert START + 10 * HOUR <= told.good_hours[0].start_s <= START + 12 * HOUR


def test_no_when_nothing_good_lies_ahead():
    told = advice(make(), constant(2, 90), START)
    assert told.verdict is Verdict.NO
    assert told.good_hours == ()
    assert {reason.limit for reason in told.reasons} == {
        Limit.TOO_COLD, Limit.DEW, Limit.DAMP_AIR, Limit.DAMP_WOOD,
    }  # fmt: skip
    assert all(reason.source and reason.sentence for reason in told.reasons)


def test_cold_now_is_not_told_a_second_time_as_cold_to_come():
    told = advice(WATERBORNE, constant(7, 50), START)
    assert [reason.limit for reason in told.reasons] == [Limit.TOO_COLD]


def test_every_limit_has_its_sentence():
    cases = {
        Limit.TOO_WARM: (make(), constant(36, 30), "up to 32 °C"),
        Limit.TOO_COLD_AHEAD: (WATERBORNE, hourly([15, 7]), "falls to 7 °C within 24 hours"),
        Limit.DEW: (make(), constant(20, 84), "above the dew point of 17.2 °C: it takes 3 °C"),
        Limit.DAMP_AIR: (make(), constant(20, 84), "84 % humidity: this finish goes on up to 80 %"),
    }
    for limit, (finish, air, words) in cases.items():
        found = [r for r in advice(finish, air, START).reasons if r.limit is limit]
        assert len(found) == 1 and words in found[0].sentence, limit


def test_cautions_do_not_forbid():
    cool = advice(make(), constant(8, 50), START)
    assert cool.verdict is Verdict.GO and "below 10 °C" in cool.cautions[0].sentence
    night = advice(make(), hourly([12, 12, 2]), START)
    assert any("drying stands still" in caution.sentence for caution in night.cautions)
    dry = advice(WATERBORNE, constant(24, 20), START)
    assert any("levelled" in caution.sentence for caution in dry.cautions)


def test_pot_life_is_told_for_the_air_there_is():
    mixed = make(Chemistry.TWO_COMPONENT, pot_life_hours=number(4))
    told = {t: advice(mixed, constant(t, 50), START).cautions[-1].sentence for t in (13, 23, 31)}
    assert "about 4.0 h at 23 °C" in told[23]
    assert "about 8.1 h at 13 °C" in told[13]
    assert "about 2.3 h at 31 °C" in told[31]


def test_cold_before_a_waterborne_film_has_formed_spoils_it():
    air = hourly([15, 15, 15, 8, 8, 15, 15, 15])
    found = spoiling(clock_for(WATERBORNE, air), START + HOUR / 2)
    assert [(s.cause, s.at_s) for s in found] == [(Cause.COLD, START + 3 * HOUR)]
    assert "10 °C" in found[0].sentence and found[0].source


def test_cold_after_the_film_has_formed_does_not():
    air = hourly([23] * 20 + [8] * 5)
    assert spoiling(clock_for(WATERBORNE, air), START) == ()


def test_dew_on_a_wet_film_is_told_with_its_hour():
    air = hourly([12] * 5 + [3] * 6 + [14] * 20, [60] * 5 + [90] * 6 + [95] * 20)
    found = spoiling(clock_for(make(), air), START)
    assert [(s.cause, s.at_s) for s in found] == [(Cause.DEW, START + 11 * HOUR)]


def test_an_oil_that_only_stalls_is_not_spoiled():
    assert spoiling(clock_for(make(), hourly([12, 3, 3, 12])), START) == ()


def test_a_coat_before_the_air_is_known_is_wet_in_its_first_hour():
    air = hourly([4, 12, 12])
    (found,) = spoiling(clock_for(WATERBORNE, air), START - HOUR)
    assert (found.cause, found.at_s) == (Cause.COLD, START)


def test_the_first_stage_stated_ends_the_danger_where_tack_free_is_not():
    finish = make(Chemistry.WATERBORNE, stages={Stage.DRY_TO_RECOAT: span(1, 2)})
    air = hourly([20, 20, 20, 20, 20, 4, 4])
    assert spoiling(clock_for(finish, air), START) == ()
    early = spoiling(clock_for(finish, hourly([20, 4, 4])), START)
    assert [one.cause for one in early] == [Cause.COLD]
