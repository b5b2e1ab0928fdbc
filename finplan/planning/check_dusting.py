"""The checker on dusting off: it stands in the session of its coat, so that no new dust settles."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from zoneinfo import ZoneInfo

from finplan.journal.progress import Progress
from finplan.planning.check_shop import Span, hours_of, union_of
from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.trade.steps import WET_KINDS, StepKind

_DAY = dt.timedelta(days=1)
_QUARTER = dt.timedelta(minutes=15)


def dusting_faults(request: PlanRequest, plan: Plan) -> list[str]:
    """Coats dusted off in an earlier session though their own had room for both.

    A session is an unbroken stretch of anybody's hours. What is done, or wished at an hour, may
    stand apart; so may what no session is long enough for, or what other work leaves no room for.
    """
    pairs = [
        (cleaned, coat, wiped)
        for cleaned, coat, wiped in _dusted_coats(request, plan)
        if coat.start - cleaned.end >= _QUARTER
    ]
    if not pairs:
        return []
    last = max(coat.end for _, coat, _ in pairs)
    sessions = _sessions(request, last)
    found = []
    for cleaned, coat, wiped in pairs:
        session = next((one for one in sessions if one[0] <= coat.start < one[1]), None)
        if session is None or session[0] <= cleaned.start:
            continue
        busy = _busy(plan, session, {cleaned.id, coat.id, wiped.id})
        if session[1] - session[0] - busy >= wiped.end - coat.start + _whole(cleaned):
            found.append(f"{cleaned.id}: dusted off in another session than {coat.id}")
    return found


def _dusted_coats(
    request: PlanRequest, plan: Plan
) -> list[tuple[PlannedStep, PlannedStep, PlannedStep]]:
    """Each dusting off with the coat it is for, and the coat's wiping (else the coat again)."""
    by_id = {step.id: step for step in plan.steps}
    found = []
    for project in request.projects:
        loads = {step.load for step in plan.steps if step.project == project.name}
        wishes = request.progress.get(project.name, Progress()).wishes
        for batch in project.batches:
            for one, following in pairwise(batch.steps):
                if one.kind is not StepKind.CLEAN or following.kind not in WET_KINDS:
                    continue
                for load in loads:
                    name = f"{project.name}/{batch.name}/{load}/"
                    cleaned, coat = by_id.get(name + one.key), by_id.get(name + following.key)
                    if cleaned is None or coat is None or cleaned.done or coat.done:
                        continue
                    if {(batch.name, load, one.key), (batch.name, load, following.key)} & {*wishes}:
                        continue
                    wipe = following.key.replace("coat-", "wipe-off-", 1)
                    found.append((cleaned, coat, by_id.get(name + wipe, coat)))
    return found


def _sessions(request: PlanRequest, last: dt.datetime) -> list[Span]:
    zone = ZoneInfo(request.workshop.zone)
    hours = [
        span
        for person in request.workshop.people
        for span in hours_of(person, zone, request.now, last + _DAY)
    ]
    return [(max(start, request.now), end) for start, end in union_of(hours) if end > request.now]


def _busy(plan: Plan, session: Span, own: set[str]) -> dt.timedelta:
    """How long other work takes of a session, whoever does it."""
    spans = [
        (start, end)
        for step in plan.steps
        if step.person and not step.done and step.id not in own
        for start, end in step.pieces
        if start < session[1] and session[0] < end
    ]
    return sum((end - start for start, end in union_of(spans)), dt.timedelta())


def _whole(step: PlannedStep) -> dt.timedelta:
    """What a step takes in whole quarter hours."""
    return -(-(step.end - step.start) // _QUARTER) * _QUARTER
