"""Workshops: who works when, and which rooms there are; change them without a file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from finplan.services.air import workshop_named
from finplan.services.gather import active_projects
from finplan.services.keep import workshop_replanned
from finplan.services.whole import check_whole
from finplan.trade.errors import BadInput
from finplan.trade.names import clean_text, did_you_mean, shown
from finplan.trade.steps import StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow
from finplan.trade.workshop_checks import check_workshop

if TYPE_CHECKING:
    from finplan.services.session import Session

SAID = "what the woodworker said of the room"
"""The source of a room's usual air that was told in two numbers."""

Change = Callable[[Workshop], Workshop]
"""Gets a workshop as it is, returns it as it should be."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A workshop as it is now, and a sentence for each step of the plan that moved."""

    workshop: Workshop
    moved: tuple[str, ...]


def list_workshops(session: Session, name: str | None = None) -> tuple[Workshop, ...]:
    """Return all workshops, or the one called ``name``."""
    with session.store.unit(writes=False) as unit:
        return (unit.workshops.get(name),) if name is not None else unit.workshops.list()


def change_workshop(session: Session, name: str | None, changes: list[Change]) -> Changed:
    """Keep a changed workshop and plan its projects anew.

    Args:
        session: the open session.
        name: which one; None where there is only one.
        changes: what is to be changed, in order.

    Raises:
        BadInput: it cannot be so, or a project would no longer fit it. Nothing is kept then.
    """
    with session.store.unit() as unit:
        workshop = workshop_named(unit, name)
        for change in changes:
            workshop = change(workshop)
        check_workshop(workshop)
        unit.workshops.put(workshop)
        for project in active_projects(unit):
            if project.workshop == workshop.name:
                check_whole(unit, project)
        unit.commit()
    return Changed(workshop, workshop_replanned(session, workshop.name))


def with_hours(who: str | None, windows: tuple[WorkWindow, ...]) -> Change:
    """Give a person these hours; a name that is not there yet is a new person."""

    def change(shop: Workshop) -> Workshop:
        if who is not None and who not in {person.name for person in shop.people}:
            return replace(
                shop, people=(*shop.people, Person(clean_text(who, "--person"), windows))
            )
        return _with_person(shop, who, lambda person: replace(person, windows=windows))

    return change


def with_days_off(
    who: str | None, off: tuple[dt.date, ...] = (), back: tuple[dt.date, ...] = ()
) -> Change:
    """Give a person days off, and take others back."""

    def on(person: Person) -> Person:
        days = (set(person.days_off) | set(off)) - set(back)
        return replace(person, days_off=tuple(sorted(days)))

    return lambda shop: _with_person(shop, who, on)


def with_skills(who: str | None, kinds: frozenset[StepKind] | None) -> Change:
    """Say which kinds of steps a person can do; None is all of them."""
    return lambda shop: _with_person(shop, who, lambda person: replace(person, can=kinds))


def without_person(who: str | None) -> Change:
    """Let a person leave."""

    def change(shop: Workshop) -> Workshop:
        leaving = person_named(shop, who)
        left = tuple(person for person in shop.people if person is not leaving)
        if not left:
            raise BadInput(f"{leaving.name} is the last one: somebody has to work", shop.name)
        return replace(shop, people=left)

    return change


def with_space(
    name: str | None, rack_area_m2: float | None, air: tuple[float, float] | None
) -> Change:
    """Give a room another rack or usual air (°C, %); a name not there yet is a new room."""
    normals = air and MonthlyNormals((air[0],) * 12, (0.0,) * 12, (air[1],) * 12, SAID)

    def change(shop: Workshop) -> Workshop:
        names = [space.name for space in shop.spaces]
        if name is not None and name not in names:
            if rack_area_m2 is None or not normals:
                raise BadInput(
                    f"{shown(name)} is a new room: give --rack, --temp and --rh too", shop.name
                )
            new = Space(clean_text(name, "--space"), rack_area_m2, normals)
            return replace(shop, spaces=(*shop.spaces, new))
        if name is None and len(names) > 1:
            raise BadInput(f"several rooms: name one of {', '.join(names)} with --space", shop.name)
        spaces = tuple(
            replace(
                space,
                rack_area_m2=rack_area_m2 or space.rack_area_m2,
                normals=normals or space.normals,
            )
            if name in (None, space.name)
            else space
            for space in shop.spaces
        )
        return replace(shop, spaces=spaces)

    return change


def with_safety(quantile: float) -> Change:
    """Take another share of coats that have to be ready by a safe time."""
    return lambda shop: replace(shop, safe_quantile=quantile)


def _with_person(shop: Workshop, who: str | None, change: Callable[[Person], Person]) -> Workshop:
    meant = person_named(shop, who)
    people = tuple(change(person) if person is meant else person for person in shop.people)
    return replace(shop, people=people)


def person_named(shop: Workshop, who: str | None) -> Person:
    """Return the person of that name, or with None the only one there is.

    Raises:
        BadInput: no such person, or several to choose from.
    """
    people = {person.name: person for person in shop.people}
    if who is None and len(people) == 1:
        return shop.people[0]
    if who is None:
        raise BadInput(f"say who with --person: {', '.join(people) or 'nobody yet'}", shop.name)
    if who not in people:
        near = did_you_mean(who, people) or f": there are {', '.join(people)}"
        raise BadInput(f"there is no person {shown(who)}{near}", shop.name)
    return people[who]
