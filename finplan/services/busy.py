"""When people are busy, taken from their own calendars: times, and no word of what they are for."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.planning.hours import open_stretches
from finplan.services.air import workshop_named
from finplan.services.caldav import PUSHED_TO, Place, connected_to, keep_place, kept_place
from finplan.services.gather import own_items
from finplan.services.keep import workshop_replanned
from finplan.services.reading import read_bytes
from finplan.services.workshops import person_named
from finplan.trade.moments import find_zone
from finplan.trade.workshop import Person, Stretch, Workshop

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.store.store import Unit

BUSY_AHEAD = dt.timedelta(days=400)
"""How far ahead busy times are read: the planner's year, and some."""


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose calendar it is; '' where the workshop, or its person, is the only one."""

    workshop: str = ""
    person: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """How many stretches were taken, and how many items of the calendar could not be read.

    ``moved``: a sentence for each step of the plan that moved.
    """

    person: str
    stretches: int
    unread: int = 0
    moved: tuple[str, ...] = ()


def busy_of_file(session: Session, file: Path, whose: Whose) -> Taken:
    """Take a person's busy times from an iCalendar file; they replace those taken from it before.

    Raises:
        BadInput: no such workshop or person, or the file can't be read; nothing is kept then.
    """
    from finplan.calendars.busy import busy_times

    data = read_bytes(file)
    zone, own = _reading(session, whose)
    found = busy_times(data, session.now, session.now + BUSY_AHEAD, zone, str(file), own)
    return _keep(session, whose, _source("file", file.name), found)


def busy_of_calendar(session: Session, place: Place, password: str, whose: Whose) -> Taken:
    """Take a person's busy times from a calendar on a server; they replace those taken before.

    The calendar is remembered, its password is not.

    Raises:
        BadInput: no such workshop or person, or the server can't be used; nothing is kept then.
    """
    from finplan.calendars.busy import busy_times_of_items

    zone, own = _reading(session, whose)
    end = session.now + BUSY_AHEAD
    with connected_to(place, password) as opened:
        events = opened(place.calendar).events_between(session.now, end)
    items = [event.data for event in events.values()]
    found, unread = busy_times_of_items(items, session.now, end, zone, own)
    taken = _keep(session, whose, _source(place.user, place.calendar), found)
    keep_place(session, _setting(session, whose), place)
    return replace(taken, unread=unread)


def busy_place(session: Session, whose: Whose) -> Place | None:
    """Return the calendar a person's busy times were taken from last.

    Where none was taken yet it is the account pushed to, no calendar of it chosen.

    Raises:
        BadInput: no such workshop or person.
    """
    kept = kept_place(session, _setting(session, whose))
    account = kept_place(session, PUSHED_TO)
    return kept or (replace(account, calendar="") if account else None)


def hours_ahead(
    session: Session, workshop: str, days: int
) -> tuple[str, ZoneInfo, tuple[tuple[dt.datetime, dt.datetime], ...]]:
    """Return a workshop's name, its zone and the stretches in which somebody works, from now on.

    Args:
        session: the open session.
        workshop: its name; '' where there is only one.
        days: how many days ahead.

    Raises:
        BadInput: an unknown workshop, or several and none named.
    """
    with session.store.unit(writes=False) as unit:
        shop = workshop_named(unit, workshop or None)
    zone, until = ZoneInfo(shop.zone), session.now + dt.timedelta(days=days)
    found = open_stretches(shop.people, zone, session.now, until)
    return shop.name, zone, found


def forget_busy(session: Session, whose: Whose) -> Taken:
    """Drop all busy times of a person, from whatever calendar, and the calendar itself.

    Raises:
        BadInput: no such workshop or person.
    """
    setting = _setting(session, whose)
    with session.store.unit() as unit:
        shop, who = _found(unit, whose)
        _put(unit, shop, who, ())
        unit.settings.remove(setting)
        unit.commit()
    return Taken(who.name, len(who.busy), moved=workshop_replanned(session, shop.name))


def _reading(session: Session, whose: Whose) -> tuple[ZoneInfo, frozenset[str]]:
    """Return the workshop's zone and the UIDs of finplan's own calendar items."""
    with session.store.unit(writes=False) as unit:
        shop, _ = _found(unit, whose)
        return find_zone(shop.zone), own_items(unit)


def _keep(session: Session, whose: Whose, source: str, found: tuple[Stretch, ...]) -> Taken:
    with session.store.unit() as unit:
        shop, who = _found(unit, whose)
        kept = [one for one in who.busy if one.source != source]
        taken = [replace(one, source=source) for one in found]
        busy = sorted([*kept, *taken], key=lambda one: (one.start, one.end, one.source))
        _put(unit, shop, who, tuple(busy))
        unit.commit()
    return Taken(who.name, len(found), moved=workshop_replanned(session, shop.name))


def _put(unit: Unit, shop: Workshop, who: Person, busy: tuple[Stretch, ...]) -> None:
    changed = replace(who, busy=busy)
    people = tuple(changed if one is who else one for one in shop.people)
    unit.workshops.put(replace(shop, people=people))


def _source(*names: str) -> str:
    """Return what tells a calendar from others without naming it, in a file that is passed on."""
    return hashlib.sha256("\n".join(names).encode()).hexdigest()[:12]


def _setting(session: Session, whose: Whose) -> str:
    with session.store.unit(writes=False) as unit:
        shop, who = _found(unit, whose)
    return f"busy times of {who.name} in {shop.name}"


def _found(unit: Unit, whose: Whose) -> tuple[Workshop, Person]:
    shop = workshop_named(unit, whose.workshop or None)
    return shop, person_named(shop, whose.person or None)
