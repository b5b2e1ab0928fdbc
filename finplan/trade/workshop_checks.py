"""Checks of a workshop: people, hours that really open, spaces, monthly air."""

from __future__ import annotations

import datetime as dt
import math
import re
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, say_moment
from finplan.trade.names import clean_text, shown

if TYPE_CHECKING:
    from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

RULE_BEGINS = dt.datetime(2024, 1, 1)  # noqa: DTZ001  (local wall-clock days, a Monday)
_FREQUENCIES = frozenset({"DAILY", "WEEKLY", "MONTHLY", "YEARLY"})
_RULE_PARTS = (
    *("FREQ", "INTERVAL", "COUNT", "UNTIL", "WKST", "BYDAY", "BYMONTH", "BYMONTHDAY"),
    *("BYSETPOS", "BYWEEKNO", "BYYEARDAY"),
)


def check_workshop(workshop: Workshop) -> None:
    """Refuse a workshop nobody could work in.

    Raises:
        BadInput: unknown zone, no people or spaces, a rule that is not RFC 5545, a window that
            never opens, air that can't be, quantile or minutes out of range.
    """
    clean_text(workshop.name, "workshop name")
    place = f"workshop {shown(workshop.name)}"
    find_zone(workshop.zone, f"{place}, zone")
    if not workshop.people:
        raise BadInput("nobody works there: add a person with work windows", place)
    if not workshop.spaces:
        raise BadInput("has no space for wet work: add one with its rack area", place)
    if not 0.5 <= workshop.safe_quantile <= 0.99:
        raise BadInput(f"safe quantile {workshop.safe_quantile:g} is outside 0.5 to 0.99", place)
    if not 0 <= workshop.dust_settles_minutes <= 24 * 60:
        raise BadInput("'dust_settles_minutes' is outside 0 to 1440", place)
    if not 1 <= workshop.shortest_piece_minutes <= 24 * 60:
        raise BadInput("'shortest_piece_minutes' is outside 1 to 1440", place)
    _unique_names([person.name for person in workshop.people], "people", place)
    _unique_names([space.name for space in workshop.spaces], "spaces", place)
    for person in workshop.people:
        _check_person(person, workshop.zone, place)
    for space in workshop.spaces:
        check_space(space, place)


def check_window(window: WorkWindow, where: str = "") -> None:
    """Refuse a work window whose rule is not RFC 5545, or that never opens.

    Raises:
        BadInput: says which part of the rule is wrong.
    """
    if not 1 <= window.minutes <= 24 * 60:
        raise BadInput(
            f"{window.minutes} minutes: a work window lasts from 1 minute to 24 hours", where
        )
    if window.start.tzinfo is not None:
        raise BadInput("the start of a window is a local time: leave the zone out", where)
    rule = window.rule
    parts = dict(part.partition("=")[::2] for part in rule.strip().upper().split(";"))
    if len(rule) > 200 or parts.get("FREQ") not in _FREQUENCIES:
        raise BadInput(
            f"rule {shown(rule)} is no rule for days: write e.g. FREQ=WEEKLY;BYDAY=MO,WE,FR", where
        )
    if unknown := [key for key in parts if key not in _RULE_PARTS]:
        raise BadInput(f"rule {shown(rule)} has a part {shown(unknown[0])} that days lack", where)
    if re.fullmatch(r"0*[1-9]\d{0,3}", parts.get("INTERVAL", "1")) is None:
        raise BadInput(f"rule {shown(rule)}: INTERVAL must be 1 to 9999", where)
    _require_opening(window, where)


def _require_opening(window: WorkWindow, where: str) -> None:
    """Look for one day the rule gives; the search itself gives up at the year 9999."""
    from dateutil.rrule import rrule, rrulestr

    try:
        rule = rrulestr(window.rule.strip().upper(), dtstart=RULE_BEGINS)
        if not isinstance(rule, rrule):
            raise ValueError("one rule, please")
        first = next(iter(rule), None)
    except (ValueError, TypeError, KeyError, AttributeError, IndexError, OverflowError) as error:
        raise BadInput(
            f"rule {shown(window.rule)} is not understood ({str(error)[:60]}): "
            "write e.g. FREQ=WEEKLY;BYDAY=SA",
            where,
        ) from None
    if first is None:
        raise BadInput(f"rule {shown(window.rule)} never opens: no day fits it", where)


def check_space(space: Space, where: str = "") -> None:
    """Refuse a space without rack or with air that can't be."""
    clean_text(space.name, f"{where}, space name" if where else "space name")
    place = f"{where}, space {shown(space.name)}" if where else f"space {shown(space.name)}"
    if not math.isfinite(space.rack_area_m2) or not 0 < space.rack_area_m2 <= 100_000:
        raise BadInput(
            f"rack area {space.rack_area_m2:g} m²: give more than 0 and at most 100000 m²", place
        )
    _check_normals(space.normals, place)


def _check_normals(normals: MonthlyNormals, place: str) -> None:
    for name, values, low, high in (
        ("mean_c", normals.mean_c, -60, 60),
        ("daily_swing_c", normals.daily_swing_c, 0, 40),
        ("mean_rh_percent", normals.mean_rh_percent, 1, 100),
    ):
        if len(values) != 12:
            raise BadInput(f"'{name}' has {len(values)} values: give 12, January first", place)
        for month, value in enumerate(values, start=1):
            if not math.isfinite(value) or not low <= value <= high:
                raise BadInput(
                    f"'{name}' is {value:g} in month {month}: give {low} to {high}", place
                )


def _check_person(person: Person, zone: str, place: str) -> None:
    clean_text(person.name, f"{place}, person name")
    inner = f"{place}, person {shown(person.name)}"
    if not person.windows:
        raise BadInput("has no work windows: add one, or leave the person out", inner)
    for number, window in enumerate(person.windows, start=1):
        check_window(window, f"{inner}, window {number}")
    for stretch in person.busy:
        if stretch.start.utcoffset() is None or stretch.end.utcoffset() is None:
            raise BadInput("a busy time has no time zone: add one", inner)
        if stretch.end <= stretch.start:
            raise BadInput(
                f"a busy time ends at {say_moment(stretch.end, zone)}, not after it begins", inner
            )


def _unique_names(names: list[str], what: str, place: str) -> None:
    if len({name.casefold() for name in names}) < len(names):
        raise BadInput(f"two {what} have the same name: rename one", place)
