"""Busy times from a person's own calendar: only the times are taken, no word of it is kept."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Iterable
from zoneinfo import ZoneInfo

from finplan.trade.errors import BadInput
from finplan.trade.workshop import Stretch

LARGEST_BYTES = 20_000_000
"""A calendar larger than this is not read (our choice)."""

_NOT_BUSY = {"CANCELLED"}

_CALENDAR_LINE = re.compile(rb"(\xef\xbb\xbf)?[A-Za-z0-9-]+[;:]|[ \t]")
"""How a line of a calendar begins (RFC 5545, 3.1): with a name, or a blank where it goes on."""


def busy_times(
    data: bytes,
    start: dt.datetime,
    end: dt.datetime,
    zone: ZoneInfo,
    where: str = "calendar",
    own: Collection[str] = (),
) -> tuple[Stretch, ...]:
    """Return when somebody is busy between two instants, from an iCalendar file.

    Recurring events are expanded in their own zone. Events marked as transparent or cancelled
    are free time. Whole-day events and times without a zone are read in ``zone``.

    Args:
        data: the file.
        start: from when, timezone-aware.
        end: until when, timezone-aware.
        zone: the workshop's zone.
        where: the file's name, for the error.
        own: UIDs of finplan's own items: a plan does not keep clear of itself.

    Returns:
        Stretches without overlaps, earliest first, cut to ``start`` and ``end``.

    Raises:
        BadInput: the file is no calendar, or too large.
    """
    spans = _spans(data, (start, end), zone, where, own)
    return _merged(spans, start.astimezone(dt.UTC), end.astimezone(dt.UTC))


def busy_times_of_items(
    items: Iterable[bytes],
    start: dt.datetime,
    end: dt.datetime,
    zone: ZoneInfo,
    own: Collection[str] = (),
) -> tuple[tuple[Stretch, ...], int]:
    """Return the same from a server's items, each a calendar of its own, and the number unread.

    One faulty item among a person's many does not hide the others.
    """
    spans: list[tuple[dt.datetime, dt.datetime]] = []
    unread = 0
    for data in items:
        try:
            spans += _spans(data, (start, end), zone, "item", own)
        except BadInput:
            unread += 1
    return _merged(spans, start.astimezone(dt.UTC), end.astimezone(dt.UTC)), unread


def _spans(
    data: bytes,
    within: tuple[dt.datetime, dt.datetime],
    zone: ZoneInfo,
    where: str,
    own: Collection[str],
) -> list[tuple[dt.datetime, dt.datetime]]:
    import recurring_ical_events
    from icalendar import Calendar

    if len(data) > LARGEST_BYTES:
        raise BadInput("is too large for a calendar: export fewer years", where)
    try:
        calendar = Calendar.from_ical(data)
        for event in calendar.walk("VEVENT"):
            event.subcomponents = []  # alarms tell no busy time, and some break the expansion
            _refuse_endless(event.get("RRULE"), where)
        return [
            (_instant(event.start, zone), _instant(event.end, zone))
            for event in recurring_ical_events.of(calendar).between(*within)
            if not _is_free(event) and str(event.get("UID", "")) not in own
        ]
    except BadInput:
        raise
    except Exception:  # the parser raises many kinds, none meant for people
        line = _broken_line(data)
        raise BadInput(
            "is no calendar that can be read: export it again as .ics",
            f"{where}, line {line}" if line else where,
        ) from None


def _broken_line(data: bytes) -> int | None:
    """Return the number of the first line that is none of a calendar, None where all are."""
    for number, line in enumerate(data.splitlines(), start=1):
        if line.strip() and not _CALENDAR_LINE.match(line):
            return number
    return None


def _refuse_endless(rule: object, where: str) -> None:
    """Refuse appointments that come again each second or minute: they would fill the memory."""
    words = str(rule).upper()
    if "SECONDLY" in words or "MINUTELY" in words:
        raise BadInput("has an appointment that comes again every minute: take it out", where)


def _is_free(event: object) -> bool:
    get = event.get  # type: ignore[attr-defined]
    transparent = str(get("TRANSP", "OPAQUE")).upper() == "TRANSPARENT"
    return transparent or str(get("STATUS", "")).upper() in _NOT_BUSY


def _instant(moment: dt.date, zone: ZoneInfo) -> dt.datetime:
    if not isinstance(moment, dt.datetime):
        moment = dt.datetime.combine(moment, dt.time.min, zone)
    elif moment.tzinfo is None:
        moment = moment.replace(tzinfo=zone)
    return moment.astimezone(dt.UTC)


def _merged(
    spans: list[tuple[dt.datetime, dt.datetime]], start: dt.datetime, end: dt.datetime
) -> tuple[Stretch, ...]:
    merged: list[Stretch] = []
    for begins, ends in sorted(spans):
        begins, ends = max(begins, start), min(ends, end)
        if ends <= begins:
            continue
        if merged and begins <= merged[-1].end:
            merged[-1] = Stretch(merged[-1].start, max(merged[-1].end, ends))
        else:
            merged.append(Stretch(begins, ends))
    return tuple(merged)
