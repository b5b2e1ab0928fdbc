"""The independent checker: reads a finished plan against the request and lists every fault.

It shares no code with the planners: it knows only the request, the plan and the drying clock,
and goes over the plan step by step as a careful reader would.
"""

from __future__ import annotations

import datetime as dt
from itertools import dropwhile, pairwise, takewhile

from finplan.journal.progress import Done, Progress
from finplan.planning.check_clocks import Clocks
from finplan.planning.check_dusting import dusting_faults
from finplan.planning.check_shop import shop_faults
from finplan.planning.check_wiping import wiping_faults
from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.trade.finishes import STAGE_ORDER, Stage
from finplan.trade.project import Batch, Project
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind

_SECOND = dt.timedelta(seconds=1)
_WHOLE_BATCH = (StepKind.ASSEMBLE, StepKind.INSTALL, StepKind.RELEASE)


def faults(request: PlanRequest, plan: Plan) -> list[str]:
    """Everything in a plan that the request does not allow; empty for a sound plan.

    Args:
        request: what the plan was made from.
        plan: the plan.
    """
    clocks = Clocks(request)
    found = shop_faults(request, plan, clocks)
    found += dusting_faults(request, plan) + wiping_faults(request, plan)
    by_batch: dict[tuple[str, str], list[PlannedStep]] = {}
    for step in plan.steps:
        by_batch.setdefault((step.project, step.batch), []).append(step)
    for project in request.projects:
        for batch in project.batches:
            own = by_batch.get((project.name, batch.name), [])
            found += _batch_faults(request, clocks, project, batch, own, plan)
    return found


def _batch_faults(
    request: PlanRequest,
    clocks: Clocks,
    project: Project,
    batch: Batch,
    own: list[PlannedStep],
    plan: Plan,
) -> list[str]:
    if not own:
        return [f"{project.name}/{batch.name}: nothing is planned"]
    found = []
    joined_at = next(
        (at for at, step in enumerate(batch.steps) if step.kind in _WHOLE_BATCH), len(batch.steps)
    )
    by_key: dict[tuple[int, str], PlannedStep] = {(step.load, step.step): step for step in own}
    if len(by_key) != len(own):
        found.append(f"{project.name}/{batch.name}: a step is planned twice")
    for load in range(1, own[0].loads + 1):
        chain = [(at, step) for at, step in enumerate(batch.steps) if at < joined_at or load == 1]
        found += _missing(project, batch, load, chain, by_key, request)
        there = [
            (step, by_key[(1 if at >= joined_at else load, step.key)])
            for at, step in enumerate(batch.steps)
            if (1 if at >= joined_at else load, step.key) in by_key
        ]
        found += _order_faults(there)
        found += _drying_faults(request, clocks, there)
        found += _window_faults(request, clocks, there, plan)
    return found + _joining_faults(request, clocks, project, batch, by_key, plan)


def _missing(
    project: Project,
    batch: Batch,
    load: int,
    chain: list[tuple[int, Step]],
    by_key: dict[tuple[int, str], PlannedStep],
    request: PlanRequest,
) -> list[str]:
    done = request.progress.get(project.name, Progress()).done
    found = []
    for _, step in chain:
        planned = by_key.get((load, step.key))
        fact = done.get((batch.name, load, step.key))
        if planned is None and fact is None and not step.only_if_window_missed:
            found.append(f"{project.name}/{batch.name}/{load}: {step.key} is missing")
        if planned is None:
            continue
        if fact is not None and _moved(planned, fact):
            found.append(f"{planned.id}: moved, though it is done")
        if fact is None and planned.done:
            found.append(f"{planned.id}: said to be done, and the journal does not say so")
    return found


def _moved(planned: PlannedStep, fact: Done) -> bool:
    return (planned.start, planned.end, planned.done) != (fact.started, fact.ended, True)


def _order_faults(there: list[tuple[Step, PlannedStep]]) -> list[str]:
    found = []
    for (_, before), (step, after) in pairwise(there):
        if after.done:
            continue
        if step.kind is StepKind.WIPE_OFF or before.done:
            earliest = before.end
        else:
            earliest = before.end + dt.timedelta(hours=step.wait_hours)
        if after.start < earliest:
            found.append(f"{after.id}: starts before {before.id} allows")
    return found


def _drying_faults(
    request: PlanRequest, clocks: Clocks, there: list[tuple[Step, PlannedStep]]
) -> list[str]:
    found = []
    wet: tuple[Step, PlannedStep] | None = None
    for step, planned in there:
        if step.waits_for is not None and wet is not None and not planned.done:
            ready = _ready_at(request, clocks, wet[0], wet[1], step.waits_for)
            waiting = step.kind is StepKind.CURE
            if ready is None or (planned.end if waiting else planned.start) < ready - _SECOND:
                found.append(f"{planned.id}: before {wet[1].id} is {step.waits_for.value}")
        if step.kind in WET_KINDS and not planned.skipped:
            wet = (step, planned)
    return found


def _ready_at(
    request: PlanRequest, clocks: Clocks, step: Step, planned: PlannedStep, stage: Stage
) -> dt.datetime | None:
    clock = clocks.of(step.finish or "", planned.space)
    seconds = clock.ready(planned.end.timestamp(), stage)
    for check in request.progress.get(planned.project, Progress()).checks:
        if (check.batch, check.load, check.step) != (planned.batch, planned.load, planned.step):
            continue
        if check.reached and STAGE_ORDER.index(check.stage) >= STAGE_ORDER.index(stage):
            seconds = min(seconds, check.at.timestamp())
    if seconds > 4e10:
        return None
    return dt.datetime.fromtimestamp(seconds, dt.UTC)


def _window_faults(
    request: PlanRequest, clocks: Clocks, there: list[tuple[Step, PlannedStep]], plan: Plan
) -> list[str]:
    """Coats that go on too late over an unscuffed one, without a warning."""
    found = []
    for at, (step, planned) in enumerate(there):
        if step.kind not in WET_KINDS or planned.done:
            continue
        below = _coat_below(there[:at], step)
        if below is None:
            continue
        finish = request.finishes[below[0].finish or ""]
        if finish.window_closes_hours is None or not finish.scuff_past_window:
            continue
        clock = clocks.of(finish.name, planned.space)
        late = planned.start.timestamp() > clock.window_closes(below[1].end.timestamp()) + 1
        if late and not any(step.title in warning for warning in plan.warnings):
            found.append(f"{planned.id}: after the window of {below[1].id} has closed")
    return found


def _coat_below(
    earlier: list[tuple[Step, PlannedStep]], coat: Step
) -> tuple[Step, PlannedStep] | None:
    """The coat a coat goes on, unless it was scuffed or sanded since."""
    for step, planned in reversed(earlier):
        same_side = step.side is coat.side or Side.ALL in (step.side, coat.side)
        if not same_side or planned.skipped:
            continue
        if step.kind in (StepKind.SCUFF, StepKind.SAND):
            return None
        if step.kind in WET_KINDS:
            return step, planned
    return None


def _joining_faults(
    request: PlanRequest,
    clocks: Clocks,
    project: Project,
    batch: Batch,
    by_key: dict[tuple[int, str], PlannedStep],
    plan: Plan,
) -> list[str]:
    """Loads joined before all of them are finished and dry enough; assembling may join batches."""
    joined = list(dropwhile(_of_loads, batch.steps))
    together = project.assembled_together and joined and joined[0].kind is StepKind.ASSEMBLE
    before = []
    for other in project.batches if together else (batch,):
        steps = {step.key: step for step in takewhile(_of_loads, other.steps)}
        before += [
            (steps[planned.step], planned)
            for planned in plan.steps
            if (planned.project, planned.batch) == (project.name, other.name)
            and planned.step in steps
        ]
    found = []
    for step in joined:
        whole = by_key.get((1, step.key))
        if whole is None or whole.done:
            continue
        found += [
            f"{whole.id}: done to the whole before {planned.id} is over"
            for _, planned in before
            if planned.end > whole.start
        ]
        if step.waits_for is not None:
            found += _wet_at(request, clocks, before, whole, step.waits_for)
    return found


def _wet_at(
    request: PlanRequest,
    clocks: Clocks,
    before: list[tuple[Step, PlannedStep]],
    whole: PlannedStep,
    stage: Stage,
) -> list[str]:
    """Loads whose last coat has not reached a stage when something is done to the whole."""
    last_wet: dict[tuple[str, int], tuple[Step, PlannedStep]] = {}
    for one in sorted(before, key=lambda one: one[1].end):
        if one[0].kind in WET_KINDS and not one[1].skipped:
            last_wet[one[1].batch, one[1].load] = one
    found = []
    for step, planned in last_wet.values():
        ready = _ready_at(request, clocks, step, planned, stage)
        begins = whole.end if whole.kind is StepKind.CURE else whole.start
        if ready is None or begins < ready - _SECOND:
            found.append(f"{whole.id}: before {planned.id} is {stage.value}")
    return found


def _of_loads(step: Step) -> bool:
    return step.kind not in _WHOLE_BATCH
