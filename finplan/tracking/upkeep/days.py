"""Days that come again, and the day that fits a wish best."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from zoneinfo import ZoneInfo

from finplan.tracking.upkeep.pieces import InstalledPiece

LATE_WEIGHS = 2.0
"""A day late weighs as much as this many days early; our own choice."""

_LOOK_DAYS = 550
"""How far around a due day one that is wished is looked for."""

_BEGINS = dt.datetime(2000, 1, 3)  # noqa: DTZ001  (a Monday; wall-clock days have no zone)


def recurring_days(rule: str, done: dt.date) -> Iterator[dt.date]:
    """Give the days of a rule after the day it was last done, without end.

    The rule is counted from that day. A rule that takes its day of the month from it counts from
    the 28th at the latest, so that work done on 29 February or the 31st is not skipped.
    """
    from dateutil.rrule import rrulestr

    anchor = done if "BY" in rule.upper() else done.replace(day=min(done.day, 28))
    start = dt.datetime.combine(anchor, dt.time())
    for moment in rrulestr(rule, dtstart=start):
        if moment.date() > done:
            yield moment.date()


def instant_of(day: dt.date, time: dt.time, zone: ZoneInfo) -> dt.datetime:
    """Return the instant (UTC) of a local day and time; one skipped by a clock change is put on."""
    return dt.datetime.combine(day, time, zone).astimezone(dt.UTC)


def fits(piece: InstalledPiece, day: dt.date) -> bool:
    """Say whether a day is in season and not blocked."""
    if piece.season and day.month not in piece.season:
        return False
    return not any(stretch.first <= day <= stretch.last for stretch in piece.blocked)


def best_day(piece: InstalledPiece, due: dt.date, earliest: dt.date) -> dt.date:
    """Return the wished day nearest to a due day, none before ``earliest``.

    Early is better than late. Where no wished day is near, the due day itself.
    """
    wished = _by_rule(piece.days, due) if piece.days else _nearest_first(due)
    return next((day for day in wished if day >= earliest and fits(piece, day)), max(due, earliest))


def _nearest_first(due: dt.date) -> Iterator[dt.date]:
    """Give the days around a due day, those that cost least first."""
    for early in range(int(LATE_WEIGHS * _LOOK_DAYS) + 1):
        late, rest = divmod(early, LATE_WEIGHS)
        if early <= _LOOK_DAYS:
            yield due - dt.timedelta(days=early)
        if early and not rest:
            yield due + dt.timedelta(days=late)


def _by_rule(rule: str, due: dt.date) -> list[dt.date]:
    """Return the days of a rule around a due day, those that cost least first."""
    from dateutil.rrule import rrulestr

    near = dt.timedelta(days=_LOOK_DAYS)
    low, high = (dt.datetime.combine(day, dt.time()) for day in (due - near, due + near))
    begins = _BEGINS if "INTERVAL" in rule.upper() else low
    moments = rrulestr(rule, dtstart=begins).between(low, high, inc=True)

    def cost(day: dt.date) -> float:
        late = (day - due).days
        return LATE_WEIGHS * late if late > 0 else float(-late)

    return sorted((moment.date() for moment in moments), key=lambda day: (cost(day), day))
