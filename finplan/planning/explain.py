"""Plans in words: why a step is when it is, and what moved between two plans."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.words import hour, length
from finplan.trade.errors import BadInput

_SAME = dt.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Why:
    """Why a step is not sooner: its reason, and the steps that lead to it, the earliest first."""

    step: PlannedStep
    reason: str
    chain: tuple[PlannedStep, ...]


def step_of(plan: Plan, step_id: str) -> PlannedStep:
    """The planned step of an id.

    Raises:
        BadInput: if the plan has no such step.
    """
    for step in plan.steps:
        if step.id == step_id:
            return step
    raise BadInput(f"the plan has no step {step_id[:120]!r}: take an id from the plan", "step")


def why(plan: Plan, step_id: str) -> Why:
    """Why a step is not sooner, with the chain of steps back to now.

    Raises:
        BadInput: if the plan has no such step.
    """
    step = step_of(plan, step_id)
    chain = [step]
    while (before := _led_by(plan, chain[-1])) is not None:
        chain.append(before)
    return Why(step, step.reason, tuple(reversed(chain)))


def _led_by(plan: Plan, step: PlannedStep) -> PlannedStep | None:
    """The step another one waits for or follows; None at the start of the work left to do."""
    if step.done:
        return None
    before = _before(plan, step)
    if step.waits_for is not None:
        coat = step_of(plan, step.waits_for.step)
        if before is None or step.waits_for.safe >= before.end or coat.id == before.id:
            return coat
    return before


def _before(plan: Plan, step: PlannedStep) -> PlannedStep | None:
    """The step of the same batch that ended last before a step began."""
    own = [
        one
        for one in plan.steps
        if (one.project, one.batch) == (step.project, step.batch)
        and one.end <= step.start
        and one.id != step.id
        and one.start < step.end
    ]
    same_load = [one for one in own if one.load == step.load] or own
    return max(same_load, key=lambda one: (one.end, one.start, one.id), default=None)


def difference(old: Plan, new: Plan, zone: ZoneInfo) -> list[str]:
    """What moved from one plan to the next, and why, a sentence each; empty if nothing did.

    Args:
        old: the plan before.
        new: the plan now.
        zone: the zone hours are told in.
    """
    before = {step.id: step for step in old.steps}
    now = {step.id: step for step in new.steps}
    told = []
    for ready in new.ready:
        was = next((one for one in old.ready if one.project == ready.project), None)
        if was is not None and abs(ready.safe - was.safe) >= _SAME:
            told.append(
                f"{ready.project} is safely ready {_hour(ready.safe, zone)} instead of "
                f"{_hour(was.safe, zone)}, {_shift(ready.safe - was.safe)}."
            )
    for step in new.steps:
        old_step = before.get(step.id)
        if step.done:
            continue
        if old_step is None:
            told.append(f"{_name(step)} comes in, {_hour(step.start, zone)}. {step.reason}")
        elif abs(step.start - old_step.start) >= _SAME:
            told.append(
                f"{_name(step)} moves from {_hour(old_step.start, zone)} to "
                f"{_hour(step.start, zone)}{_because(step, before, now)}"
            )
    gone = [step for step in old.steps if step.id not in now and not step.done]
    return told + [f"{_name(step)} is no longer needed." for step in gone]


def _because(step: PlannedStep, before: dict[str, PlannedStep], now: dict[str, PlannedStep]) -> str:
    if step.waits_for is not None:
        coat = now.get(step.waits_for.step)
        was = before.get(step.waits_for.step)
        if coat is not None and was is not None and abs(coat.end - was.end) >= _SAME:
            verb = "was" if coat.done else "is"
            return f", because {_name(coat)} {verb} {_shift(coat.end - was.end)}."
    return f". {step.reason}"


def _shift(change: dt.timedelta) -> str:
    word = "later" if change > dt.timedelta(0) else "sooner"
    return f"{length(abs(change.total_seconds()))} {word}"


def _name(step: PlannedStep) -> str:
    load = f", load {step.load} of {step.loads}" if step.loads > 1 else ""
    return f"“{step.title}” ({step.batch}{load})"


def _hour(at: dt.datetime, zone: ZoneInfo) -> str:
    return hour(at.timestamp(), zone)
