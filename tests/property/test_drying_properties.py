"""What must hold of drying in any air: hotter, damper, later, split, constant."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from finplan.air.psychrometrics import (
    dew_point_c,
    saturation_pressure_pa,
    vapour_pressure_deficit_pa,
)
from finplan.air.series import AirSeries, constant
from finplan.air.sorption import emc_percent
from finplan.drying.bands import Band
from finplan.drying.clock import clock_for
from finplan.drying.limits import may_coat
from finplan.drying.rates import rate
from finplan.trade.finishes import Chemistry, Stage
from tests.finishes_for_tests import make, number

START = 1_790_000_000.0
HOUR = 3600.0
RECOAT = Stage.DRY_TO_RECOAT
MILLISECOND = 0.0011

celsius = st.floats(-5, 38)
percent = st.floats(5, 100)
chemistries = st.sampled_from(list(Chemistry))
quantiles = st.sampled_from([0.5, 0.8, 0.95])


@st.composite
def airs(draw, coldest=-5.0, longest=60):
    n = draw(st.integers(1, longest))
    steps = draw(hnp.arrays(np.float64, n, elements=st.floats(0.05, 12)))
    return AirSeries(
        START + np.concatenate([[0.0], np.cumsum(steps[:-1])]) * HOUR,
        draw(hnp.arrays(np.float64, n, elements=st.floats(coldest, 38))),
        draw(hnp.arrays(np.float64, n, elements=percent)),
        np.zeros(n, dtype=np.uint8),
    )


def changed(air: AirSeries, warmer: float = 0.0, damper: float = 0.0) -> AirSeries:
    return AirSeries(
        air.at_s,
        air.temperature_c + warmer,
        np.clip(air.humidity_percent + damper, 0, 100),
        air.source,
    )


def all_times(clock, end: float) -> list[float]:
    return [
        clock.ready(end, RECOAT),
        clock.likely(end, RECOAT),
        clock.ready(end, Stage.FULL_CURE),
        clock.window_closes(end),
    ]


@given(chemistries, airs(), st.floats(0, 10), quantiles, st.floats(-20, 400))
def test_hotter_is_never_slower(chemistry, air, warmer, quantile, hours):
    finish, end = make(chemistry), START + hours * HOUR
    cool = all_times(clock_for(finish, air, quantile=quantile), end)
    warm = all_times(clock_for(finish, changed(air, warmer), quantile=quantile), end)
    assert all(w <= c + MILLISECOND for w, c in zip(warm, cool, strict=True))


beliefs = st.builds(
    Band,
    st.floats(0.3, 3),
    st.floats(0.05, 0.8),
    st.floats(-1.5, 1.5),
    st.floats(0.1, 1),
    st.floats(-0.5, 0.5),
)


@given(chemistries, airs(), st.floats(0, 10), quantiles, st.floats(-20, 400), beliefs)
def test_hotter_is_never_slower_whatever_was_learned(chemistry, air, warmer, q, hours, belief):
    finish, end = make(chemistry), START + hours * HOUR
    cool = all_times(clock_for(finish, air, belief, q), end)
    warm = all_times(clock_for(finish, changed(air, warmer), belief, q), end)
    assert all(w <= c + MILLISECOND for w, c in zip(warm, cool, strict=True))


@given(chemistries, airs(), st.floats(0, 60), quantiles, st.floats(-20, 400))
def test_damper_is_never_faster(chemistry, air, damper, quantile, hours):
    finish, end = make(chemistry), START + hours * HOUR
    dry = all_times(clock_for(finish, air, quantile=quantile), end)
    damp = all_times(clock_for(finish, changed(air, 0, damper), quantile=quantile), end)
    assert all(d >= b - MILLISECOND for d, b in zip(damp, dry, strict=True))


@given(chemistries, airs(), quantiles, hnp.arrays(np.float64, 12, elements=st.floats(-20, 600)))
def test_a_later_coat_is_never_ready_earlier(chemistry, air, quantile, hours):
    clock = clock_for(make(chemistry), air, quantile=quantile)
    ends = START + np.sort(hours) * HOUR
    for times in (
        clock.ready(ends, RECOAT),
        clock.likely(ends, RECOAT),
        clock.window_closes(ends),
    ):
        later, earlier = times[1:], times[:-1]
        assert np.all((later >= earlier) | np.isinf(later))
        assert np.all(times >= ends)


@given(chemistries, airs(), st.data(), st.floats(-20, 600))
def test_splitting_a_step_of_the_air_changes_nothing(chemistry, air, data, hours):
    extra = data.draw(hnp.arrays(np.float64, 5, elements=st.floats(0, 500)))
    at_s = np.unique(np.concatenate([air.at_s, START + extra * HOUR]))
    index = air.at_s.searchsorted(at_s, side="right") - 1
    split = AirSeries(
        at_s, air.temperature_c[index], air.humidity_percent[index], air.source[index]
    )
    whole = all_times(clock_for(make(chemistry), air), START + hours * HOUR)
    parts = all_times(clock_for(make(chemistry), split), START + hours * HOUR)
    assert parts == pytest.approx(whole, abs=0.01, rel=1e-12)


@given(chemistries, celsius, percent, st.floats(-1e4, 1e4))
def test_constant_air_gives_the_closed_form(chemistry, t, rh, hours):
    finish, end = make(chemistry), START + hours * HOUR
    speed = float(rate(finish, np.array([t]), np.array([rh]))[0])
    likely = clock_for(finish, constant(t, rh)).likely(end, RECOAT)
    if speed == 0.0:
        assert likely == math.inf
    else:
        seconds = math.sqrt(12 * 24) * HOUR / speed
        assert likely - end == pytest.approx(seconds, rel=1e-6, abs=0.01)


@given(chemistries, airs(), st.floats(-20, 400))
def test_safe_is_never_before_likely_nor_careful_before_bold(chemistry, air, hours):
    finish, end = make(chemistry), START + hours * HOUR
    clocks = [clock_for(finish, air, quantile=q) for q in (0.5, 0.7, 0.8, 0.9, 0.99)]
    safe = [clock.ready(end, RECOAT) for clock in clocks]
    assert clocks[0].likely(end, RECOAT) <= safe[0] + MILLISECOND
    assert all(a <= b + MILLISECOND for a, b in itertools.pairwise(safe))
    closing = [clock.window_closes(end) for clock in clocks]
    assert all(a >= b - MILLISECOND for a, b in itertools.pairwise(closing))


@given(chemistries, airs(), st.floats(0, 200), st.floats(0.3, 3), st.floats(0.05, 0.8))
def test_stages_come_in_their_order(chemistry, air, hours, median, sigma):
    clock = clock_for(make(chemistry), air, Band(median, sigma))
    for ask in (clock.ready, clock.likely):
        times = [ask(START + hours * HOUR, stage) for stage in Stage]
        assert all(a <= b + MILLISECOND for a, b in itertools.pairwise(times))


@given(chemistries, airs(), st.floats(0, 200))
def test_progress_is_done_exactly_when_ready(chemistry, air, hours):
    clock = clock_for(make(chemistry), air)
    end = START + hours * HOUR
    ready = clock.ready(end, RECOAT)
    if math.isfinite(ready) and ready < end + 1e7:
        assert clock.progress(end, ready + 0.01).safe_share == pytest.approx(1.0, abs=1e-6)
        assert clock.progress(end, end + 0.9 * (ready - end)).safe_share <= 1.0


@given(chemistries, airs(), hnp.arrays(np.float64, 20, elements=st.floats(-20, 600)))
def test_a_stricter_finish_may_be_coated_at_fewer_hours(chemistry, air, hours):
    at_s = START + hours * HOUR
    usual = may_coat(make(chemistry), air, at_s)
    strict = may_coat(
        make(chemistry, dampest_air_percent=number(60), refuse_below_c=number(12)), air, at_s
    )
    assert np.all(usual | ~strict)


@given(st.floats(-20, 50), st.floats(1, 100))
def test_the_dew_point_is_where_the_vapour_saturates(t, rh):
    dew = dew_point_c(t, rh)
    assert dew <= t + 1e-6
    assert saturation_pressure_pa(dew) == pytest.approx(
        saturation_pressure_pa(t) * rh / 100, rel=1e-5
    )
    assert vapour_pressure_deficit_pa(t, rh) >= -1e-9


@given(st.floats(0, 45), st.floats(0, 97), st.floats(0.1, 20))
def test_wood_is_wetter_in_damper_air(t, rh, more):
    assert 0.0 <= emc_percent(t, rh) <= emc_percent(t, min(98.0, rh + more)) < 35.0
