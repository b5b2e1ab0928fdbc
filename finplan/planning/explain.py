"""Plans in words: why a step is when it is."""

from __future__ import annotations

from dataclasses import dataclass

from finplan.planning.plan import Plan, PlannedStep
from finplan.trade.errors import BadInput


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
