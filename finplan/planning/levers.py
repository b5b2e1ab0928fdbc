"""What would bring the date forward most: each lever is pulled and everything planned again."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from finplan.air.adjust import dehumidifier, fan, warmer
from finplan.journal.progress import Progress
from finplan.planning.kept import kept
from finplan.planning.lever_finishes import other_finishes
from finplan.planning.make import make_plan
from finplan.planning.otherwise import with_batch
from finplan.planning.plan import Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.trade.quantities import format_degrees_apart
from finplan.trade.schedules import Template
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind
from finplan.trade.workshop import Person, WorkWindow

_WARMER_C = 5.0
_DRIER_PERCENT = 50.0
_MORE_RACK = 1.5
_WEEKDAYS = (
    ("MO", "Monday"),
    ("TU", "Tuesday"),
    ("WE", "Wednesday"),
    ("TH", "Thursday"),
    ("FR", "Friday"),
    ("SA", "Saturday"),
    ("SU", "Sunday"),
)


@dataclass(frozen=True, slots=True)
class Lever:
    """What one change does: ``ready`` with it, ``gain`` over the plan without (below 0: later).

    ``cost``: what the likely litres of another finish cost more, by the prices given; None where
    nothing is known.
    """

    name: str
    about: str
    ready: dt.datetime
    gain: dt.timedelta
    cost: float | None = None


def levers(
    request: PlanRequest, now: Plan, templates: Mapping[str, Template] | None = None
) -> tuple[Lever, ...]:
    """Pull every lever there is, plan again each time, and rank by what is gained.

    All plans are forward plans, so that they compare; each keeps to the present plan where that
    is no worse, so that more hours or rack never come out as a loss. A lever that leads to no
    plan is left out. A fan that only moves the air of its own room is not among them: studies of
    waterborne finishes disagree about it, and of the others there is no number to reckon with.

    Args:
        request: what is planned.
        now: its plan.
        templates: finishing schedules by name, for finishes that need other steps.
    """
    plain = replace(request, seconds=0.0, ready_by=None, before=kept(now))
    before = _ready(request, now)
    pulled = []
    changes = (*_changes(plain, templates or {}), *_smaller_loads(plain, now))
    for name, about, changed, cost in changes:
        try:
            ready = _ready(request, make_plan(changed))
        except NoPlan:
            continue
        pulled.append(Lever(name, about, ready, before - ready, cost))
    best: dict[str, Lever] = {}
    for lever in sorted(pulled, key=lambda one: (-one.gain, one.about)):
        best.setdefault(lever.name, lever)
    return tuple(best.values())


def _ready(request: PlanRequest, plan: Plan) -> dt.datetime:
    return max(one.safe for one in plan.ready if request.is_dated(one.project))


def _changes(
    request: PlanRequest, templates: Mapping[str, Template]
) -> Iterator[tuple[str, str, PlanRequest, float | None]]:
    """Each lever's name, what it does, the request with it pulled, and its known cost."""
    used = sorted({batch.space for one in request.projects for batch in one.batches})
    for space in used:
        warm = {**request.air, space: warmer(request.air[space], _WARMER_C)}
        about = f"{space} {format_degrees_apart(_WARMER_C, request.units)} warmer"
        yield f"warmth in {space}", about, replace(request, air=warm), None
        dry = {**request.air, space: dehumidifier(request.air[space], _DRIER_PERCENT)}
        about = f"{space} at {_DRIER_PERCENT:g} % humidity or less"
        yield f"dry air in {space}", about, replace(request, air=dry), None
        for other in sorted(request.air.keys() - {space}):
            blown = {**request.air, space: fan(request.air[space], request.air[other])}
            about = f"a fan that blows air from {other} into {space}, half and half"
            yield f"fan into {space}", about, replace(request, air=blown), None
    yield from _shop_changes(request)
    yield from _project_changes(request, templates)


def _shop_changes(
    request: PlanRequest,
) -> Iterator[tuple[str, str, PlanRequest, float | None]]:
    shop = request.workshop
    wide = tuple(
        replace(space, rack_area_m2=space.rack_area_m2 * _MORE_RACK) for space in shop.spaces
    )
    bigger = replace(request, workshop=replace(shop, spaces=wide))
    yield "rack", "half as much rack again", bigger, None
    apart = tuple(replace(space, dust_apart=True) for space in shop.spaces)
    clean = replace(request, workshop=replace(shop, spaces=apart))
    yield "sanding elsewhere", "sanding in another room than the wet work", clean, None
    for number, person in enumerate(shop.people):
        if not person.windows:
            continue
        helper = replace(person, name=f"{person.name}'s helper")
        more = replace(request, workshop=replace(shop, people=(*shop.people, helper)))
        yield "a helper", f"a helper with the hours of {person.name}", more, None
        for day, window in missing_days(person):
            longer = replace(person, windows=(*person.windows, window))
            people = (*shop.people[:number], longer, *shop.people[number + 1 :])
            evening = replace(request, workshop=replace(shop, people=people))
            about = f"{person.name} on {day} from {window.start:%H:%M} as well"
            yield "one more session a week", about, evening, None


def missing_days(person: Person) -> Iterator[tuple[str, WorkWindow]]:
    """A window like the usual one on each weekday that has none, of a person with windows."""
    usual = Counter((one.start, one.minutes) for one in person.windows).most_common(1)[0][0]
    rules = " ".join(one.rule.upper() for one in person.windows)
    if "FREQ=DAILY" in rules:
        return
    for code, day in _WEEKDAYS:
        if code not in rules:
            yield day, WorkWindow(f"FREQ=WEEKLY;BYDAY={code}", *usual)


def _project_changes(
    request: PlanRequest, templates: Mapping[str, Template]
) -> Iterator[tuple[str, str, PlanRequest, float | None]]:
    for project in request.projects:
        begun = {batch for batch, _, _ in request.progress.get(project.name, Progress()).done}
        for batch in project.batches:
            if batch.name in begun:
                continue
            if any(step.kind is StepKind.TURN for step in batch.steps):
                steps = on_points(batch.steps)
                about = f"{batch.name} coated on all sides at once, on points"
                changed = with_batch(request, project.name, replace(batch, steps=steps))
                yield f"points under {batch.name}", about, changed, None
            for other in other_finishes(request, batch, templates):
                changed = with_batch(request, project.name, replace(batch, steps=other.steps))
                yield f"finish on {batch.name}", other.about, changed, other.cost(project, batch)


def _smaller_loads(
    request: PlanRequest, now: Plan
) -> Iterator[tuple[str, str, PlanRequest, float | None]]:
    """Each batch in one load more, so that the work of a coat may fit a shorter session."""
    loads = {(step.project, step.batch): step.loads for step in now.steps}
    for project in request.projects:
        begun = {batch for batch, _, _ in request.progress.get(project.name, Progress()).done}
        quantities = {part.name: part.quantity for part in project.parts}
        for batch in project.batches:
            more = loads[project.name, batch.name] + 1
            if batch.name in begun or more > sum(quantities[name] for name in batch.parts):
                continue
            changed = with_batch(request, project.name, replace(batch, least_loads=more))
            yield f"loads of {batch.name}", f"{batch.name} in {more} loads", changed, None


def on_points(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """A finishing schedule with all sides coated at once instead of one after the other."""
    turned = {StepKind.TURN, *(kind for kind in WET_KINDS), StepKind.WIPE_OFF}
    kept = [
        step
        for step in steps
        if step.kind is not StepKind.TURN and not (step.side is Side.SECOND and step.kind in turned)
    ]
    return tuple(replace(step, side=Side.ALL) if step.side is Side.FIRST else step for step in kept)
