"""Instants and stretches of time in few words, in the workshop's own zone."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.trade.moments import MONTHS, WEEKDAYS, short_date


def local(at: dt.datetime, zone: str) -> dt.datetime:
    """Return the instant on the wall clock of ``zone``."""
    return at.astimezone(ZoneInfo(zone))


def clock(at: dt.datetime, zone: str) -> str:
    """Return hours and minutes, e.g. ``18:30``."""
    return f"{local(at, zone):%H:%M}"


def date(day: dt.date, this_year: int | None = None) -> str:
    """Return e.g. ``Tue 14 Oct``, with the year where it is not ``this_year``."""
    short = short_date(day)
    return short if this_year in (None, day.year) else f"{short} {day.year}"


def moment(at: dt.datetime, zone: str, now: dt.datetime) -> str:
    """Return e.g. ``today 18:30``, ``tomorrow 08:00``, ``Tue 14 Oct 18:30``."""
    there, here = local(at, zone), local(now, zone)
    days = (there.date() - here.date()).days
    name = {0: "today", 1: "tomorrow", -1: "yesterday"}.get(days)
    return f"{name or date(there.date(), here.year)} {there:%H:%M}"


def stretch(start: dt.datetime, end: dt.datetime, zone: str, now: dt.datetime) -> str:
    """Return e.g. ``today 18:30 to 21:00``, naming the day of the end only where it differs."""
    if start == end:
        return moment(start, zone, now)
    same = local(start, zone).date() == local(end, zone).date()
    until_words = clock(end, zone) if same else moment(end, zone, now)
    return f"{moment(start, zone, now)} to {until_words}"


def short_moment(at: dt.datetime, zone: str, now: dt.datetime) -> str:
    """Return a moment in at most 12 cells: ``18:30``, ``Tue 18:30`` or ``14 Oct 18:30``."""
    there, here = local(at, zone), local(now, zone)
    days = (there.date() - here.date()).days
    if days == 0:
        return f"{there:%H:%M}"
    if 0 < days < 7:
        return f"{WEEKDAYS[there.weekday()]} {there:%H:%M}"
    if there.year == here.year:
        return f"{there.day:2d} {MONTHS[there.month - 1]} {there:%H:%M}"
    return f"{there.day:2d} {MONTHS[there.month - 1]} {there.year}"


def length(amount: dt.timedelta) -> str:
    """Return a stretch in its two largest units at most: ``45 min``, ``3 h 20 min``, ``9 d``."""
    minutes = round(abs(amount.total_seconds()) / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 10:
        return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
    if hours < 72:
        return f"{round(minutes / 60)} h"
    return f"{round(minutes / 1440)} d"


def until(at: dt.datetime, now: dt.datetime) -> str:
    """Return ``in 3 h``, ``2 d ago`` or ``now``."""
    left = at - now
    if abs(left.total_seconds()) < 60:
        return "now"
    return f"in {length(left)}" if left.total_seconds() > 0 else f"{length(left)} ago"


def minutes(amount: float) -> str:
    """Return hands-on minutes: ``40 min``, ``2 h 10 min``."""
    return length(dt.timedelta(minutes=amount))
