"""Workshops: who works when, and which rooms there are; change them without a file."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from finplan.services.air import workshop_named
from finplan.services.editing import Edited, differing, refuse_changed
from finplan.services.gather import active_projects
from finplan.services.keep import swap_kept, workshop_replanned
from finplan.services.upkeep import check_place_of_work
from finplan.services.whole import check_whole
from finplan.services.write import moment_after_workshop
from finplan.store.edits import workshop_uid
from finplan.trade.errors import BadInput
from finplan.trade.names import clean_text, did_you_mean, shown
from finplan.trade.plain import from_plain, to_json
from finplan.trade.quantities import Units, format_temperature
from finplan.trade.steps import StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow
from finplan.trade.workshop_checks import check_workshop

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.store.edits import Edit
    from finplan.store.store import Unit

SAID = "what the woodworker said of the room"
"""The source of a room's usual air that was told in two numbers."""

Change = Callable[[Workshop], Workshop]
"""Gets a workshop as it is, returns it as it should be."""

_WORDS = {
    "windows": "hours",
    "days_off": "days off",
    "can": "kinds of work",
    "rack_area_m2": "rack",
    "normals": "usual air",
}
"""What may change of a person or a room, in words."""

_Named = Person | Space


@dataclass(frozen=True, slots=True)
class Changed:
    """A workshop as it is now, what of it changed, and a sentence for each step that moved."""

    workshop: Workshop
    words: str = "nothing was changed"
    moved: tuple[str, ...] = ()


def list_workshops(session: Session, name: str | None = None) -> tuple[Workshop, ...]:
    """Return all workshops, or the one called ``name``."""
    with session.store.unit(writes=False) as unit:
        return (unit.workshops.get(name),) if name is not None else unit.workshops.list()


def change_workshop(session: Session, name: str | None, changes: Sequence[Change]) -> Changed:
    """Keep a changed workshop and plan its projects anew.

    Args:
        session: the open session.
        name: which one; None where there is only one.
        changes: what is to be changed, in order.

    Raises:
        BadInput: it cannot be so, or a project would no longer fit it. Nothing is kept then.
    """
    with session.store.unit() as unit:
        old = workshop_named(unit, name)
        workshop = changed(old, changes)
        if workshop == old:
            return Changed(workshop)
        _put(unit, workshop)
        before, after = differing(_plain(old), _plain(workshop))
        now, words = moment_after_workshop(session, unit, old.name), _words(old, workshop)
        unit.edits.add(workshop_uid(old.name), now, words, before, after)
        unit.commit()
    return Changed(workshop, words, workshop_replanned(session, workshop.name))


def changed(workshop: Workshop, changes: Sequence[Change]) -> Workshop:
    """Return a workshop as changes make it; nothing is kept.

    Raises:
        BadInput: it cannot be so. Whether what is made in it still fits is seen when it is kept.
    """
    for change in changes:
        workshop = change(workshop)
    check_workshop(workshop)
    return workshop


def take_back(session: Session, edit: Edit, name: str) -> Edited:
    """Undo a change of a workshop.

    Raises:
        BadInput: what it changed was changed again since, or what it added is needed by now.
    """
    return _turn(session, edit, name, edit.after, edit.before, undo=True)


def bring_back(session: Session, edit: Edit, name: str) -> Edited:
    """Do a change of a workshop again that was undone.

    Raises:
        BadInput: what it changed was changed since.
    """
    return _turn(session, edit, name, edit.before, edit.after, undo=False)


def _turn(
    session: Session,
    edit: Edit,
    name: str,
    expected: Mapping[str, object],
    wanted: Mapping[str, object],
    *,
    undo: bool,
) -> Edited:
    with session.store.unit() as unit:
        old = unit.workshops.get(name)
        plain = _plain(old)
        refuse_changed(edit, plain, expected, f"workshop {name}", undo=undo)
        new = from_plain(Workshop, {**plain, **wanted}, f"workshop {name!r}")
        _put(unit, _busy_as(old, new))
        unit.edits.mark(edit, moment_after_workshop(session, unit, name) if undo else None)
        shown = swap_kept(unit, name)
        unit.commit()
    return Edited(name, edit.words, workshop_replanned(session, name, shown, undone=True))


def _put(unit: Unit, workshop: Workshop) -> None:
    """Keep a workshop that can be so, and that all that is made in it still fits."""
    check_workshop(workshop)
    unit.workshops.put(workshop)
    for project in active_projects(unit):
        if project.workshop == workshop.name:
            check_whole(unit, project)
    for piece in unit.pieces.list():
        if piece.workshop == workshop.name:
            check_place_of_work(unit, piece)


def _plain(shop: Workshop) -> dict[str, object]:
    """Return a workshop's fields without busy times: calendars bring these again and again."""
    told: dict[str, object] = json.loads(
        to_json(_with_people(shop, lambda one: replace(one, busy=())))
    )
    return told


def _busy_as(there: Workshop, shop: Workshop) -> Workshop:
    """Give the people of a workshop the busy times they have there."""
    busy = {person.name: person.busy for person in there.people}
    return _with_people(shop, lambda one: replace(one, busy=busy.get(one.name, ())))


def _with_people(shop: Workshop, change: Callable[[Person], Person]) -> Workshop:
    return replace(shop, people=tuple(change(person) for person in shop.people))


def _words(old: Workshop, new: Workshop) -> str:
    """Return what changed: ``hours of Kim; rack of loft``."""
    told = [*_changed(old.people, new.people), *_changed(old.spaces, new.spaces)]
    if old.safe_quantile != new.safe_quantile:
        told.append(f"{new.safe_quantile:.0%} ready by a safe time")
    return "; ".join(told)


def _changed(old: tuple[_Named, ...], new: tuple[_Named, ...]) -> Iterator[str]:
    before, after = ({one.name: one for one in some} for some in (old, new))
    yield from (f"{name} leaves" for name in before if name not in after)
    for name, one in after.items():
        was = before.get(name)
        if was is None:
            yield f"{name} is new"
        elif was != one:
            yield f"{' and '.join(_fields(was, one))} of {name}"


def _fields(was: _Named, one: _Named) -> list[str]:
    return [
        words
        for field, words in _WORDS.items()
        if getattr(was, field, None) != getattr(one, field, None)
    ]


def usual_air(space: Space, units: Units) -> str:
    """Return the air of a room where nothing better is known: ``3 °C to 19 °C, 55 to 80 % RH``."""
    normals = space.normals
    cold, warm = (format_temperature(of(normals.mean_c), units) for of in (min, max))
    dry, damp = (f"{of(normals.mean_rh_percent):.0f}" for of in (min, max))
    warmth = cold if cold == warm else f"{cold} to {warm}"
    return f"{warmth}, {dry if dry == damp else f'{dry} to {damp}'} % RH"


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
    return _with_people(shop, lambda person: change(person) if person is meant else person)


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
