"""What is asked of a workshop: a person's hours, days off, a room's rack and usual air."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from finplan.services.workshops import (
    changed,
    usual_air,
    with_days_off,
    with_hours,
    with_skills,
    with_space,
)
from finplan.trade.errors import BadInput
from finplan.trade.names import counted
from finplan.trade.steps import EVERY_KIND, parse_kinds
from finplan.trade.work_hours import parse_hours, say_hours
from finplan.trade.workshop import Person, Space, Workshop
from finplan.tui.models.forms import (
    Field,
    Form,
    Understood,
    day_reader,
    humidity_reader,
    kept_while,
    needed_text,
    temperature_reader,
)
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, line, tidy
from finplan.tui.models.start import area_reader
from finplan.tui.models.times import local
from finplan.tui.models.workshop import Off, rack_said

if TYPE_CHECKING:
    from finplan.services.workshops import Change

HOURS_HINT = "weekday evenings 6-9, sat 8-17 · none"
LONGEST_LEAVE = dt.timedelta(days=366)
"""Days off given at once (assumption: nobody means more than a year)."""

Changes = Callable[[Mapping[str, Any]], tuple["Change", ...]]
"""Turns what a form asked into changes of the workshop."""


def _form(
    shop: Workshop,
    key: str,
    title: str,
    fields: Sequence[Field],
    changes: Changes,
    lines: tuple[Line, ...] = (),
) -> Form:
    """A form that refuses what the workshop could not be, in the words of the service."""

    def check(values: Mapping[str, object]) -> None:
        changed(shop, changes(values))

    return Form(f"{key}:{shop.name}", title, tuple(fields), "Keep", lines, check=check)


def _in_zone(shop: Workshop, what: str) -> tuple[Line, ...]:
    return (line((f"{what} as in {shop.zone}", Role.QUIET)),)


def person_form(shop: Workshop, person: Person | None) -> tuple[Form, Changes]:
    """Ask for a person's hours and skills, of a new one (None) the name too."""
    said = say_hours(person.windows) if person else ""
    can = ", ".join(sorted(person.can)) if person and person.can is not None else EVERY_KIND
    hours = kept_while(said, person.windows, _hours) if person else _hours
    fields = [
        *([] if person else [Field("name", "Who", "", "Kim", needed_text("name the person"))]),
        Field("hours", "Works", said, HOURS_HINT, hours, wide=True),
        Field("can", "Can do", can, "all · sand, wipe off", _kinds),
    ]

    def changes(values: Mapping[str, Any]) -> tuple[Change, ...]:
        who = person.name if person else values["name"]
        if person is None and who in {one.name for one in shop.people}:
            raise BadInput(f"{who} works here already: mark the name and press e")
        return with_hours(who, values["hours"]), with_skills(who, values["can"])

    title = f"Work hours of {tidy(person.name, 40)}" if person else "Somebody new"
    key = f"person:{person.name if person else ''}"
    lines = _in_zone(shop, "Days, then hours,")
    return _form(shop, key, title, fields, changes, lines), changes


def _hours(text: str) -> Understood:
    windows = parse_hours(text)
    return windows, f"= {say_hours(windows)}"


def _kinds(text: str) -> Understood:
    kinds = parse_kinds(text if text.strip() else EVERY_KIND)
    return kinds, "= everything" if kinds is None else f"= only {counted(len(kinds), 'kind')}"


def day_off_form(shop: Workshop, who: str, now: dt.datetime) -> tuple[Form, Changes]:
    """Ask for a day off, or several in a row; ``who`` is the likeliest person."""
    read = partial(day_reader, now, shop.zone, earliest=local(now, shop.zone).date())
    names = tuple((one.name, tidy(one.name, 40)) for one in shop.people)
    fields = [
        Field("who", "Who", who or names[0][0], choices=names),
        Field("first", "Day off", "", "2026-12-24 · fri", read()),
        Field("last", "Up to", "", "the last day, if several", read(needed=False, empty="one day")),
    ]

    def changes(values: Mapping[str, Any]) -> tuple[Change, ...]:
        first, last = values["first"], values["last"] or values["first"]
        if last < first:
            raise BadInput("the last day off is before the first")
        if last - first > LONGEST_LEAVE:
            days = counted((last - first).days + 1, "day")
            raise BadInput(f"{days} off in a row: give a year at most")
        return (with_days_off(values["who"], Off(values["who"], first, last).days),)

    lines = _in_zone(shop, "Days")
    return _form(shop, "day off", "Days off", fields, changes, lines), changes


def room_form(shop: Workshop, space: Space | None, measures: Measures) -> tuple[Form, Changes]:
    """Ask for a room's rack and usual air, of a new one (None) the name too."""
    rack = rack_said(space, measures) if space else ""
    area = partial(area_reader, measures=measures)
    warm, damp = usual_air(space, measures.units).split(", ") if space else ("", "")
    warmth = temperature_reader(measures, needed=True)
    fields = [
        *([] if space else [Field("name", "Room", "", "loft", needed_text("name the room"))]),
        Field(
            "rack_area_m2",
            "Rack",
            rack,
            "4 m2" if measures.metric else "40 sq ft",
            kept_while(rack, None, area) if space else area,
        ),
        Field(
            "temperature_c",
            "Warmth",
            "",
            "as it is" if space else measures.hint(18),
            _unless_empty(warmth, warm) if space else warmth,
        ),
        Field(
            "humidity_percent",
            "Humidity",
            "",
            "as it is" if space else "55",
            _unless_empty(_humidity, damp) if space else _humidity,
        ),
    ]

    def changes(values: Mapping[str, Any]) -> tuple[Change, ...]:
        name = space.name if space else values["name"]
        if space is None and name in {one.name for one in shop.spaces}:
            raise BadInput(f"there is a room {name} already: mark it and press e")
        air = (values["temperature_c"], values["humidity_percent"])
        if (air[0] is None) != (air[1] is None):
            raise BadInput("give both warmth and humidity, or neither: they are of the same air")
        return (with_space(name, values["rack_area_m2"], None if air[0] is None else air),)

    title = f"Room: {tidy(space.name, 40)}" if space else "A new room"
    key = f"room:{space.name if space else ''}"
    return _form(shop, key, title, fields, changes), changes


def _humidity(text: str) -> Understood:
    if not text.strip():
        raise BadInput("no humidity given: write it in percent, such as 55")
    return humidity_reader(text)


def _unless_empty(read: Callable[[str], Understood], as_it_is: str) -> Callable[[str], Understood]:
    return lambda text: read(text) if text.strip() else (None, f"as it is: {as_it_is}")
