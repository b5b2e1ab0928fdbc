"""Moments and lengths of time as people read them."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.trade.moments import format_duration, say_date


def day(instant: dt.datetime | dt.date, zone: ZoneInfo | None = None) -> str:
    """Return a day with its weekday: ``Wed 14 Oct 2026``; an instant needs its zone."""
    return say_date(instant.astimezone(zone) if isinstance(instant, dt.datetime) else instant)


def clock(instant: dt.datetime, zone: ZoneInfo) -> str:
    """Return the time of day in a zone: ``18:30``."""
    return f"{instant.astimezone(zone):%H:%M}"


def moment(instant: dt.datetime, zone: ZoneInfo) -> str:
    """Return day and time in a zone: ``Wed 14 Oct 2026 18:30``."""
    return f"{day(instant, zone)} {clock(instant, zone)}"


def span(start: dt.datetime, end: dt.datetime, zone: ZoneInfo) -> str:
    """Return a stretch within a day, or with both days where it runs over midnight."""
    if start == end:
        return clock(start, zone)
    if start.astimezone(zone).date() == end.astimezone(zone).date():
        return f"{clock(start, zone)}–{clock(end, zone)}"
    return f"{clock(start, zone)}–{moment(end, zone)}"


def iso(instant: dt.datetime | None) -> str | None:
    """Return an instant as ISO 8601 UTC with ``Z``, whole seconds; None stays None."""
    if instant is None:
        return None
    return instant.astimezone(dt.UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")


def duration(minutes: float) -> str:
    """Return a length of time: ``45 min``, ``3 h 20 min``, ``2 d 4 h``."""
    return format_duration(minutes / 60)
