"""Ledger rows as iCalendar (RFC 5545, RFC 7986), in the profiles that readers really take."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.calendars.clean import clean_line
from finplan.calendars.ledger import Content, is_task, parse_content, shown_rows, state_of
from finplan.tracking.ledger import LedgerRow

if TYPE_CHECKING:
    from icalendar import Alarm, Calendar, Event, Todo

PRODUCT = "-//finplan//finplan//EN"
STATE_PROPERTY = "X-FINPLAN-STATE"
"""Header line with the digest of what is shown: an export that would be the same is not made."""

ALL_DAY_TRIGGER = dt.timedelta(hours=-15)
"""09:00 on the day before; all-day alarms after midnight break readers."""


class Profile(StrEnum):
    """Who reads the file: subscribers take it as a whole snapshot, importers add it to theirs."""

    FEED = "feed"
    IMPORT = "import"


def calendar_state(rows: Iterable[LedgerRow], name: str, profile: Profile, now: dt.datetime) -> str:
    """Return the digest of what ``calendar_bytes`` would show; it costs no building."""
    return state_of(
        shown_rows(rows, profile is Profile.IMPORT, now), f"{profile} {clean_line(name)}"
    )


def calendar_bytes(
    rows: Iterable[LedgerRow],
    name: str,
    profile: Profile,
    now: dt.datetime,
    refresh: dt.timedelta = dt.timedelta(hours=1),
) -> bytes:
    """Return the rows as one iCalendar file; the same rows give the same bytes anywhere.

    Args:
        rows: the ledger after ``update_ledger``.
        name: what the calendar is called in its readers.
        profile: whether what is gone is left out (feed) or told as cancelled (import).
        now: only tells which cancelled items are old enough to be forgotten.
        refresh: how often subscribers are asked to look again.
    """
    from icalendar import vText

    shown = shown_rows(rows, profile is Profile.IMPORT, now)
    calendar = _empty_calendar()
    title = vText(clean_line(name))  # a plain str would go out without its escapes
    calendar.add("NAME", title)
    calendar.add("X-WR-CALNAME", title)
    if profile is Profile.FEED:
        calendar.add("REFRESH-INTERVAL", refresh, parameters={"VALUE": "DURATION"})
        calendar.add("X-PUBLISHED-TTL", _duration(refresh))
    calendar.add(STATE_PROPERTY, state_of(shown, f"{profile} {clean_line(name)}"))
    for row in shown:
        calendar.add_component(_item(row))
    data: bytes = calendar.to_ical()
    return data


def resource_bytes(row: LedgerRow) -> bytes:
    """Return one row as the iCalendar object a CalDAV server stores."""
    calendar = _empty_calendar()
    calendar.add_component(_item(row))
    data: bytes = calendar.to_ical()
    return data


def _empty_calendar() -> Calendar:
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    return calendar


def _item(row: LedgerRow) -> Event | Todo:
    from icalendar import Event, Todo

    content = parse_content(row.content)
    task = is_task(content)
    item: Event | Todo = Todo() if task else Event()
    item.add("UID", str(row.uid))
    item.add("DTSTAMP", row.stamp)
    item.add("CREATED", row.created)
    item.add("LAST-MODIFIED", row.stamp)
    item.add("SEQUENCE", row.sequence)
    if task:
        item.add("DUE", _when(content, "end"))
    else:
        item.add("DTSTART", _when(content, "start"))
        item.add("DTEND", _when(content, "end"))
        item.add("TRANSP", "OPAQUE" if content["busy"] else "TRANSPARENT")
    item.add("SUMMARY", content["title"])
    standing = "NEEDS-ACTION" if task else "CONFIRMED"
    item.add("STATUS", standing if row.cancelled_at is None else "CANCELLED")
    if row.cancelled_at is None:
        item.add("DESCRIPTION", content["text"])
        item.add("CATEGORIES", [content["role"]])
        trigger = _trigger(content, row.stamp)
        if trigger is not None:
            item.add_component(_alarm(content, trigger))
    return item


def _alarm(content: Content, trigger: dt.timedelta) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("TRIGGER", trigger)
    alarm.add("DESCRIPTION", content["title"])
    alarm.add("UID", content["alarm_uid"])
    return alarm


def _trigger(content: Content, stamp: dt.datetime) -> dt.timedelta | None:
    """Return when to ring, against the start; None for what was past when the item changed."""
    if content["alarm"] is None or _instant(content["alarm"]) <= stamp:
        return None
    if content["all_day"]:
        return ALL_DAY_TRIGGER
    return _instant(content["alarm"]) - _instant(content["start"])


def _when(content: Content, edge: str) -> dt.date:
    moment = _instant(content["start"] if edge == "start" else content["end"])
    return moment.date() if content["all_day"] else moment


def _instant(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


def _duration(length: dt.timedelta) -> str:
    return f"PT{int(length.total_seconds() // 60)}M"
