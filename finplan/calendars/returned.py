"""An item of ours as a server gives it back: what a person or their program made of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

# fmt: off
_THE_PLANS = frozenset((
    "UID", "DTSTAMP", "CREATED", "LAST-MODIFIED", "SEQUENCE", "DTSTART", "DTEND", "DUE",
    "DURATION", "SUMMARY", "DESCRIPTION", "X-ALT-DESC",
))
# fmt: on
"""What only the plan says; the last is our words again in another dress, left by some programs."""

_REPEATS = frozenset(("RRULE", "RDATE"))


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
    """Read an item; None when it holds no event or task, or not just one, once."""
    from icalendar import Calendar

    try:
        calendar = Calendar.from_ical(data)
        item = _only_item(calendar)
        if not _REPEATS.isdisjoint(item):
            return None
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


def carry_over(theirs: Returned, sent: bytes, ours: bytes, *, to_ring: bool) -> bytes:
    """Return our item with all that the server's has beyond what we last sent.

    Kept are properties that were added (private marks, a place, a note), those of ours that were
    set otherwise (free or busy, categories, when to ring), dismissed alarms and added ones. When,
    title and text are the plan's; a person's change of these is for the caller to leave alone.

    Args:
        theirs: the item as the server has it.
        sent: the item as last sent.
        ours: the item to send now.
        to_ring: the alarm that was sent has still to ring, so where it is missing a person took
            it out; otherwise their program may have when it rang.
    """
    from icalendar import Calendar

    calendar = Calendar.from_ical(ours)
    item, before = _only_item(calendar), _only_item(Calendar.from_ical(sent))
    _keep_changes(theirs.item, before, item)
    our_alarms, alarms_before = item.walk("VALARM"), before.walk("VALARM")
    if to_ring and alarms_before and _taken_out(theirs.item, alarms_before[0]):
        item.subcomponents = [one for one in item.subcomponents if one.name != "VALARM"]
    for part in theirs.item.subcomponents:
        if not any(_is_alarm(part, one) for one in alarms_before):
            item.add_component(part)
        elif our_alarms:
            _keep_changes(part, alarms_before[0], our_alarms[0])
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


def _keep_changes(theirs: Any, before: Any, ours: Any) -> None:
    """Put into ours each property that differs from what was sent before."""
    for name, value in theirs.items():
        if name in _THE_PLANS or _written(value) == _written(before.get(name)):
            continue
        if name == "TRIGGER" and not isinstance(value.dt, dt.timedelta):
            continue  # an hour of its own would stay behind when the item moves
        ours[name] = value


def _is_alarm(part: Any, ours: Any) -> bool:
    """Say whether a part of their item is our alarm; some programs drop its identity."""
    if part.name != "VALARM":
        return False
    if "UID" in part:
        return str(part["UID"]) == str(ours["UID"])
    return _written(part.get("TRIGGER")) == _written(ours["TRIGGER"])


def _taken_out(theirs: Any, ours: Any) -> bool:
    """Say whether their item has our alarm no more, not even as one that rings at a set hour."""
    left = theirs.walk("VALARM")
    return not any(
        _is_alarm(one, ours) or not isinstance(one.decoded("TRIGGER", None), dt.timedelta)
        for one in left
    )


def _written(value: Any) -> list[bytes]:
    values = value if isinstance(value, list) else [] if value is None else [value]
    return [one.to_ical() for one in values]


def _instant(moment: dt.date) -> dt.datetime:
    """All-day items run from midnight to midnight UTC, as our own fields have them."""
    if not isinstance(moment, dt.datetime):
        return dt.datetime.combine(moment, dt.time.min, dt.UTC)
    return moment.astimezone(dt.UTC) if moment.tzinfo else moment.replace(tzinfo=dt.UTC)
