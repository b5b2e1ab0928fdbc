"""Weather as it may turn out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from finplan.air.climate import normals_series
from finplan.air.series import AirSeries, AirSource, source_code
from finplan.air.weather import (
    STRAY_DAYS,
    STRAY_PERCENT_PER_C,
    STRAY_SHARE,
    as_in,
    days_in,
    spells,
    strayed,
    until,
    years_like,
)
from finplan.trade.workshop import MonthlyNormals

HOUR, DAY = 3600.0, 86400.0
BEGIN = 1_790_000_000.0 // DAY * DAY
NORMALS = MonthlyNormals((10.0,) * 12, (8.0,) * 12, (60.0,) * 12, "invented")


def astray(air: AirSeries, swing_c: float, draws: np.random.Generator) -> AirSeries:
    warmth, damp = (spells(row) for row in draws.standard_normal((2, days_in(air))))
    return strayed(air, swing_c, warmth, damp)


def expected(days: float) -> AirSeries:
    return normals_series(NORMALS, "UTC", BEGIN, BEGIN + days * DAY)


def read(first_day: float, days: float, temperature_c: float) -> AirSeries:
    at_s = BEGIN + first_day * DAY + HOUR * np.arange(int(24 * days))
    same = np.full(len(at_s), temperature_c)
    return AirSeries(at_s, same, same + 40.0, np.zeros(len(at_s), np.uint8))


def test_the_weather_strays_as_far_and_as_long_as_stated():
    air = expected(20_000)
    draws = np.random.default_rng(1)
    daily = (astray(air, 8.0, draws).temperature_c - air.temperature_c)[::24]
    assert daily.mean() == pytest.approx(0.0, abs=0.15)
    assert daily.std() == pytest.approx(STRAY_SHARE * 8.0, rel=0.05)
    next_day = float(np.corrcoef(daily[:-1], daily[1:])[0, 1])
    assert next_day == pytest.approx(np.exp(-1.0 / STRAY_DAYS), abs=0.03)


def test_what_was_read_does_not_stray_nor_does_a_room_that_never_swings():
    air = expected(30)
    known = air.at_s < BEGIN + 10 * DAY
    source = np.where(known, source_code(AirSource.READING), air.source).astype(np.uint8)
    partly = replace(air, source=source)
    other = astray(partly, 8.0, np.random.default_rng(2))
    assert np.array_equal(other.temperature_c[known], air.temperature_c[known])
    assert np.array_equal(other.humidity_percent[known], air.humidity_percent[known])
    assert np.all(other.temperature_c[~known] != air.temperature_c[~known])
    assert np.all((other.humidity_percent >= 0.0) & (other.humidity_percent <= 100.0))
    still = astray(air, 0.0, np.random.default_rng(2))
    assert np.array_equal(still.temperature_c, air.temperature_c)


def test_years_count_where_they_were_read_and_only_three_make_weather():
    stretch = (BEGIN, BEGIN + 60 * DAY)
    two = read(-2 * 365.25 - 20, 2 * 365.25, 12.0)
    assert years_like({"shed": two}, *stretch) == ()
    four = read(-4 * 365.25 - 20, 4 * 365.25, 12.0)
    assert len(years_like({"shed": four}, *stretch)) == 4
    three = read(-3 * 365.25 - 20, 3 * 365.25, 12.0)
    assert len(years_like({"shed": three}, *stretch)) == 3
    twelve = read(-12 * 365.25 - 20, 12 * 365.25, 12.0)
    assert len(years_like({"shed": twelve}, *stretch)) == 10
    assert years_like({"shed": four, "loft": two}, *stretch) == ()
    assert years_like({}, *stretch) == ()


def test_a_year_takes_the_place_of_the_normals_hour_for_hour():
    air = expected(5)
    year = read(1, 2, 17.0)
    now = as_in(air, year)
    inside = (air.at_s >= BEGIN + DAY) & (air.at_s < BEGIN + 3 * DAY)
    assert np.all(now.temperature_c[inside] == 17.0)
    assert np.all(now.humidity_percent[inside] == 57.0)
    later = (air.at_s < BEGIN + DAY) | (air.at_s >= BEGIN + 3 * DAY + 2 * HOUR)
    # The last reading, an hour before the end, speaks for as long as any reading does.
    held = (air.at_s >= BEGIN + 3 * DAY) & (air.at_s < BEGIN + 3 * DAY + 2 * HOUR)
    assert np.all(now.temperature_c[held] == 17.0)
    assert np.array_equal(now.temperature_c[later], air.temperature_c[later])


def test_air_is_cut_behind_its_end_but_never_empty():
    air = expected(5)
    assert until(air, BEGIN + DAY).at_s[-1] == BEGIN + DAY
    assert len(until(air, BEGIN - DAY).at_s) == 1


def test_a_year_read_for_four_hours_in_five_counts_and_less_does_not():
    def with_days(share: float) -> dict[str, AirSeries]:
        air = read(-3 * 365.25 - 40, 3 * 365.25 + 30, 12.0)
        kept = (air.at_s - BEGIN) / DAY % 10.0 < 10.0 * share
        return {
            "shed": AirSeries(
                air.at_s[kept],
                air.temperature_c[kept],
                air.humidity_percent[kept],
                air.source[kept],
            )
        }

    stretch = (BEGIN, BEGIN + 60 * DAY)
    assert len(years_like(with_days(0.8), *stretch)) >= 3
    assert years_like(with_days(0.75), *stretch) == ()


def test_warm_and_damp_stray_apart_from_each_other():
    air = expected(20_000)
    other = astray(air, 2.0, np.random.default_rng(3))
    warmth = (other.temperature_c - air.temperature_c)[::24]
    damp = (other.humidity_percent - air.humidity_percent)[::24]
    assert damp.std() == pytest.approx(STRAY_SHARE * 2.0 * STRAY_PERCENT_PER_C, rel=0.05)
    assert abs(float(np.corrcoef(warmth, damp)[0, 1])) < 0.05
