"""An item of ours as a server gives it back: what a person or their program made of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

ACKNOWLEDGED = "ACKNOWLEDGED"
"""Set by programs when an alarm was dismissed (RFC 9074)."""


@dataclass(frozen=True, slots=True)
class Returned:
    """What of an item can be compared; ``item`` is the library's own, to carry things over.

    A task has its due hour as ``start`` and ``end``. ``ticked_at``: when a task was ticked off,
    None while it was not.
    """

    start: dt.datetime
    end: dt.datetime
    title: str
    text: str
    sequence: int
    cancelled: bool
    product: str
    ticked_at: dt.datetime | None
    item: Any


def read_returned(data: bytes) -> Returned | None:
    """Read an item; None when it holds no single event or task that can be read."""
    from icalendar import Calendar

    try:
        calendar = Calendar.from_ical(data)
        item = _only_item(calendar)
        task = item.name == "VTODO"
        return Returned(
            start=_instant(item.decoded("DUE") if task else item.start),
            end=_instant(item.decoded("DUE") if task else item.end),
            title=str(item.get("SUMMARY", "")),
            text=str(item.get("DESCRIPTION", "")),
            sequence=int(item.get("SEQUENCE", 0)),
            cancelled=str(item.get("STATUS", "")).upper() == "CANCELLED",
            product=str(calendar.get("PRODID", "")),
            ticked_at=_ticked_at(item) if task else None,
            item=item,
        )
    except Exception:  # the parser raises many kinds; whatever it is, it is not what we sent
        return None


def carry_over(theirs: Returned, ours: bytes) -> bytes:
    """Return our item with the X- properties and dismissed alarms the server's has."""
    from icalendar import Calendar

    calendar = Calendar.from_ical(ours)
    item = _only_item(calendar)
    _carry(theirs.item, item)
    alarms = item.walk("VALARM")
    for alarm, other in zip(alarms, theirs.item.walk("VALARM"), strict=False):
        _carry(other, alarm)
    data: bytes = calendar.to_ical()
    return data


def _only_item(calendar: Any) -> Any:
    (item,) = [one for one in calendar.walk() if one.name in ("VEVENT", "VTODO")]
    return item


def _ticked_at(task: Any) -> dt.datetime | None:
    """Return when a task was ticked off: programs set one of three properties, or all."""
    done = str(task.get("STATUS", "")).upper() == "COMPLETED"
    if not done and "COMPLETED" not in task and int(task.get("PERCENT-COMPLETE", 0)) < 100:
        return None
    for name in ("COMPLETED", "LAST-MODIFIED", "DTSTAMP"):
        if name in task:
            return _instant(task.decoded(name))
    return None


def _carry(source: Any, target: Any) -> None:
    for name, value in source.items():
        if (name.upper().startswith("X-") or name.upper() == ACKNOWLEDGED) and name not in target:
            target[name] = value


def _instant(moment: dt.date) -> dt.datetime:
    """All-day items run from midnight to midnight UTC, as our own fields have them."""
    if not isinstance(moment, dt.datetime):
        return dt.datetime.combine(moment, dt.time.min, dt.UTC)
    return moment.astimezone(dt.UTC) if moment.tzinfo else moment.replace(tzinfo=dt.UTC)
