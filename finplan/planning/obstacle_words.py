"""Restrictions in words, with the figures that make them bind."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Collection

import numpy as np

from finplan.air.series import AirSeries
from finplan.drying.arrhenius import REFERENCE_C
from finplan.drying.limits import coldest_ahead_c, looks_ahead
from finplan.planning.hours import SLOT_S, Axis, axis_of
from finplan.planning.request import PlanRequest
from finplan.planning.restrictions import Kind, Restriction, kinds_of
from finplan.planning.words import hour, length
from finplan.trade.finishes import Finish
from finplan.trade.moments import find_zone
from finplan.trade.names import counted
from finplan.trade.quantities import format_area, format_temperature
from finplan.trade.steps import WET_KINDS, StepKind
from finplan.trade.surfaces import footprint_m2
from finplan.trade.workshop import Person

_DAY = dt.timedelta(days=1)
_HOUR_S = 3600.0
_WEEKS = 4
"""So many weeks from now show how often somebody works."""
_LONG_S = 86400.0
"""Cold that is over sooner than that is not worth a date."""


def said(request: PlanRequest, one: Restriction, by: dt.datetime | None) -> str:
    """A restriction as a reason, told of the time from now until an instant.

    Args:
        request: the request it stands in.
        one: the restriction.
        by: until when it is looked at; None for as far as work may be placed.
    """
    end = by or request.now + request.horizon_days * _DAY
    name = one.subject
    if one.kind is Kind.HOURS:
        return _hours(request, name, end, dated=by is not None)
    return _OTHERS[one.kind](request, name, end)


def _hours(request: PlanRequest, name: str, end: dt.datetime, *, dated: bool) -> str:
    axis = _axis(request, _person(request, name), end)
    if not len(axis):
        return f"{name} has no work hours"
    sessions = Counter(axis.sessions).values()
    longest = length(max(sessions) * SLOT_S)
    if not dated:
        month = _axis(request, _person(request, name), request.now + _WEEKS * 7 * _DAY)
        often = len(set(month.sessions)) / _WEEKS
        return f"{name} works {longest} at a stretch at most, {_times(often)} a week"
    total = f"{len(axis) * SLOT_S / _HOUR_S:.0f} h"
    if len(sessions) == 1:
        return f"the work hours of {name} until then are not enough: one session, of {longest}"
    return (
        f"the work hours of {name} until then are not enough: {len(sessions)} sessions, "
        f"{total} in all, the longest {longest}"
    )


def _times(count: float) -> str:
    return "once" if round(count, 1) == 1.0 else f"{count:.2g} times"


def _away(request: PlanRequest, name: str, end: dt.datetime) -> str:
    person = _person(request, name)
    zone = find_zone(request.workshop.zone)
    first, last = request.now.astimezone(zone).date(), end.astimezone(zone).date()
    days = sum(first <= day <= last for day in person.days_off)
    busy = sum(request.now < one.end and one.start < end for one in person.busy)
    words = [f"off on {counted(days, 'day')}"] if days else []
    words += [f"busy {counted(busy, 'time')}"] if busy else []
    return f"{name} is {' and '.join(words) or 'away'} until then"


def kind_words(kinds: Collection[StepKind]) -> str:
    """Kinds of work in words: ``work of the kind ‘coat’``."""
    *others, last = sorted(f"‘{kind.value}’" for kind in kinds)
    if not others:
        return f"work of the kind {last}"
    return f"work of the kinds {', '.join(others)} and {last}"


def _skill(request: PlanRequest, subject: str, end: dt.datetime) -> str:
    people, kinds = request.workshop.people, kinds_of(Restriction(Kind.SKILL, subject))
    able = [one.name for one in people if one.can is None or kinds & one.can]
    work = kind_words(kinds)
    return f"only {' and '.join(able)} can do {work}" if able else f"nobody can do {work}"


def _rack(request: PlanRequest, name: str, end: dt.datetime) -> str:
    rack = next(one.rack_area_m2 for one in request.workshop.spaces if one.name == name)
    needs = []
    for project in request.projects:
        parts = {part.name: part for part in project.parts}
        for batch in project.batches:
            if batch.space == name:
                area = sum(footprint_m2(parts[part], batch.rack_share) for part in batch.parts)
                needs.append(f"{batch.name} {format_area(area, request.units)}")
    there = format_area(rack, request.units)
    return f"the rack in {name} has {there}; all pieces at once take: {', '.join(needs)}"


def _hot(request: PlanRequest, name: str, end: dt.datetime) -> str:
    warmest = float(max(_air(request, name, end)[1]))
    return f"it gets as warm as {format_temperature(round(warmest), request.units)} in {name}"


def _damp(request: PlanRequest, name: str, end: dt.datetime) -> str:
    mean = float(np.mean(_air(request, name, end)[2]))
    return f"the air in {name} is damp: {mean:.0f} % humidity on average"


def _dust(request: PlanRequest, name: str, end: dt.datetime) -> str:
    return f"sanding and wet work share {name}, so that one waits for the other"


def _begins(request: PlanRequest, name: str, end: dt.datetime) -> str:
    begins = next(one.begins for one in request.projects if one.name == name)
    at_s = (begins or request.now).timestamp()
    return f"{name} is not to begin before {hour(at_s, request.told_in)}"


def _blocked(request: PlanRequest, name: str, end: dt.datetime) -> str:
    blocked = next(one.blocked for one in request.projects if one.name == name)
    zone = request.told_in
    spans = [
        f"from {hour(one.start.timestamp(), zone)} to {hour(one.end.timestamp(), zone)}"
        for one in blocked
        if request.now < one.end and one.start < end
    ]
    return f"no work is done on {name} {' and '.join(spans) or 'in its blocked stretches'}"


def _wish(request: PlanRequest, name: str, end: dt.datetime) -> str:
    project, batch, load, step = name.split("/", 3)
    at = request.progress[project].wishes[batch, int(load), step]
    when = hour(at.timestamp(), request.told_in)
    return f"{batch}, {step.replace('-', ' ')}, is wished for {when}"


def _cold(request: PlanRequest, name: str, end: dt.datetime) -> str:
    at_s, temperature, _ = _air(request, name, end)
    finish = max(_finishes(request, name), key=lambda one: one.refuse_below_c.value)
    least = finish.refuse_below_c.value
    bound = format_temperature(least, request.units)
    series = request.air[name]
    coldest = coldest_ahead_c(series, at_s, 24.0) if looks_ahead(finish) else temperature
    warm = np.flatnonzero(coldest >= least)
    if not warm.size:
        return f"{name} stays under {bound} {_until_end(request, end)}"
    until_s = float(at_s[warm[0]])
    if until_s - request.now.timestamp() > _LONG_S:
        when = hour(until_s, request.told_in)
        return f"{name} stays under {bound} until {when}"
    mean = format_temperature(round(float(np.mean(temperature))), request.units)
    standard = format_temperature(REFERENCE_C, request.units)
    return (
        f"{name} has {mean} on average {_until_end(request, end)} (drying times are told for "
        f"{standard})"
    )


def _until_end(request: PlanRequest, end: dt.datetime) -> str:
    days = (end - request.now) // _DAY
    if days >= request.horizon_days:
        return f"in all of the next {days} days"
    return f"until {hour(end.timestamp(), request.told_in)}"


def _finishes(request: PlanRequest, space: str) -> list[Finish]:
    names = {
        step.finish
        for project in request.projects
        for batch in project.batches
        for step in batch.steps
        if batch.space == space and step.kind in WET_KINDS and step.finish
    }
    return [request.finishes[name] for name in sorted(names)]


def _air(
    request: PlanRequest, space: str, end: dt.datetime
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hours from now until an instant, shape (n,), with the space's temperature and humidity."""
    air: AirSeries = request.air[space]
    at_s = np.arange(request.now.timestamp(), max(end, request.now + _DAY).timestamp(), _HOUR_S)
    index = np.maximum(air.at_s.searchsorted(at_s, side="right") - 1, 0)
    return at_s, air.temperature_c[index], air.humidity_percent[index]


def _person(request: PlanRequest, name: str) -> Person:
    return next(one for one in request.workshop.people if one.name == name)


def _axis(request: PlanRequest, person: Person, end: dt.datetime) -> Axis:
    return axis_of([person], find_zone(request.workshop.zone), request.now, end)


_OTHERS: dict[Kind, Callable[[PlanRequest, str, dt.datetime], str]] = {
    Kind.AWAY: _away,
    Kind.SKILL: _skill,
    Kind.RACK: _rack,
    Kind.COLD: _cold,
    Kind.HOT: _hot,
    Kind.DAMP: _damp,
    Kind.DUST: _dust,
    Kind.BEGINS: _begins,
    Kind.BLOCKED: _blocked,
    Kind.WISH: _wish,
}
