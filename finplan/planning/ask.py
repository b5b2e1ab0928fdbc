"""Questions answered by planning again: how much slack a step has, why not at another hour."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from finplan.journal.progress import Progress
from finplan.planning.explain import step_of
from finplan.planning.make import make_plan
from finplan.planning.plan import Plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.trade.errors import BadInput

MOST_SLACK = dt.timedelta(days=28)
"""Slack is not looked for beyond this."""
_FINEST = dt.timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether a step can start at a wished hour, in a sentence, and the plan that follows.

    ``short``: the sentence without the step and hour, where both are known; may be empty.
    """

    possible: bool
    sentence: str
    plan: Plan
    short: str = ""


def wished(request: PlanRequest, step_id: str, at: dt.datetime) -> PlanRequest:
    """The request with a wish for the start of one step added.

    Raises:
        BadInput: if the hour has no zone.
    """
    if at.tzinfo is None:
        raise BadInput("the hour has no time zone: give one, such as Z", "wish")
    project, batch, load, key = step_id.split("/", 3)
    known = request.progress.get(project, Progress())
    wishes = {**known.wishes, (batch, int(load), key): at}
    return replace(request, progress={**request.progress, project: replace(known, wishes=wishes)})


def why_not(request: PlanRequest, plan: Plan, step_id: str, at: dt.datetime) -> Answer:
    """Why a step does not start at an hour, or what would follow if it did.

    Raises:
        BadInput: if the plan has no such step, it is done, or the hour has no zone.
    """
    step = step_of(plan, step_id)
    if step.done or not step.person:
        raise BadInput("only work that is still to be done can be put at another hour", step_id)
    new = make_plan(replace(wished(request, step_id, at), seconds=0.0))
    now = step_of(new, step_id)
    if abs(now.start - at) < dt.timedelta(minutes=15):
        later = max((one.safe for one in new.ready), default=at)
        before = max((one.safe for one in plan.ready), default=at)
        moved = "the date ready stays" if later == before else "the date ready moves"
        return Answer(True, f"it can start then; {moved}.", new)
    told = [warning for warning in new.warnings if "cannot be at the wished" in warning]
    if not told:
        return Answer(False, now.reason, new)
    return Answer(False, told[0], new, _refusal(told[0]))


def _refusal(warning: str) -> str:
    """Why a wish is refused, without the step and hour everybody knows already."""
    _, _, rest = warning.partition("cannot be at the wished")
    _, _, reason = rest.partition(": ")
    return f"it cannot start then: {reason}."


def slack(request: PlanRequest, plan: Plan, step_id: str) -> dt.timedelta:
    """How much later a step can start before any project is ready later.

    Found by planning again with the step put off, to the hour, four weeks at most.

    Raises:
        BadInput: if the plan has no such step.
    """
    step = step_of(plan, step_id)
    if step.done:
        return dt.timedelta(0)
    steady = {one.project: one.safe for one in plan.ready}

    def holds(off: dt.timedelta) -> bool:
        put_off = {**request.not_before, step_id: step.start + off}
        try:
            later = make_plan(replace(request, not_before=put_off, seconds=0.0))
        except NoPlan:
            return False
        kept = all(one.safe <= steady[one.project] for one in later.ready)
        return kept and step_of(later, step_id).start >= step.start + off

    low, high = dt.timedelta(0), MOST_SLACK
    if holds(high):
        return high
    while high - low > _FINEST:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
