"""Checks of a workshop: people, hours that really open, spaces, monthly air."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from finplan.trade.checks import check_stretch, no_twins
from finplan.trade.day_rules import check_rule
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone
from finplan.trade.names import clean_text
from finplan.trade.plain import place_of, within

if TYPE_CHECKING:
    from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

DAY_MINUTES = 24 * 60


def check_workshop(workshop: Workshop, where: str = "") -> None:
    """Refuse a workshop that can't be meant. People may be without hours for a while.

    Raises:
        BadInput: unknown zone, no spaces, a rule that is not RFC 5545, a window that
            never opens, air that can't be, quantile or minutes out of range.
    """
    clean_text(workshop.name, within(where, "name"))
    find_zone(workshop.zone, within(where, "zone"))
    if not workshop.spaces:
        raise BadInput("it has no space for wet work: add one with its rack area", where)
    if not 0.5 <= workshop.safe_quantile <= 0.99:
        raise BadInput(
            f"{workshop.safe_quantile:g} is no safe quantile: give 0.5 to 0.99",
            within(where, "safe_quantile"),
        )
    for name in ("dust_settles_minutes", "shortest_piece_minutes"):
        if not 0 <= getattr(workshop, name) <= DAY_MINUTES:
            raise BadInput("give minutes from 0 to 1440", within(where, name))
    no_twins([person.name for person in workshop.people], "person", where)
    no_twins([space.name for space in workshop.spaces], "space", where)
    for number, person in enumerate(workshop.people, start=1):
        place = place_of(within(where, "people"), number, person.name)
        _check_person(person, workshop.zone, place)
    for number, space in enumerate(workshop.spaces, start=1):
        check_space(space, place_of(within(where, "spaces"), number, space.name))


def check_window(window: WorkWindow, where: str = "") -> None:
    """Refuse a work window whose rule is not RFC 5545, or that never opens.

    Raises:
        BadInput: says which part of the rule is wrong.
    """
    if not 1 <= window.minutes <= DAY_MINUTES:
        raise BadInput(
            f"{window.minutes} minutes: a work window lasts 1 to 1440", within(where, "minutes")
        )
    if window.start.tzinfo is not None:
        raise BadInput("the start of a window is a local time: leave the zone out", where)
    check_rule(window.rule, within(where, "rule"))


def check_space(space: Space, where: str = "") -> None:
    """Refuse a space without rack or with air that can't be."""
    clean_text(space.name, within(where, "name"))
    if not math.isfinite(space.rack_area_m2) or not 0 < space.rack_area_m2 <= 100_000:
        raise BadInput(
            f"{space.rack_area_m2:g} m²: give more than 0 and at most 100000 m²",
            within(where, "rack_area_m2"),
        )
    check_normals(space.normals, within(where, "normals"))


def check_normals(normals: MonthlyNormals, where: str) -> None:
    """Refuse monthly normals that are no climate.

    Raises:
        BadInput: not twelve values, or ones that no air has.
    """
    for name, low, high in (
        ("mean_c", -60, 60),
        ("daily_swing_c", 0, 40),
        ("mean_rh_percent", 1, 100),
    ):
        values = getattr(normals, name)
        if len(values) != 12:
            raise BadInput(f"{len(values)} values: give twelve, January first", within(where, name))
        for month, value in enumerate(values, start=1):
            if not math.isfinite(value) or not low <= value <= high:
                raise BadInput(
                    f"{value:g} in month {month}: give values from {low} to {high}",
                    within(where, name),
                )


def _check_person(person: Person, zone: str, where: str) -> None:
    clean_text(person.name, within(where, "name"))
    for number, window in enumerate(person.windows, start=1):
        check_window(window, within(where, f"windows {number}"))
    for stretch in person.busy:
        check_stretch(stretch, zone, within(where, "busy"))
