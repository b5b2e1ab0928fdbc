"""Chances in words: of ten such autumns."""

from __future__ import annotations

import datetime as dt
import math

from finplan.planning.doubt import Spread
from finplan.planning.worlds import Source
from finplan.trade.names import counted
from finplan.trade.workshop import MonthlyNormals

_SEASONS = ("winter", "spring", "summer", "autumn")
_HALF_A_YEAR = 6
_SPREAD_C = 2.0
"""Below that between January and July a room knows no seasons (an assumption)."""

_HELD = {
    Source.DRYING: "Did every finish dry as is usual",
    Source.DAYS: "Were days missed evenly",
    Source.WEATHER: "Were the weather as usual",
}


def of_ten(share: float) -> str:
    """A share as so many of ten, never as more certain than it is."""
    if share >= 1.0:
        return "10 of 10"
    if share <= 0.0:
        return "none of 10"
    tenths = round(share * 10)
    if tenths == 0:
        return "fewer than 1 of 10"
    return "more than 9 of 10" if tenths == 10 else f"{tenths} of 10"


def season(day: dt.date, normals: MonthlyNormals) -> str:
    """The season of a day, in the plural, where a room has these normals; else ``years``."""
    january, july = normals.mean_c[0], normals.mean_c[6]
    if abs(july - january) < _SPREAD_C:
        return "years"
    month = day.month if july > january else day.month + _HALF_A_YEAR
    return f"{_SEASONS[month % 12 // 3]}s"


def held_in_words(one: Spread, drawn: Spread) -> str:
    """How far apart runs would be ready with a source held, and how many in time, in a sentence.

    Args:
        one: with the source held.
        drawn: with all of them drawn.
    """
    if one.held is None:
        raise ValueError("nothing is held")
    now, then = _length(drawn.days), _length(one.days)
    told = f"would still span {then}"
    if then != now:
        told = f"would span {then} instead of {now}"
    if one.share is not None and drawn.share is not None:
        before, after = of_ten(drawn.share), of_ten(one.share)
        in_time = f"{after} still be in time"
        if after != before:
            in_time = f"{after} would be in time instead of {before}"
        told += f", and {in_time}"
    return f"{_HELD[one.held]}, 8 of 10 ready dates {told}."


def _length(days: float) -> str:
    return counted(max(1, round(days)), "day") if math.isfinite(days) else "more than a year"
