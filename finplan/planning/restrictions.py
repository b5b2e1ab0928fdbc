"""What a workshop puts up with and could change: each restriction can be lifted, to see."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from finplan.air.adjust import heater
from finplan.air.series import AirSeries
from finplan.journal.progress import Progress
from finplan.planning.items import step_id
from finplan.planning.loads import cut_into_loads
from finplan.planning.request import NoPlan, PlanRequest
from finplan.trade.project import Batch, Project
from finplan.trade.steps import DUSTY_KINDS, WAITING_KINDS, StepKind
from finplan.trade.workshop import Person, Space, WorkWindow

_EASY_C, _EASY_PERCENT = 23.0, 50.0
"""The air drying times are given at (ISO 3270): with it, air holds nothing up."""
_ENDLESS_RACK_M2 = 1e6
_ANY_RISE_C = 100.0
_ALL_HOURS = (WorkWindow("FREQ=DAILY", dt.time(0), 1440),)


class Kind(StrEnum):
    """What a restriction is of. Of several smallest sets of reasons, the later kinds are named."""

    WISH = "wish"
    DUST = "dust"
    BEGINS = "begins"
    BLOCKED = "blocked"
    AWAY = "days away"
    SKILL = "skill"
    HOT = "warmth"
    RACK = "rack"
    HOURS = "hours"
    DAMP = "damp"
    COLD = "cold"


@dataclass(frozen=True, slots=True)
class Restriction:
    """One thing that could be otherwise.

    ``subject`` names the person, space, kind of step (or several that nobody does) or project it
    is about, or the id of the step wished for.
    """

    kind: Kind
    subject: str


def kinds_of(one: Restriction) -> frozenset[StepKind]:
    """The kinds of step that a restriction on what people can do is about."""
    return frozenset(StepKind(kind) for kind in one.subject.split(", "))


def able_to_do(people: Collection[Person]) -> frozenset[StepKind]:
    """The kinds of step that at least one of some people can do."""
    return frozenset(
        kind for kind in StepKind if any(one.can is None or kind in one.can for one in people)
    )


def restrictions_of(request: PlanRequest) -> tuple[Restriction, ...]:
    """All that can be lifted from a request, in the order of their kinds."""
    order = list(Kind)
    found = {*_of_people(request), *_of_spaces(request), *_of_projects(request)}
    return tuple(sorted(found, key=lambda one: (order.index(one.kind), one.subject)))


def _of_people(request: PlanRequest) -> Iterator[Restriction]:
    kinds = {
        step.kind
        for project in request.projects
        for batch in project.batches
        for step in batch.steps
        if step.kind not in WAITING_KINDS
    }
    nobody = kinds - able_to_do(request.workshop.people)
    for person in request.workshop.people:
        yield Restriction(Kind.HOURS, person.name)
        if person.days_off or person.busy:
            yield Restriction(Kind.AWAY, person.name)
        if person.can is not None:
            yield from (Restriction(Kind.SKILL, kind.value) for kind in kinds - person.can - nobody)
    if nobody:
        yield Restriction(Kind.SKILL, ", ".join(sorted(nobody)))


def _of_spaces(request: PlanRequest) -> Iterator[Restriction]:
    dusty = {
        batch.space
        for project in request.projects
        for batch in project.batches
        if any(step.kind in DUSTY_KINDS for step in batch.steps)
    }
    for space in request.workshop.spaces:
        if space.name not in {b.space for one in request.projects for b in one.batches}:
            continue
        for kind in (Kind.RACK, Kind.COLD, Kind.HOT, Kind.DAMP):
            yield Restriction(kind, space.name)
        if space.name in dusty and not space.dust_apart:
            yield Restriction(Kind.DUST, space.name)


def _of_projects(request: PlanRequest) -> Iterator[Restriction]:
    for project in request.projects:
        begins = request.begins(project)
        if begins is not None and begins > request.now:
            yield Restriction(Kind.BEGINS, project.name)
        if project.blocked:
            yield Restriction(Kind.BLOCKED, project.name)
        for batch, load, step in request.progress.get(project.name, Progress()).wishes:
            yield Restriction(Kind.WISH, step_id(project.name, batch, load, step))


def lifted(request: PlanRequest, gone: Collection[Restriction]) -> PlanRequest:
    """The request without some of its restrictions.

    The loads stay cut as they are, so that a larger rack never makes one coat longer.
    """
    gone = frozenset(gone)
    if not gone:
        return request
    projects = tuple(_free_project(request, project, gone) for project in request.projects)
    shop = request.workshop
    people = tuple(_free_person(person, gone) for person in shop.people)
    spaces = tuple(_free_space(space, gone) for space in shop.spaces)
    air = {name: _free_air(series, name, gone) for name, series in request.air.items()}
    return replace(
        request,
        projects=projects,
        workshop=replace(shop, people=people, spaces=spaces),
        air=air,
        progress={name: _free_progress(one, name, gone) for name, one in request.progress.items()},
    )


def _free_person(person: Person, gone: frozenset[Restriction]) -> Person:
    if Restriction(Kind.HOURS, person.name) in gone:
        person = replace(person, windows=_ALL_HOURS)
    if Restriction(Kind.AWAY, person.name) in gone:
        person = replace(person, days_off=(), busy=())
    learned = {kind for one in gone if one.kind is Kind.SKILL for kind in kinds_of(one)}
    return replace(person, can=person.can | learned) if person.can is not None else person


def _free_space(space: Space, gone: frozenset[Restriction]) -> Space:
    if Restriction(Kind.RACK, space.name) in gone:
        space = replace(space, rack_area_m2=_ENDLESS_RACK_M2)
    if Restriction(Kind.DUST, space.name) in gone:
        space = replace(space, dust_apart=True)
    return space


def _free_air(air: AirSeries, space: str, gone: frozenset[Restriction]) -> AirSeries:
    if Restriction(Kind.COLD, space) in gone:
        air = heater(air, _EASY_C, _ANY_RISE_C)
    if Restriction(Kind.HOT, space) in gone:
        air = replace(air, temperature_c=np.minimum(air.temperature_c, _EASY_C))
    if Restriction(Kind.DAMP, space) in gone:
        air = replace(air, humidity_percent=np.minimum(air.humidity_percent, _EASY_PERCENT))
    return air


def _free_project(request: PlanRequest, project: Project, gone: frozenset[Restriction]) -> Project:
    if Restriction(Kind.BEGINS, project.name) in gone:
        project = replace(project, begins=None)
    if Restriction(Kind.BLOCKED, project.name) in gone:
        project = replace(project, blocked=())
    batches = tuple(
        _with_its_loads(request, project, batch)
        if Restriction(Kind.RACK, batch.space) in gone
        else batch
        for batch in project.batches
    )
    return replace(project, batches=batches)


def _with_its_loads(request: PlanRequest, project: Project, batch: Batch) -> Batch:
    racks = {space.name: space.rack_area_m2 for space in request.workshop.spaces}
    progress = request.progress.get(project.name, Progress())
    known = progress.loads.get(batch.name)
    try:
        cut = cut_into_loads(project, batch, racks[batch.space], dict(progress.spoiled), known)
    except NoPlan:
        return batch
    return replace(batch, least_loads=len(cut))


def _free_progress(progress: Progress, project: str, gone: frozenset[Restriction]) -> Progress:
    if not progress.wishes:
        return progress
    wishes = {
        key: at
        for key, at in progress.wishes.items()
        if Restriction(Kind.WISH, step_id(project, *key)) not in gone
    }
    return replace(progress, wishes=wishes)
