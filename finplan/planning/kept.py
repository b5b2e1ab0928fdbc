"""The plan people last saw: what the next one keeps to where it can, and is compared with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from finplan.planning.plan import Plan, PlannedStep


@dataclass(frozen=True, slots=True)
class KeptStep:
    """One step as it was planned; ``dry`` is the safe instant it waited for, if any."""

    id: str
    name: str
    pieces: tuple[tuple[dt.datetime, dt.datetime], ...]
    person: str
    done: bool
    dry: dt.datetime | None = None

    @property
    def start(self) -> dt.datetime:
        """When it begins."""
        return self.pieces[0][0]

    @property
    def end(self) -> dt.datetime:
        """When it ends."""
        return self.pieces[-1][1]


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan cut down to its hours.

    ``at``: the moment it was made for. ``ready``: the safe date by project. ``moved``: what had
    moved by it, a sentence each; ``moved_of``: the project of each, where it was kept;
    ``summed_up``, ``summed_up_of``: the same with chains of steps in one sentence.
    """

    at: dt.datetime
    ready: Mapping[str, dt.datetime]
    steps: tuple[KeptStep, ...]
    moved: tuple[str, ...] = ()
    moved_of: tuple[str, ...] = ()
    summed_up: tuple[str, ...] = ()
    summed_up_of: tuple[str, ...] = ()


def kept(plan: Plan) -> KeptPlan:
    """Cut a plan down to what the next one needs of it."""
    steps = tuple(
        KeptStep(
            step.id,
            name_of(step),
            step.pieces,
            step.person,
            step.done,
            step.waits_for.safe if step.waits_for is not None else None,
        )
        for step in plan.steps
    )
    ready = {one.project: one.safe for one in plan.ready}
    return KeptPlan(plan.now, ready, steps)


def name_of(step: PlannedStep) -> str:
    """A step with its batch, and its load where there are several."""
    load = f", load {step.load} of {step.loads}" if step.loads > 1 else ""
    return f"“{step.title}” ({step.batch}{load})"
