"""Loads and the surfaces they carry, as a plan dates them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from finplan.planning.plan import Plan, PlannedStep
from finplan.trade.steps import JOINING_KINDS, WET_KINDS, Side, StepKind


def loads_of(plan: Plan) -> Iterator[tuple[PlannedStep, ...]]:
    """Yield the steps of each load, in their order."""
    loads: dict[tuple[str, str, int], list[PlannedStep]] = {}
    for planned in plan.steps:
        loads.setdefault((planned.project, planned.batch, planned.load), []).append(planned)
    for steps in loads.values():
        yield tuple(steps)


def loads_to_the_end(plan: Plan) -> Iterator[tuple[PlannedStep, ...]]:
    """Yield the steps of each load and those of the whole batch after them, in their order.

    What is done to the whole batch is planned as load 1's.
    """
    lines = list(loads_of(plan))
    whole = {
        (steps[0].project, steps[0].batch): tuple(
            itertools.dropwhile(lambda step: step.kind not in JOINING_KINDS, steps)
        )
        for steps in lines
        if steps[0].load == 1
    }
    for steps in lines:
        if steps[0].load == 1:
            yield steps
        else:
            yield (*steps, *whole.get((steps[0].project, steps[0].batch), ()))


def surfaces_of(plan: Plan) -> Iterator[tuple[PlannedStep, PlannedStep]]:
    """Yield each wet step with the wet step that goes over it (turned pieces have two sides)."""
    for steps in loads_of(plan):
        wet = [planned for planned in steps if planned.kind in WET_KINDS]
        for place, below in enumerate(wet):
            above = next((other for other in wet[place + 1 :] if _over(below, other)), None)
            if above is not None:
                yield below, above


def is_scuffed_for(plan: Plan, coat: PlannedStep) -> bool:
    """Whether scuffing for a coat is recorded."""
    return any(
        one.kind is StepKind.SCUFF and one.done and not one.skipped and one.coat == coat.coat
        for one in plan.steps
        if (one.project, one.batch, one.load) == (coat.project, coat.batch, coat.load)
    )


def _over(below: PlannedStep, above: PlannedStep) -> bool:
    return below.side == above.side or Side.ALL in (below.side, above.side)
