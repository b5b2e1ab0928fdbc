"""An item of ours as a server gives it back: what a person or their program made of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

ACKNOWLEDGED = "ACKNOWLEDGED"
"""Set by programs when an alarm was dismissed (RFC 9074)."""


@dataclass(frozen=True, slots=True)
class Returned:
    """What of an item can be compared; ``event`` is the library's own, to carry things over."""

    start: dt.datetime
    end: dt.datetime
    title: str
    text: str
    sequence: int
    cancelled: bool
    product: str
    event: Any


def read_returned(data: bytes) -> Returned | None:
    """Read an item; None when it holds no single event that can be read."""
    from icalendar import Calendar

    try:
        calendar = Calendar.from_ical(data)
        event: Any
        (event,) = calendar.walk("VEVENT")
        return Returned(
            start=_instant(event.start),
            end=_instant(event.end),
            title=str(event.get("SUMMARY", "")),
            text=str(event.get("DESCRIPTION", "")),
            sequence=int(event.get("SEQUENCE", 0)),
            cancelled=str(event.get("STATUS", "")).upper() == "CANCELLED",
            product=str(calendar.get("PRODID", "")),
            event=event,
        )
    except Exception:  # the parser raises many kinds; whatever it is, it is not what we sent
        return None


def carry_over(theirs: Returned, ours: bytes) -> bytes:
    """Return our item with the X- properties and dismissed alarms the server's has."""
    from icalendar import Calendar

    calendar = Calendar.from_ical(ours)
    (event,) = calendar.walk("VEVENT")
    _carry(theirs.event, event)
    alarms = event.walk("VALARM")
    for alarm, other in zip(alarms, theirs.event.walk("VALARM"), strict=False):
        _carry(other, alarm)
    data: bytes = calendar.to_ical()
    return data


def _carry(source: Any, target: Any) -> None:
    for name, value in source.items():
        if (name.upper().startswith("X-") or name.upper() == ACKNOWLEDGED) and name not in target:
            target[name] = value


def _instant(moment: dt.date) -> dt.datetime:
    """All-day items run from midnight to midnight UTC, as our own fields have them."""
    if not isinstance(moment, dt.datetime):
        return dt.datetime.combine(moment, dt.time.min, dt.UTC)
    return moment.astimezone(dt.UTC) if moment.tzinfo else moment.replace(tzinfo=dt.UTC)
