"""What to leave out, or do otherwise, so that a date can be met: each tried by planning again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from finplan.journal.progress import Progress
from finplan.planning.layout import lay_out, ready_at
from finplan.planning.levers import levers
from finplan.planning.make import make_plan
from finplan.planning.obstacles import plans_allowed
from finplan.planning.otherwise import (
    fewer_coats,
    ready_last_first,
    scuffed_if_late,
    with_batch,
)
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.ways_out import Way
from finplan.trade.names import counted
from finplan.trade.project import Batch
from finplan.trade.schedules import Template
from finplan.trade.steps import Step, StepKind

_OF_THE_SHOP = ("warmth", "dry air", "rack", "sanding", "loads", "one more session")
"""Levers that lift what holds the plan up: these are looked for apart, to the least that does."""


@dataclass(frozen=True, slots=True)
class Drops:
    """What meets a date by itself; and where nothing does, what comes closest to it.

    ``all_tried``: of a large project only so much is planned again, the batches that are ready
    last first.
    """

    in_time: tuple[Way, ...]
    closest: Way | None
    all_tried: bool


def ways_to_drop(
    request: PlanRequest, end: dt.datetime, templates: Mapping[str, Template]
) -> Drops:
    """Leave out what can be left out, and do otherwise what can be, each planned again.

    Coats are left out as far as the finish allows, one at a time; scuffing where the finish does
    not ask for it within the recoat window. Last comes all of that together.

    Args:
        request: a request whose plan is too late.
        end: the instant by which all is to be ready.
        templates: finishing schedules by name, for finishes that need other steps.
    """
    now, left, all_tried = make_plan(request), plans_allowed(request), True
    own: dict[tuple[str, str], list[Way]] = {}
    leanest, leaned = request, 0
    for project, batch in ready_last_first(request, now):
        done = _done(request, project.name).get(batch.name, frozenset())
        ways = own[project.name, batch.name] = []
        steps = batch.steps
        for about, steps in _leaner(request, batch, done):
            if left <= 1:  # the last is for all of it together
                all_tried = False
                continue
            left -= 1
            way = _way(about, with_batch(request, project.name, replace(batch, steps=steps)))
            if way is not None:
                ways.append(way)
                if way.ready <= end and len(steps) < len(batch.steps):
                    break  # fewer coats still would do as well
        if steps != batch.steps:
            leanest = with_batch(leanest, project.name, replace(batch, steps=steps))
            leaned += 1
    tried = [
        way
        for project in request.projects
        for batch in project.batches
        for way in own[project.name, batch.name]
    ]
    if leaned > 1 and all(way.ready > end for way in tried):
        together = _way("all that can be left out, together", leanest)
        tried += [together] if together is not None else []
    pulled = levers(request, now, templates, passed_over=_OF_THE_SHOP)
    tried += [Way(lever.about, lever.ready) for lever in pulled.levers]
    in_time = tuple(way for way in tried if way.ready <= end)
    soonest = min(tried, key=lambda way: (way.ready, way.about), default=None)
    return Drops(in_time, None if in_time else soonest, all_tried and not pulled.untried)


def _way(about: str, request: PlanRequest) -> Way | None:
    try:
        return Way(about, ready_at(*lay_out(request)))
    except NoPlan:
        return None


def _done(request: PlanRequest, project: str) -> dict[str, frozenset[str]]:
    """By batch, the keys of the steps done in any of its loads."""
    found: dict[str, frozenset[str]] = {}
    for batch, _, key in request.progress.get(project, Progress()).done:
        found[batch] = found.get(batch, frozenset()) | {key}
    return found


def _leaner(
    request: PlanRequest, batch: Batch, done: frozenset[str]
) -> Iterator[tuple[str, tuple[Step, ...]]]:
    """A batch's schedule with less in it: each kind alone, then all; the last is the leanest."""
    unscuffed = scuffed_if_late(batch.steps, request, done)
    if unscuffed is not None:
        yield f"{batch.name} scuffed only if the recoat window is missed", unscuffed
    steps, kept = batch.steps, 0
    while (fewer := _one_less(request, steps, done)) is not None:
        steps = fewer
        kept = len({step.coat for step in steps if step.kind is StepKind.COAT})
        yield f"{batch.name} with {counted(kept, 'coat')}", steps
    if kept and unscuffed is not None:
        both = scuffed_if_late(steps, request, done)
        if both is not None:
            coats = counted(kept, "coat")
            yield f"{batch.name} with {coats}, scuffed only if the window is missed", both


def _one_less(
    request: PlanRequest, steps: tuple[Step, ...], done: frozenset[str]
) -> tuple[Step, ...] | None:
    coats = [step for step in steps if step.kind is StepKind.COAT and step.finish]
    if not coats:
        return None
    return fewer_coats(steps, request.finishes[coats[-1].finish or ""], done)
