"""Questions answered by planning again: how much slack a step has, why not at another hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from finplan.journal.progress import Progress
from finplan.planning.explain import step_of
from finplan.planning.items import step_id as id_of
from finplan.planning.make import make_plan, standing
from finplan.planning.plan import Plan
from finplan.planning.reasons import Reasons
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.restrictions import Kind, Restriction, lifted
from finplan.planning.words import hour, length, named
from finplan.trade.errors import BadInput
from finplan.trade.moments import format_duration

MOST_SLACK = dt.timedelta(days=28)
"""Slack is not looked for beyond this."""
_FINEST = dt.timedelta(hours=1)
_SAME = dt.timedelta(minutes=15)


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
        what = "is done already" if step.done else "comes by itself, as soon as it may"
        raise BadInput(f"{step.title} {what}: only work still to be done has an hour", step_id)
    beyond = _beyond(request, at)
    if beyond:
        return Answer(False, beyond, plan)
    new = make_plan(replace(wished(request, step_id, at), seconds=0.0))
    starts_then = _starts_at(new, step_id, at)
    given_up = _wishes_kept(request, plan) - _wishes_kept(request, new) - {step_id}
    if starts_then and not given_up:
        return Answer(True, f"it can start then; {_moved(plan, new, request.told_in)}.", new)
    built, found = standing(replace(request, seconds=0.0))
    nodes = {node.id: index for index, node in enumerate(built.network.nodes)}
    index = nodes[step_id]
    against = min(given_up) if starts_then else _against(request, plan, step_id, at)
    if against is None:
        reason = Reasons(built, found).refused(index, int(at.timestamp()))
    else:
        wish = hour(built.network.nodes[nodes[against]].wish_s or 0, request.told_in)
        other = named(built.site.items[nodes[against]])
        reason = f"it does not go with the wish for {other} at {wish}; without that it could"
    when = hour(at.timestamp(), request.told_in)
    sentence = f"{named(built.site.items[index])} cannot start at {when}: {reason}."
    return Answer(False, sentence, new, f"it cannot start then: {reason}.")


def _starts_at(plan: Plan, step_id: str, at: dt.datetime) -> bool:
    """Whether a plan has a step at an hour; one with no need to scuff may have none of that."""
    return any(step.id == step_id and abs(step.start - at) < _SAME for step in plan.steps)


def _wishes_kept(request: PlanRequest, plan: Plan) -> set[str]:
    """The ids of the steps that a plan has where a request wishes them."""
    starts = {step.id: step.start for step in plan.steps if not step.done}
    return {
        name
        for project, progress in request.progress.items()
        for key, at in progress.wishes.items()
        if (name := id_of(project, *key)) in starts and abs(starts[name] - at) < _SAME
    }


def _against(request: PlanRequest, plan: Plan, step_id: str, at: dt.datetime) -> str | None:
    """The step whose wish alone keeps another from starting at an hour; None if none does."""
    for other in sorted(_wishes_kept(request, plan) - {step_id}):
        less = lifted(request, {Restriction(Kind.WISH, other)})
        without = make_plan(replace(wished(less, step_id, at), seconds=0.0))
        if _starts_at(without, step_id, at):
            return other
    return None


def _beyond(request: PlanRequest, at: dt.datetime) -> str:
    """Why an hour is none that plans are made for; empty if it is one."""
    if at < request.now - _SAME:
        return "it cannot start then: that is past."
    if at > request.now + request.horizon_days * dt.timedelta(days=1):
        return f"it cannot start then: plans are made for {request.horizon_days} days ahead."
    return ""


def _moved(plan: Plan, new: Plan, zone: ZoneInfo) -> str:
    """Which projects would be ready sooner or later than in a plan, and by how much."""
    before = {one.project: one.safe for one in plan.ready}
    told = []
    for one in new.ready:
        by = one.safe - before.get(one.project, one.safe)
        if abs(by) >= _SAME:
            word = "later" if by > dt.timedelta(0) else "sooner"
            shift = length(abs(by.total_seconds()))
            ready = hour(one.safe.timestamp(), zone)
            told.append(f"{one.project} is then safely ready {ready} ({shift} {word})")
    return ", ".join(told) or "nothing is ready later for it"


def slack(
    request: PlanRequest, plan: Plan, step_id: str, stopped: Callable[[], bool] = lambda: False
) -> dt.timedelta:
    """How much later a step can start before any project is ready later.

    Found by planning again with the step put off, to the hour, four weeks at most; with what is
    sure by then once ``stopped`` says so.

    Raises:
        BadInput: if the plan has no such step.
    """
    step = step_of(plan, step_id)
    if step.done:
        return dt.timedelta(0)
    steady = {one.project: one.safe for one in plan.ready}

    def holds(off: dt.timedelta) -> bool:
        if stopped():
            return False
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
    while high - low > _FINEST and not stopped():
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def slack_said(slack: dt.timedelta) -> str:
    """Return how much later a step can start, in whole hours, as a sentence without its stop."""
    hours = slack // dt.timedelta(hours=1)
    later = f"up to {format_duration(hours)} later" if hours else "no later"
    if slack >= MOST_SLACK:
        later = "four weeks later or more"
    return f"it can start {later} without anything being ready later"
