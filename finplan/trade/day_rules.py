"""Rules for days that come again, as RFC 5545 writes them (``FREQ=WEEKLY;BYDAY=SA``)."""

from __future__ import annotations

import datetime as dt
import re

from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean, shown

_BEGINS = dt.datetime(2024, 1, 1)  # noqa: DTZ001  (a Monday; wall-clock days have no zone)
_LONGEST_RULE = 200
_FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_RANGES = {
    "INTERVAL": (1, 9999, _FREQUENCIES),
    "COUNT": (1, 100_000, _FREQUENCIES),
    "BYMONTH": (1, 12, _FREQUENCIES),
    "BYMONTHDAY": (-31, 31, ("DAILY", "MONTHLY", "YEARLY")),
    "BYYEARDAY": (-366, 366, ("YEARLY",)),
    "BYWEEKNO": (-53, 53, ("YEARLY",)),
    "BYSETPOS": (-366, 366, ("MONTHLY", "YEARLY")),
}
"""Lowest and highest value, and the frequencies a part may stand with (RFC 5545, 3.3.10)."""
_DAY = r"(?:[+-]?\d{1,2})?(?:MO|TU|WE|TH|FR|SA|SU)"
_SHAPES = {
    "BYDAY": (re.compile(rf"{_DAY}(?:,{_DAY})*"), "write days like MO,WE,FR"),
    "WKST": (re.compile(r"MO|TU|WE|TH|FR|SA|SU"), "write a day like MO"),
    "UNTIL": (re.compile(r"\d{8}(?:T\d{6})?"), "write a local day like 20261231"),
}
_LONGEST_MONTHS = {2: 29, 4: 30, 6: 30, 9: 30, 11: 30}


def check_rule(rule: str, where: str = "") -> None:
    """Refuse a rule that is not RFC 5545, is not about days, or never gives a day.

    Raises:
        BadInput: says which part of the rule is wrong.
    """
    plain = rule.strip().upper()
    parts = dict(part.partition("=")[::2] for part in plain.split(";") if part)
    frequency = parts.get("FREQ", "")
    if len(rule) > _LONGEST_RULE or frequency not in _FREQUENCIES:
        raise BadInput(
            f"{shown(rule)} is no recurring rule for days: write e.g. FREQ=WEEKLY;BYDAY=MO,WE,FR",
            where,
        )
    for key, value in parts.items():
        _check_part(key, value, frequency, where)
    if "BYSETPOS" in parts and not parts.keys() & {"BYDAY", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO"}:
        raise BadInput("BYSETPOS picks among days: add BYDAY or BYMONTHDAY", where)
    if not _some_month_is_long_enough(parts) or not _gives_a_day(plain, where):
        raise BadInput(f"{shown(rule)} never opens: no day fits it", where)


def _check_part(key: str, value: str, frequency: str, where: str) -> None:
    if key in _RANGES:
        _check_numbers(key, value, frequency, where)
    elif key in _SHAPES:
        shape, remedy = _SHAPES[key]
        numbered = key == "BYDAY" and frequency in {"DAILY", "WEEKLY"} and re.search(r"\d", value)
        if shape.fullmatch(value) is None or numbered:
            raise BadInput(f"{key}={value[:20]}: {remedy}", where)
    elif key != "FREQ":
        near = did_you_mean(key, ("FREQ", *_SHAPES, *_RANGES))
        raise BadInput(f"{shown(key)} is no part of a rule for days{near}: remove it", where)


def _check_numbers(key: str, value: str, frequency: str, where: str) -> None:
    low, high, frequencies = _RANGES[key]
    if frequency not in frequencies:
        raise BadInput(f"{key} does not go with FREQ={frequency}: leave it out", where)
    for number in [value] if key in {"INTERVAL", "COUNT"} else value.split(","):
        valid = re.fullmatch(r"[+-]?\d{1,6}", number) is not None
        if not valid or int(number) == 0 or not low <= int(number) <= high:
            raise BadInput(f"{key}={value[:20]}: give {low} to {high}, not 0", where)


def _some_month_is_long_enough(parts: dict[str, str]) -> bool:
    """Whether one of the months named has one of the days named (there is no 30 February)."""
    if "BYMONTH" not in parts or "BYMONTHDAY" not in parts:
        return True
    longest = max(_LONGEST_MONTHS.get(int(month), 31) for month in parts["BYMONTH"].split(","))
    return any(abs(int(day)) <= longest for day in parts["BYMONTHDAY"].split(","))


def _gives_a_day(rule: str, where: str) -> bool:
    """Whether the rule gives a day at all; the search itself gives up at the year 9999."""
    from dateutil.rrule import rrulestr

    try:
        return next(iter(rrulestr(rule, dtstart=_BEGINS)), None) is not None
    except (ValueError, TypeError, KeyError, AttributeError, IndexError, OverflowError) as error:
        raise BadInput(
            f"{shown(rule)} is not understood ({str(error)[:60]}): write e.g. FREQ=WEEKLY;BYDAY=SA",
            where,
        ) from None
