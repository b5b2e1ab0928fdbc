"""A batch made otherwise: fewer coats, no needless scuffing; and which batch to begin with."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.trade.finishes import Finish, Stage
from finplan.trade.project import Batch, Project
from finplan.trade.steps import WET_KINDS, Step, StepKind


def ready_last_first(request: PlanRequest, plan: Plan) -> list[tuple[Project, Batch]]:
    """Every batch with its project, the one whose last step ends last first."""
    ends = {(step.project, step.batch): step.end for step in sorted(plan.steps, key=_by_end)}
    batches = [(project, batch) for project in request.projects for batch in project.batches]
    batches.sort(key=lambda one: ends[one[0].name, one[1].name], reverse=True)
    return batches


def _by_end(step: PlannedStep) -> dt.datetime:
    return step.end


def with_batch(request: PlanRequest, project: str, batch: Batch) -> PlanRequest:
    """The request with one batch of a project replaced by another of its name."""
    projects = tuple(
        replace(one, batches=tuple(batch if own.name == batch.name else own for own in one.batches))
        if one.name == project
        else one
        for one in request.projects
    )
    return replace(request, projects=projects)


def fewer_coats(
    steps: tuple[Step, ...], finish: Finish, done: frozenset[str]
) -> tuple[Step, ...] | None:
    """A finishing schedule with one coat less, the last; None where it has to stay.

    Args:
        steps: the schedule.
        finish: what the last coat is of; it says how few coats do.
        done: keys of steps already done, which stay.
    """
    coats = {step.coat for step in steps if step.kind is StepKind.COAT}
    same = {s.coat for s in steps if s.kind is StepKind.COAT and s.finish == finish.name}
    last = max(coats)
    if last not in same or len(same) - 1 < finish.coats.low or last - 1 not in same:
        return None
    gone = [step for step in steps if step.coat == last]
    wiped = {last, last - 1} - {s.coat for s in steps if s.kind is StepKind.WIPE_OFF}
    if len(wiped) == 1 or any(step.key in done for step in gone):
        return None  # coats on the wet are wiped once, at the end: no single coat can be left out
    return tuple(step for step in steps if step.coat != last)


def scuffed_if_late(
    steps: tuple[Step, ...], request: PlanRequest, done: frozenset[str]
) -> tuple[Step, ...] | None:
    """A schedule that scuffs between coats only where the recoat window is missed; None if it does.

    Where a finish's coats hold on each other without scuffing at any time it is left out.
    """
    changed: list[Step] = []
    under: Finish | None = None
    loose = False
    for step in steps:
        needless = step.kind is StepKind.SCUFF and under is not None and step.key not in done
        if step.kind in WET_KINDS and step.finish:
            under = request.finishes[step.finish]
        if needless and not step.only_if_window_missed and under is not None:
            loose = True
            if under.scuff_past_window:
                title = f"{step.title}, if the recoat window was missed"
                changed.append(replace(step, title=title, only_if_window_missed=True))
            continue
        if loose and step.kind is StepKind.CLEAN and step.waits_for is None:
            step = replace(step, waits_for=Stage.TACK_FREE)
        changed.append(step)
    return tuple(changed) if loose else None
