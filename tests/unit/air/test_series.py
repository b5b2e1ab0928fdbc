"""Air put together from readings, forecast and normals."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from finplan.air.climate import normals_series, utc_offsets_s
from finplan.air.psychrometrics import vapour_pressure_pa
from finplan.air.series import AirSource, Reading, at, compose, constant, series_of
from finplan.trade.errors import BadInput
from finplan.trade.workshop import MonthlyNormals

NORMALS = MonthlyNormals(
    (-4, -3, 0, 5, 11, 15, 17, 16, 11, 6, 1, -3), (6,) * 12, (60,) * 12, "invented for tests"
)
ZONE = "Europe/Oslo"
START = dt.datetime(2026, 10, 3, tzinfo=dt.UTC)
START_S = START.timestamp()
HOUR = 3600.0


def reading(hours: float, celsius: float = 20.0, percent: float = 40.0) -> Reading:
    return Reading(START + dt.timedelta(hours=hours), celsius, percent)


def source_at(air, hours: float) -> AirSource:
    return at(air, START_S + hours * HOUR).source


def test_readings_come_before_forecast_before_normals():
    air = compose(
        series_of([reading(6.5), reading(5.25)]),
        series_of([reading(h, 10, 80) for h in range(0, 24, 3)], AirSource.FORECAST),
        NORMALS,
        ZONE,
        START_S,
        START_S + 48 * HOUR,
    )
    assert source_at(air, 5.0) is AirSource.FORECAST
    assert source_at(air, 5.25) is AirSource.READING
    assert source_at(air, 9.49) is AirSource.READING
    assert source_at(air, 9.5) is AirSource.FORECAST
    assert source_at(air, 26.9) is AirSource.FORECAST
    assert source_at(air, 27.0) is AirSource.NORMALS
    assert np.all(np.diff(air.at_s) > 0)
    assert air.at_s[0] == START_S and air.at_s[-1] < START_S + 48 * HOUR


def test_values_follow_their_source():
    read = series_of([reading(5.25, 21.5, 33)])
    air = compose(read, None, NORMALS, ZONE, START_S, START_S + 24 * HOUR)
    now = at(air, START_S + 6 * HOUR)
    assert (now.temperature_c, now.humidity_percent) == (21.5, 33.0)


def test_a_reading_from_before_the_start_still_speaks():
    air = compose(series_of([reading(-1)]), None, NORMALS, ZONE, START_S, START_S + 24 * HOUR)
    assert source_at(air, 1.9) is AirSource.READING
    assert source_at(air, 2.0) is AirSource.NORMALS


def test_naive_and_senseless_readings_are_refused():
    naive = Reading(dt.datetime(2026, 10, 3), 20, 40)  # noqa: DTZ001
    for bad in (naive, reading(1, 300), reading(1, 20, 140), reading(1, float("nan"))):
        with pytest.raises(BadInput):
            series_of([bad])


def test_of_two_readings_at_one_instant_the_last_counts():
    read = series_of([reading(2, 18), reading(1, 17), reading(2, 19)])
    assert read.at_s.tolist() == [START_S + HOUR, START_S + 2 * HOUR]
    assert read.temperature_c.tolist() == [17.0, 19.0]


def test_nothing_known_leaves_normals_alone():
    air = compose(None, None, NORMALS, ZONE, START_S, START_S + 24 * HOUR)
    alone = normals_series(NORMALS, ZONE, START_S, START_S + 24 * HOUR)
    assert np.array_equal(air.temperature_c, alone.temperature_c)


def test_the_daily_course_swings_about_the_mean_and_peaks_in_the_afternoon():
    # Mid July: 17 °C ± 3.
    start = dt.datetime(2026, 7, 15, 22, tzinfo=dt.UTC).timestamp()
    day = normals_series(NORMALS, ZONE, start, start + 24 * HOUR)
    assert day.temperature_c.max() == pytest.approx(20, abs=0.1)
    assert day.temperature_c.min() == pytest.approx(14, abs=0.1)
    local = dt.datetime.fromtimestamp(day.at_s[day.temperature_c.argmax()], dt.UTC)
    assert local.hour in (12, 13)  # 14 to 15 in summer time


def test_the_water_in_the_air_stays_the_same_all_day():
    start = dt.datetime(2026, 7, 15, 22, tzinfo=dt.UTC).timestamp()
    day = normals_series(NORMALS, ZONE, start, start + 24 * HOUR)
    water = vapour_pressure_pa(day.temperature_c, day.humidity_percent)
    assert water == pytest.approx(np.full(24, vapour_pressure_pa(17.0, 60.0)), rel=0.01)


def test_offsets_follow_both_clock_changes():
    for day, before, after in (
        (dt.datetime(2026, 3, 29, tzinfo=dt.UTC), 1, 2),
        (dt.datetime(2026, 10, 25, tzinfo=dt.UTC), 2, 1),
    ):
        hours = day.timestamp() + np.arange(-24, 48) * HOUR
        offsets = utc_offsets_s(ZONE, hours) / HOUR
        assert offsets.tolist() == [before] * 25 + [after] * 47


@pytest.mark.parametrize(
    "normals",
    [
        MonthlyNormals((1.0,), (6,) * 12, (60,) * 12, ""),
        MonthlyNormals((1,) * 12, (-6,) * 12, (60,) * 12, ""),
        MonthlyNormals((1,) * 12, (6,) * 12, (160,) * 12, ""),
    ],
)
def test_normals_that_are_no_climate_are_refused(normals):
    with pytest.raises(BadInput, match="monthly normals"):
        normals_series(normals, ZONE, 0, HOUR)


def test_an_empty_stretch_is_refused():
    with pytest.raises(BadInput, match="later end"):
        normals_series(NORMALS, ZONE, HOUR, HOUR)


def test_constant_air():
    air = constant(9, 85)
    assert at(air, 1e9).humidity_percent == 85
    assert at(air, -1e9).source is AirSource.CONSTANT
    with pytest.raises(BadInput, match="85 °C"):
        constant(85, 9)


def test_air_may_be_as_cold_warm_dry_and_damp_as_air_can_be():
    for celsius, percent in ((-60, 0), (80, 100)):
        assert at(constant(celsius, percent), 0).humidity_percent == percent
    for celsius, percent in ((-60.1, 50), (80.1, 50), (20, -0.1), (20, 100.1)):
        with pytest.raises(BadInput):
            constant(celsius, percent)
