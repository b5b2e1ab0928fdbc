"""Chances in words: of ten such autumns."""

from __future__ import annotations

import datetime as dt

from finplan.trade.workshop import MonthlyNormals

_SEASONS = ("winter", "spring", "summer", "autumn")
_HALF_A_YEAR = 6
_SPREAD_C = 2.0
"""Below that between January and July a room knows no seasons (an assumption)."""


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
