"""The air to expect where nothing was measured or forecast: monthly normals with a daily course."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Sequence

import numpy as np

from finplan.air.psychrometrics import FloatArray, humidity_of_vapour_percent, vapour_pressure_pa
from finplan.air.series import AirSeries, AirSource, source_code
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone
from finplan.trade.workshop import MonthlyNormals
from finplan.trade.workshop_checks import check_normals

WARMEST_HOUR = 15.0
"""Local hour of the day's highest temperature (common practice, no source)."""

_HOUR_S = 3600.0
_DAY_S = 86400.0
_MONTHS = 12


def normals_series(normals: MonthlyNormals, zone: str, start_s: float, end_s: float) -> AirSeries:
    """Hourly air from monthly normals.

    Values run straight from the middle of one month to the middle of the next. The temperature
    swings about the day's mean as a sine, highest at 15:00 local time. The water in the air is
    that of the mean temperature and humidity and stays the same all day, so nights are damp and
    afternoons dry; where a night would pass saturation it stays at 100 %.

    Args:
        normals: twelve monthly values.
        zone: IANA name of the place.
        start_s: seconds since 1970-01-01 UTC; the series begins at the full hour before.
        end_s: the series' last hour begins before this.

    Raises:
        BadInput: an unknown zone, an empty stretch, or normals that are no climate.
    """
    check_normals(normals, "monthly normals")
    if not end_s > start_s:
        raise BadInput("the stretch of air ends before it begins: give a later end")
    first = float(np.floor(start_s / _HOUR_S) * _HOUR_S)
    at_s = np.arange(first, end_s, _HOUR_S, dtype=np.float64)
    local_s = at_s + utc_offsets_s(zone, at_s)
    position = _months_since_mid_january(local_s)
    mean_c = _around_the_year(position, normals.mean_c)
    swing_c = _around_the_year(position, normals.daily_swing_c)
    mean_percent = _around_the_year(position, normals.mean_rh_percent)
    hour = np.mod(local_s, _DAY_S) / _HOUR_S + 0.5  # the middle of the step
    temperature = mean_c + swing_c / 2.0 * np.cos((hour - WARMEST_HOUR) * (np.pi / 12.0))
    humidity = humidity_of_vapour_percent(temperature, vapour_pressure_pa(mean_c, mean_percent))
    source = np.full(at_s.shape, source_code(AirSource.NORMALS), dtype=np.uint8)
    return AirSeries(at_s, temperature, humidity, source)


def utc_offsets_s(zone: str, at_s: FloatArray) -> FloatArray:
    """Offset of local time from UTC at rising instants, seconds.

    Asks once a day and, on days the clock changes, at every instant.
    """
    place = find_zone(zone)
    days = np.arange(np.floor(at_s[0] / _DAY_S), np.floor(at_s[-1] / _DAY_S) + 2.0)
    by_day = np.array([_offset_s(place, day * _DAY_S) for day in days.tolist()])
    index = (np.floor(at_s / _DAY_S) - days[0]).astype(np.intp)
    offsets: FloatArray = by_day[index]
    for i in np.nonzero(by_day[index] != by_day[index + 1])[0].tolist():
        offsets[i] = _offset_s(place, float(at_s[i]))
    return offsets


def _offset_s(place: zoneinfo.ZoneInfo, instant_s: float) -> float:
    offset = dt.datetime.fromtimestamp(instant_s, tz=place).utcoffset()
    return offset.total_seconds() if offset is not None else 0.0


def _months_since_mid_january(local_s: FloatArray) -> FloatArray:
    """Place in the year in months, 0 in the middle of January; may be below 0."""
    days = np.floor(local_s / _DAY_S).astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    begins = months.astype("datetime64[D]").astype(np.float64) * _DAY_S
    ends = (months + 1).astype("datetime64[D]").astype(np.float64) * _DAY_S
    number = np.mod(months.astype(np.int64), _MONTHS)
    share: FloatArray = number + (local_s - begins) / (ends - begins) - 0.5
    return share


def _around_the_year(position: FloatArray, monthly: Sequence[float]) -> FloatArray:
    values: FloatArray = np.interp(position, np.arange(_MONTHS), np.array(monthly), period=_MONTHS)
    return values
