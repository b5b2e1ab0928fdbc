"""The checker on wiping: what a finish leaves wet is wiped in its minutes after the coat."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.trade.steps import WET_KINDS, StepKind

_SECOND = dt.timedelta(seconds=1)
_SOON_MINUTES = 120
"""What may wait longer than this is work of its own, with no hour it has to be done by."""


def wiping_faults(request: PlanRequest, plan: Plan) -> list[str]:
    """Wiping planned sooner or later after its coat than the finish allows.

    A coat that is on already may have been left too long: then only what is too soon counts.
    """
    by_id = {step.id: step for step in plan.steps}
    found = []
    for project in request.projects:
        loads = {step.load for step in plan.steps if step.project == project.name}
        for batch in project.batches:
            for one, wipe in pairwise(batch.steps):
                if one.kind not in WET_KINDS or wipe.kind is not StepKind.WIPE_OFF:
                    continue
                for load in loads:
                    name = f"{project.name}/{batch.name}/{load}/"
                    coat, wiping = by_id.get(name + one.key), by_id.get(name + wipe.key)
                    if coat is not None and wiping is not None:
                        found += _wiped_in_time(request, wipe.finish or "", coat, wiping)
    return found


def _wiped_in_time(
    request: PlanRequest, finish: str, coat: PlannedStep, wiping: PlannedStep
) -> list[str]:
    span = request.finishes[finish].wipe_off_minutes
    if span is None or wiping.done or coat.skipped:
        return []
    waited = wiping.start - coat.end
    if waited < dt.timedelta(minutes=span.low) - _SECOND:
        return [f"{wiping.id}: wiped before what {coat.id} left has soaked in"]
    soon = span.low <= _SOON_MINUTES and not coat.done
    if soon and waited > dt.timedelta(minutes=span.high) + _SECOND:
        return [f"{wiping.id}: wiped later after {coat.id} than {finish} allows"]
    return []
