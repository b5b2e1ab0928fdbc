"""What would bring the date forward most: each lever is pulled and everything planned again."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from finplan.air.adjust import dehumidifier, fan, warmer
from finplan.journal.progress import Progress
from finplan.planning.kept import kept
from finplan.planning.lever_finishes import other_finishes
from finplan.planning.make import make_plan
from finplan.planning.obstacles import plans_allowed
from finplan.planning.otherwise import ready_last_first, with_batch
from finplan.planning.plan import Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.trade.project import Batch, Project
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


@dataclass(frozen=True, slots=True)
class Pulled:
    """Levers by what they gain, the best first; ``untried``: what those not pulled would change.

    Of a large project only so much is planned again: what concerns the whole shop comes first,
    then the batches that are ready last, since they set the date.
    """

    levers: tuple[Lever, ...]
    untried: tuple[str, ...] = ()


class _Change(NamedTuple):
    """A lever's name, what it does, the request with it pulled, and its known cost."""

    name: str
    about: str
    request: PlanRequest
    cost: float | None = None


def levers(
    request: PlanRequest,
    now: Plan,
    templates: Mapping[str, Template] | None = None,
    passed_over: tuple[str, ...] = (),
) -> Pulled:
    """Pull every lever there is, plan again each time, and rank by what is gained.

    All plans are forward plans, so that they compare; each keeps to the present plan where that
    is no worse, so that more hours or rack never come out as a loss. A lever that leads to no
    plan is left out. A fan that only moves the air of its own room is not among them: studies of
    waterborne finishes disagree about it, and of the others there is no number to reckon with.

    Args:
        request: what is planned.
        now: its plan.
        templates: finishing schedules by name, for finishes that need other steps.
        passed_over: how the names of levers begin that are not asked for.
    """
    plain = replace(request, seconds=0.0, ready_by=None, before=kept(now))
    before, left = _ready(request, now), plans_allowed(request)
    pulled: list[Lever] = []
    untried: list[str] = []
    for name, about, changed, cost in _changes(plain, now, templates or {}):
        if name.startswith(passed_over):
            continue
        if left <= 0:
            untried.append(about)
            continue
        left -= 1
        try:
            ready = _ready(request, make_plan(changed))
        except NoPlan:
            continue
        pulled.append(Lever(name, about, ready, before - ready, cost))
    best: dict[str, Lever] = {}
    for lever in sorted(pulled, key=lambda one: (-one.gain, one.about)):
        best.setdefault(lever.name, lever)
    return Pulled(tuple(best.values()), tuple(untried))


def untried_in_words(pulled: Pulled) -> str:
    """How many levers were not pulled and why, in a sentence; empty where all were."""
    if not pulled.untried:
        return ""
    count = len(pulled.untried)
    return (
        f"Since there are so many steps, not every lever was pulled: {count} "
        f"{'was' if count == 1 else 'were'} not, such as {pulled.untried[0]}. Those of the whole "
        "shop came first, then the batches that are ready last."
    )


def _ready(request: PlanRequest, plan: Plan) -> dt.datetime:
    return max(one.safe for one in plan.ready if request.is_dated(one.project))


def _changes(
    request: PlanRequest, now: Plan, templates: Mapping[str, Template]
) -> Iterator[_Change]:
    """Every lever there is, those of the whole shop first."""
    used = sorted({batch.space for one in request.projects for batch in one.batches})
    for space in used:
        warm = {**request.air, space: warmer(request.air[space], _WARMER_C)}
        about = f"{space} {format_degrees_apart(_WARMER_C, request.units)} warmer"
        yield _Change(f"warmth in {space}", about, replace(request, air=warm))
        dry = {**request.air, space: dehumidifier(request.air[space], _DRIER_PERCENT)}
        about = f"{space} at {_DRIER_PERCENT:g} % humidity or less"
        yield _Change(f"dry air in {space}", about, replace(request, air=dry))
        for other in sorted(request.air.keys() - {space}):
            blown = {**request.air, space: fan(request.air[space], request.air[other])}
            about = f"a fan that blows air from {other} into {space}, half and half"
            yield _Change(f"fan into {space}", about, replace(request, air=blown))
    yield from _shop_changes(request)
    loads = {(step.project, step.batch): step.loads for step in now.steps}
    for project, batch in ready_last_first(request, now):
        begun = request.progress.get(project.name, Progress()).done
        if batch.name not in {name for name, _, _ in begun}:
            yield from _batch_changes(request, project, batch, templates)
            yield from _one_load_more(request, project, batch, loads[project.name, batch.name])


def _shop_changes(request: PlanRequest) -> Iterator[_Change]:
    shop = request.workshop
    wide = tuple(
        replace(space, rack_area_m2=space.rack_area_m2 * _MORE_RACK) for space in shop.spaces
    )
    bigger = replace(request, workshop=replace(shop, spaces=wide))
    yield _Change("rack", "half as much rack again", bigger)
    apart = tuple(replace(space, dust_apart=True) for space in shop.spaces)
    clean = replace(request, workshop=replace(shop, spaces=apart))
    yield _Change("sanding elsewhere", "sanding in another room than the wet work", clean)
    for number, person in enumerate(shop.people):
        if not person.windows:
            continue
        helper = replace(person, name=f"{person.name}'s helper")
        more = replace(request, workshop=replace(shop, people=(*shop.people, helper)))
        yield _Change("a helper", f"a helper with the hours of {person.name}", more)
        for day, window in missing_days(person):
            longer = replace(person, windows=(*person.windows, window))
            people = (*shop.people[:number], longer, *shop.people[number + 1 :])
            evening = replace(request, workshop=replace(shop, people=people))
            about = f"{person.name} on {day} from {window.start:%H:%M} as well"
            yield _Change("one more session a week", about, evening)


def missing_days(person: Person) -> Iterator[tuple[str, WorkWindow]]:
    """A window like the usual one on each weekday that has none, of a person with windows."""
    usual = Counter((one.start, one.minutes) for one in person.windows).most_common(1)[0][0]
    rules = " ".join(one.rule.upper() for one in person.windows)
    if "FREQ=DAILY" in rules:
        return
    for code, day in _WEEKDAYS:
        if code not in rules:
            yield day, WorkWindow(f"FREQ=WEEKLY;BYDAY={code}", *usual)


def _batch_changes(
    request: PlanRequest, project: Project, batch: Batch, templates: Mapping[str, Template]
) -> Iterator[_Change]:
    """A batch on points, and each other finish for it."""
    if any(step.kind is StepKind.TURN for step in batch.steps):
        steps = on_points(batch.steps)
        about = f"{batch.name} coated on all sides at once, on points"
        changed = with_batch(request, project.name, replace(batch, steps=steps))
        yield _Change(f"points under {batch.name}", about, changed)
    for other in other_finishes(request, batch, templates):
        changed = with_batch(request, project.name, replace(batch, steps=other.steps))
        cost = other.cost(project, batch)
        yield _Change(f"finish on {batch.name}", other.about, changed, cost)


def _one_load_more(
    request: PlanRequest, project: Project, batch: Batch, loads: int
) -> Iterator[_Change]:
    """A batch in one load more, so that the work of a coat may fit a shorter session."""
    quantities = {part.name: part.quantity for part in project.parts}
    more = loads + 1
    if more <= sum(quantities[name] for name in batch.parts):
        changed = with_batch(request, project.name, replace(batch, least_loads=more))
        yield _Change(f"loads of {batch.name}", f"{batch.name} in {more} loads", changed)


def on_points(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """A finishing schedule with all sides coated at once instead of one after the other."""
    turned = {StepKind.TURN, *(kind for kind in WET_KINDS), StepKind.WIPE_OFF}
    kept = [
        step
        for step in steps
        if step.kind is not StepKind.TURN and not (step.side is Side.SECOND and step.kind in turned)
    ]
    return tuple(replace(step, side=Side.ALL) if step.side is Side.FIRST else step for step in kept)
