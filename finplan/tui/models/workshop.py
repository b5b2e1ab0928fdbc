"""The workshop: people with their hours, days off, rooms with their racks and good air."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from finplan.services.workshops import usual_air
from finplan.trade.names import counted
from finplan.trade.quantities import format_area
from finplan.trade.work_hours import say_hours
from finplan.trade.workshop import Person, Space, Workshop
from finplan.tui.models.air import finishes_in
from finplan.tui.models.hours import open_hours
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, line, tidy, wrap
from finplan.tui.models.table import Cell, Column, Row, Table
from finplan.tui.models.times import date, local
from finplan.tui.models.view import View

AHEAD = dt.timedelta(days=7)
"""How far ahead hours of good air are counted."""
_HOUR = dt.timedelta(hours=1)
_DAY = dt.timedelta(days=1)
NOTHING = "There is no workshop yet: it comes with the first project. N begins one."

PEOPLE_COLUMNS = (
    Column("person", 6),
    Column("works", 44, grow=1),
    Column("besides", 8, drop=1),
)
DAYS_COLUMNS = (Column("day off", 20), Column("who", 8, grow=1), Column("days", 4, right=True))


@dataclass(frozen=True, slots=True)
class Off:
    """Days off of one person in a row, both ends included."""

    who: str
    first: dt.date
    last: dt.date

    @property
    def key(self) -> str:
        """The key of its row."""
        return f"{self.first}/{self.who}"

    @property
    def days(self) -> tuple[dt.date, ...]:
        """Every day of it."""
        return tuple(self.first + n * _DAY for n in range((self.last - self.first).days + 1))


@dataclass(frozen=True, slots=True)
class GoodAir:
    """Hours of the days ahead in which a finish may go on, and those of them somebody works in."""

    finish: str
    hours: float
    of_work: float


def people_table(view: View) -> Table:
    """Return who works when; the key of a row is the person's name."""
    people = view.workshop.people if view.workshop else ()
    rows = tuple(
        Row(
            one.name,
            (
                Cell(one.name, Role.STRONG),
                Cell(say_hours(one.windows), Role.PLAIN if one.windows else Role.WATCH),
                Cell(_besides(one), Role.QUIET),
            ),
        )
        for one in people
    )
    empty = "Nobody works here yet. a adds somebody." if view.workshop else NOTHING
    return Table(PEOPLE_COLUMNS, rows, empty=empty)


def _besides(person: Person) -> str:
    told = [f"only {', '.join(sorted(person.can))}"] if person.can is not None else []
    if person.busy:
        told.append(f"busy {counted(len(person.busy), 'time')}")
    return " · ".join(told)


def days_off(view: View) -> tuple[Off, ...]:
    """Return the days off still to come, those in a row as one, the first on top."""
    shop = view.workshop
    if shop is None:
        return ()
    today = local(view.now, shop.zone).date()
    found = (
        off
        for one in shop.people
        for off in _in_a_row(one.name, (day for day in one.days_off if day >= today))
    )
    return tuple(sorted(found, key=lambda off: (off.first, off.who)))


def _in_a_row(who: str, days: Iterable[dt.date]) -> Iterator[Off]:
    first = last = None
    for day in sorted(days):
        if first is not None and last is not None and day == last + _DAY:
            last = day
            continue
        if first is not None and last is not None:
            yield Off(who, first, last)
        first = last = day
    if first is not None and last is not None:
        yield Off(who, first, last)


def days_table(view: View) -> Table:
    """Return the days off still to come; the keys are those of ``Off``."""
    this_year = local(view.now, view.zone).year
    rows = tuple(
        Row(
            off.key,
            (
                Cell(_days_said(off, this_year), Role.STRONG),
                Cell(off.who),
                Cell(str(len(off.days))),
            ),
        )
        for off in days_off(view)
    )
    empty = "No day off is to come. o adds one." if view.workshop else ""
    return Table(DAYS_COLUMNS, rows, empty=empty)


def _days_said(off: Off, this_year: int) -> str:
    first, last = date(off.first, this_year), date(off.last, this_year)
    return first if off.first == off.last else f"{first} to {last}"


def rooms_table(view: View) -> Table:
    """Return the rooms with rack, usual air and good air; the key of a row is the room's name."""
    columns = (
        Column("room", 6),
        Column("rack", 6, right=True),
        Column("usual air", 10, grow=1),
        Column("good air, 7 days", 15),
    )
    spaces = view.workshop.spaces if view.workshop else ()
    rows = []
    for one in spaces:
        rows.append(
            Row(
                one.name,
                (
                    Cell(one.name, Role.STRONG),
                    Cell(rack_said(one, view.measures)),
                    Cell(usual_air(one, view.measures.units)),
                    _good_cell(good_air(view, one.name)),
                ),
            )
        )
    return Table(columns, tuple(rows))


def _good_cell(told: Sequence[GoodAir]) -> Cell:
    """Return the hours of good air of the finish with the fewest, and those of them worked in."""
    if not told:
        return Cell("nothing to coat", Role.QUIET)
    worst = min(told, key=lambda good: (good.of_work, good.hours))
    role = Role.GOOD if worst.of_work else Role.WATCH
    return Cell(f"{worst.hours:.0f} h, {worst.of_work:.0f} h of work", role)


def rack_said(space: Space, measures: Measures) -> str:
    """Return a rack's area as it is shown and may be typed: ``3.25 m²`` or ``35 ft²``."""
    return format_area(space.rack_area_m2, measures.units)


def good_air(view: View, space: str) -> tuple[GoodAir, ...]:
    """Return in how many of the hours ahead each finish still to go on in a room may do so."""
    from finplan.services.air_shown import good_hours

    air = view.planned.air.get(space) if view.planned else None
    if air is None:
        return ()
    until = view.now + AHEAD
    work = tuple((start, min(end, until)) for start, end in open_hours(view))
    told = []
    for finish in finishes_in(view, space):
        good = good_hours(finish, air, view.now, until).stretches
        shared = sum(
            (max(min(a[1], b[1]) - max(a[0], b[0]), dt.timedelta(0)) for a in good for b in work),
            dt.timedelta(0),
        )
        hours = sum((end - start for start, end in good), dt.timedelta(0))
        told.append(GoodAir(finish.title, hours / _HOUR, shared / _HOUR))
    return tuple(told)


def room_words(view: View, space: str, width: int) -> tuple[Line, ...]:
    """Return when each finish may go on in a room, and where its usual air is from."""
    shop = view.workshop
    one = next((one for one in shop.spaces if one.name == space), None) if shop else None
    if one is None:
        return ()
    lines: list[Line] = []
    for good in good_air(view, space):
        lines += wrap(
            f"{tidy(good.finish, 60)} may go on in {good.hours:.0f} h of the next 7 days, "
            f"{good.of_work:.0f} h of them work hours.",
            width,
            Role.PLAIN if good.of_work else Role.WATCH,
        )
    apart = " Sanding is done elsewhere." if one.dust_apart else ""
    air = f"Usual air {usual_air(one, view.measures.units)}: {tidy(one.normals.source)}.{apart}"
    return (*lines, *wrap(air, width, Role.QUIET))


def person_words(view: View, name: str, width: int) -> tuple[Line, ...]:
    """Return when a person works, and how many hours that is of the days ahead."""
    from finplan.planning.hours import open_stretches

    shop = view.workshop
    one = next((one for one in shop.people if one.name == name), None) if shop else None
    if shop is None or one is None:
        return ()
    ahead = open_stretches((one,), ZoneInfo(shop.zone), view.now, view.now + AHEAD)
    hours = sum((end - start for start, end in ahead), dt.timedelta(0)) / _HOUR
    less = "days off and busy times left out" if one.busy else "days off left out"
    told = f"{tidy(one.name)}: {say_hours(one.windows)}"
    return wrap(f"{told}. {hours:.0f} h in the next 7 days, {less}.", width)


def workshop_title(shop: Workshop | None, zone: str) -> str:
    """Return whose hours the screen shows, and in which zone where that is another one."""
    if shop is None:
        return "People"
    there = f" · hours as in {shop.zone}" if shop.zone != zone else ""
    return f"People of {shop.name}{there}"


def workshop_words(shop: Workshop | None, width: int) -> tuple[Line, ...]:
    """Return the workshop in general: its zone, and what a safe time is here."""
    if shop is None:
        return wrap(NOTHING, width)
    return (
        line((tidy(shop.name, 60), Role.HEADING)),
        *wrap(f"Hours and days are those of {shop.zone}.", width),
        *wrap(f"A safe time is one by which {shop.safe_quantile:.0%} are ready.", width),
        (),
        *wrap(
            "Every change plans all projects of the workshop anew, and u takes it back. Hours of "
            "single days come best from a calendar: finplan busy.",
            width,
            Role.QUIET,
        ),
    )
