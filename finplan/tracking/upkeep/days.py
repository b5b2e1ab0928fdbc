"""Days that come again, and the day that fits a wish best."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Iterator

from finplan.tracking.upkeep.pieces import Blocked, InstalledPiece

LATE_WEIGHS = 2.0
"""A day late weighs as much as this many days early; our own choice."""

_NEAR_DAYS = 45
"""Looked for first: a day that weighs no more than this is the best there is."""

_LOOK_DAYS = 550
"""How far around a due day one that is wished is looked for."""

_NO_MORE = dt.timedelta(days=40 * 366)
"""When a rule that gives no day any more is due: beyond all that is looked ahead."""

_BEGINS = dt.datetime(2000, 1, 3)  # noqa: DTZ001  (a Monday; wall-clock days have no zone)


def recurring_days(rule: str, done: dt.date) -> Iterator[dt.date]:
    """Give the days of a rule after the day it was last done, for as long as the rule goes on.

    The rule is counted from that day. A rule that takes its day of the month from it counts from
    the 28th at the latest, so that work done on 29 February or the 31st is not skipped.
    """
    from dateutil.rrule import rrulestr

    anchor = done if "BY" in rule.upper() else done.replace(day=min(done.day, 28))
    start = dt.datetime.combine(anchor, dt.time())
    for moment in rrulestr(rule, dtstart=start):
        if moment.date() > done:
            yield moment.date()


def next_day(rule: str, done: dt.date) -> dt.date:
    """Return the first day of a rule after the day it was last done.

    A rule that gives none any more, as one that ended, is not due within a lifetime.
    """
    return next(recurring_days(rule, done), done + _NO_MORE)


def fits(piece: InstalledPiece, day: dt.date) -> bool:
    """Say whether a day is in season and not blocked."""
    return _fits(piece.season, piece.blocked, day)


def _fits(season: tuple[int, ...], blocked: tuple[Blocked, ...], day: dt.date) -> bool:
    if season and day.month not in season:
        return False
    return not (blocked and any(stretch.first <= day <= stretch.last for stretch in blocked))


def is_wished(piece: InstalledPiece, day: dt.date) -> bool:
    """Say whether a day is in season, not blocked, and one of the piece's days."""
    return fits(piece, day) and (not piece.days or _in_rule(piece.days, day))


@functools.lru_cache(maxsize=10_000)
def _in_rule(rule: str, day: dt.date) -> bool:
    return bool(_days_of_rule(rule, day, day))


def days_between(piece: InstalledPiece, first: dt.date, last: dt.date) -> frozenset[dt.date]:
    """Return the days, both ends included, on which work on a piece is wished."""
    return _wished_days(piece.season, piece.days, piece.blocked, first, last)


@functools.lru_cache(maxsize=200)
def _wished_days(
    season: tuple[int, ...],
    rule: str,
    blocked: tuple[Blocked, ...],
    first: dt.date,
    last: dt.date,
) -> frozenset[dt.date]:
    if rule:
        days = _days_of_rule(rule, first, last)
    else:
        days = [first + dt.timedelta(days=step) for step in range((last - first).days + 1)]
    return frozenset(day for day in days if _fits(season, blocked, day))


def best_day(piece: InstalledPiece, due: dt.date, earliest: dt.date) -> dt.date:
    """Return the wished day nearest to a due day, none before ``earliest``.

    Early is better than late. Where no wished day is near, the due day itself.
    """
    if not piece.days:
        if due >= earliest and fits(piece, due):
            return due
        return _first_fit(piece, _around(piece, due, earliest), earliest) or max(due, earliest)
    for reach in (_NEAR_DAYS, _LOOK_DAYS):
        found = _first_fit(piece, _by_rule(piece.days, due, reach), earliest)
        if found is not None and (_cost(found, due) <= reach or reach == _LOOK_DAYS):
            return found
    return max(due, earliest)


def _first_fit(piece: InstalledPiece, days: list[dt.date], earliest: dt.date) -> dt.date | None:
    return next((day for day in days if day >= earliest and fits(piece, day)), None)


def _around(piece: InstalledPiece, due: dt.date, earliest: dt.date) -> list[dt.date]:
    """Return the last day that fits before a due day and the first after, cheapest first."""
    early = _walk(piece.season, piece.blocked, due, back=True)
    late = _walk(piece.season, piece.blocked, max(due, earliest), back=False)
    return sorted([early, late], key=lambda day: (_cost(day, due), day))


@functools.lru_cache(maxsize=20_000)
def _walk(
    season: tuple[int, ...], blocked: tuple[Blocked, ...], day: dt.date, *, back: bool
) -> dt.date:
    """Go from a day until one fits, over months and blocked days in one step, not without end."""
    one = dt.timedelta(days=-1 if back else 1)
    end = day + _LOOK_DAYS * one
    while (day > end if back else day < end) and not _fits(season, blocked, day):
        if season and day.month not in season:
            first = day.replace(day=1)
            day = first + one if back else (first + dt.timedelta(days=32)).replace(day=1)
            continue
        stretch = next(some for some in blocked if some.first <= day <= some.last)
        day = (stretch.first if back else stretch.last) + one
    return day


def _cost(day: dt.date, due: dt.date) -> float:
    late = (day - due).days
    return LATE_WEIGHS * late if late > 0 else float(-late)


def _by_rule(rule: str, due: dt.date, reach: int) -> list[dt.date]:
    """Return the days of a rule so many days around a due day, those that cost least first."""
    near = dt.timedelta(days=reach)
    return sorted(
        _days_of_rule(rule, due - near, due + near), key=lambda day: (_cost(day, due), day)
    )


def _days_of_rule(rule: str, first: dt.date, last: dt.date) -> list[dt.date]:
    from dateutil.rrule import rrulestr

    low, high = (dt.datetime.combine(day, dt.time()) for day in (first, last))
    begins = _BEGINS if "INTERVAL" in rule.upper() else low
    return [moment.date() for moment in rrulestr(rule, dtstart=begins).between(low, high, inc=True)]
