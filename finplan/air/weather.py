"""Weather as it may turn out: earlier years as they were read, or the normals strayed from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from finplan.air.psychrometrics import FloatArray
from finplan.air.series import READING_HOLDS_HOURS, AirSeries, AirSource, source_code, steps_at

LEAST_YEARS = 3
"""Fewer years say little of how years differ (an assumption)."""

MOST_YEARS = 10
"""Years before that many are left out (an assumption)."""

COVERED_SHARE = 0.8
"""A year counts if it was read for that share of the hours (an assumption)."""

STRAY_SHARE = 0.35
"""Days stray from the month's normal by that share of the room's daily swing, as one standard
deviation (assumption: a room that follows the day follows the weather; 3 °C in a shed that
swings 8 °C, which days in a temperate climate have outdoors, from memory, unverified)."""

STRAY_PERCENT_PER_C = 2.0
"""Relative humidity strays on its own by that much for each °C (an assumption)."""

STRAY_DAYS = 3.0
"""After that many days a spell of weather has faded to 1/e (from memory, unverified)."""

_HOUR_S = 3600.0
_DAY_S = 86400.0
_YEAR_DAYS = 365.25


def years_like(
    readings: Mapping[str, AirSeries], start_s: float, end_s: float
) -> tuple[dict[str, AirSeries], ...]:
    """The same stretch of earlier years, moved to this one; empty where too few were read.

    Args:
        readings: all that was read, by space.
        start_s: first instant of the stretch, seconds since 1970-01-01 UTC.
        end_s: its last instant.

    Returns:
        One entry a year, each with every space of ``readings``.
    """
    years = []
    for back in range(1, MOST_YEARS + 1):
        shift_s = round(back * _YEAR_DAYS) * _DAY_S  # whole days: the hour of the day stays
        year = {
            space: AirSeries(
                air.at_s + shift_s, air.temperature_c, air.humidity_percent, air.source
            )
            for space, air in readings.items()
        }
        if year and all(_covers(air, start_s, end_s) for air in year.values()):
            years.append(year)
    return tuple(years) if len(years) >= LEAST_YEARS else ()


def as_in(air: AirSeries, year: AirSeries) -> AirSeries:
    """The air with what is known from normals alone replaced by a year's readings."""
    index = steps_at(year, air.at_s)
    age_s = air.at_s - year.at_s[index]
    read = (age_s >= 0.0) & (age_s < READING_HOLDS_HOURS * _HOUR_S) & _unknown(air)
    return replace(
        air,
        temperature_c=np.where(read, year.temperature_c[index], air.temperature_c),
        humidity_percent=np.where(read, year.humidity_percent[index], air.humidity_percent),
    )


def days_in(air: AirSeries) -> int:
    """How many days a stretch of air has, begun ones included."""
    return int((air.at_s[-1] - air.at_s[0]) // _DAY_S) + 1


def spells(shocks: FloatArray) -> FloatArray:
    """By how many standard deviations each day strays, in spells that fade.

    Args:
        shocks: drawn from the standard normal, by day: shape (days,).

    Returns:
        Shape (days,), with a variance of one.
    """
    keep = float(np.exp(-1.0 / STRAY_DAYS))
    fresh = float(np.sqrt(1.0 - keep * keep))
    days = accumulate(shocks.tolist(), lambda here, shock: keep * here + fresh * shock)
    return np.fromiter(days, np.float64, len(shocks))


def strayed(air: AirSeries, swing_c: float, warmth: FloatArray, damp: FloatArray) -> AirSeries:
    """The air with what is known from normals alone strayed from.

    Args:
        air: the air as it is expected.
        swing_c: the room's usual daily swing, °C.
        warmth: ``spells`` by day, from the first step on.
        damp: the same for humidity.
    """
    unknown = _unknown(air)
    days = np.floor((air.at_s - air.at_s[0]) / _DAY_S).astype(np.intp)
    by_c = STRAY_SHARE * swing_c * warmth[days]
    by_percent = STRAY_SHARE * swing_c * STRAY_PERCENT_PER_C * damp[days]
    temperature = air.temperature_c + np.where(unknown, by_c, 0.0)
    percent = air.humidity_percent + np.where(unknown, by_percent, 0.0)
    # Air that was within bounds stays so; what was read is not touched.
    percent = np.where(unknown, np.clip(percent, 5.0, 100.0), percent)
    return replace(air, temperature_c=temperature, humidity_percent=percent)


def mean_of(series: Sequence[AirSeries]) -> AirSeries:
    """The mean of several airs on the same steps, step by step."""
    return replace(
        series[0],
        temperature_c=np.mean([air.temperature_c for air in series], axis=0),
        humidity_percent=np.mean([air.humidity_percent for air in series], axis=0),
    )


def until(air: AirSeries, end_s: float) -> AirSeries:
    """The air up to an instant; its last step goes on."""
    last = max(1, int(air.at_s.searchsorted(end_s, side="right")))
    return AirSeries(
        air.at_s[:last], air.temperature_c[:last], air.humidity_percent[:last], air.source[:last]
    )


def _covers(year: AirSeries, start_s: float, end_s: float) -> bool:
    hours = np.arange(start_s, end_s, _HOUR_S)
    age_s = hours - year.at_s[steps_at(year, hours)]
    read = (age_s >= 0.0) & (age_s < READING_HOLDS_HOURS * _HOUR_S)
    return bool(len(hours)) and float(read.mean()) >= COVERED_SHARE


def _unknown(air: AirSeries) -> NDArray[np.bool_]:
    unknown: NDArray[np.bool_] = air.source == source_code(AirSource.NORMALS)
    return unknown
