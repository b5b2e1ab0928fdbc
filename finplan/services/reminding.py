"""How a person wants to be reminded, and when they are busy."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.tracking.reminder import ReminderSettings, Role
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone
from finplan.trade.names import did_you_mean, shown
from finplan.trade.workshop import Person, Workshop

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.store.store import Unit

REMINDERS = "reminders"
"""Setting that keeps what differs from the usual reminders."""

BUSY_AHEAD = dt.timedelta(days=400)
"""How far ahead busy times are read: the planner's year, and some."""


def kept_settings(session: Session) -> ReminderSettings:
    """Return how the person wants to be reminded; the usual way where nothing was said."""
    with session.store.unit(writes=False) as unit:
        kept = unit.settings.get(REMINDERS)
    if not isinstance(kept, dict):
        return ReminderSettings()
    known = {field.name for field in fields(ReminderSettings)}
    said = {name: _read(name, value) for name, value in kept.items() if name in known}
    return replace(ReminderSettings(), **said)  # type: ignore[arg-type]


def keep_settings(session: Session, settings: ReminderSettings) -> None:
    """Keep how the person wants to be reminded."""
    usual = ReminderSettings()
    said = {
        field.name: _plain(getattr(settings, field.name))
        for field in fields(ReminderSettings)
        if getattr(settings, field.name) != getattr(usual, field.name)
    }
    with session.store.unit() as unit:
        unit.settings.put(REMINDERS, said)
        unit.commit()


def import_busy(session: Session, file: Path, workshop: str = "", person: str = "") -> int:
    """Take a person's busy times from their calendar; they replace those taken before.

    Only times are kept, no word of what they are for.

    Args:
        session: the open session.
        file: an iCalendar file.
        workshop: its name; '' where there is only one.
        person: their name; '' where the workshop has only one.

    Returns:
        How many stretches were taken.

    Raises:
        BadInput: no such workshop or person, or the file can't be read.
    """
    from finplan.calendars.busy import busy_times

    try:
        data = file.read_bytes()
    except OSError as error:
        raise BadInput(f"can't be read ({error.strerror})", str(file)) from None
    with session.store.unit() as unit:
        shop = _workshop(unit, workshop)
        who = _person(shop, person)
        busy = busy_times(
            data, session.now, session.now + BUSY_AHEAD, find_zone(shop.zone), str(file)
        )
        people = tuple(replace(one, busy=busy) if one is who else one for one in shop.people)
        unit.workshops.put(replace(shop, people=people))
        unit.commit()
    return len(busy)


def _workshop(unit: Unit, name: str) -> Workshop:
    names = list(unit.workshops.names())
    if not name and len(names) == 1:
        name = names[0]
    if name not in names:
        raise BadInput(
            f"say which workshop: {', '.join(names) or 'there is none yet'}", "--workshop"
        )
    return unit.workshops.get(name)


def _person(shop: Workshop, name: str) -> Person:
    people = {person.name: person for person in shop.people}
    if not name and len(people) == 1:
        return shop.people[0]
    if name not in people:
        near = did_you_mean(name, people) or f": say which of {', '.join(people)}"
        raise BadInput(f"there is no person {shown(name)} in {shop.name}{near}", "--person")
    return people[name]


def _plain(value: object) -> object:
    if isinstance(value, dt.time):
        return value.isoformat("minutes")
    if isinstance(value, frozenset):
        return sorted(str(role) for role in value)
    return value


def _read(name: str, value: object) -> object:
    if name in ("quiet_from", "quiet_until"):
        return dt.time.fromisoformat(str(value))
    if name == "silent":
        return frozenset(Role(role) for role in value) if isinstance(value, list) else frozenset()
    return value
