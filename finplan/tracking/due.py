"""What is due: overdue, now, soon, and the recoat windows that are closing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from finplan.planning.plan import Plan, PlannedStep
from finplan.tracking.surfaces import surfaces_of
from finplan.trade.errors import BadInput
from finplan.trade.steps import WAITING_KINDS, of_loads


class DueState(StrEnum):
    """How pressing a thing is, most pressing first."""

    OVERDUE = "overdue"
    NOW = "now"
    CLOSING = "window closing"
    SOON = "soon"


_PRESSING = {state: place for place, state in enumerate(DueState)}


@dataclass(frozen=True, slots=True)
class DueItem:
    """One thing that is due.

    ``what`` is for people. ``at``: from when, ``until``: the end of the stretch, or the moment
    the window closes; both UTC. ``step`` is the planned step's key, ``load`` counts from 1.
    """

    what: str
    project: str
    batch: str
    load: int
    step: str
    at: dt.datetime
    until: dt.datetime
    state: DueState


def due_items(plan: Plan, now: dt.datetime, within: dt.timedelta) -> tuple[DueItem, ...]:
    """Return what is due at ``now`` or comes ``within`` that time, most pressing first.

    A plan made at ``now`` has nothing overdue, as it puts what was missed into the hours to come.
    Give the plan as it was made when the journal was last written to, and what should have
    happened since is overdue.

    Raises:
        BadInput: ``now`` is naive, or ``within`` is negative.
    """
    if now.tzinfo is None:
        raise BadInput("the hour has no time zone: give one, such as Z", "now")
    if within < dt.timedelta(0):
        raise BadInput("the time to look ahead is negative: give hours from 0", "within")
    items = [*_steps_due(plan, now, within), *_windows_closing(plan, now, within)]
    return tuple(
        sorted(items, key=lambda item: (_PRESSING[item.state], item.at, item.project, item.step))
    )


def _steps_due(plan: Plan, now: dt.datetime, within: dt.timedelta) -> Iterator[DueItem]:
    for step in plan.steps:
        if step.done:
            continue
        waits = step.kind in WAITING_KINDS
        pieces = ((step.end, step.end),) if waits else step.pieces
        start, end = next((piece for piece in pieces if piece[1] > now), pieces[-1])
        if start > now + within:
            continue
        state = DueState.SOON if start > now else DueState.NOW if end > now else DueState.OVERDUE
        if waits and state is DueState.OVERDUE:
            state = DueState.NOW
        yield _item(step, start, end, state)


def _windows_closing(plan: Plan, now: dt.datetime, within: dt.timedelta) -> Iterator[DueItem]:
    for below, above in surfaces_of(plan):
        closes = below.window_closes
        stands = below.done and not above.done
        if stands and closes is not None and now < closes <= now + within:
            opens = above.waits_for.safe if above.waits_for else below.end
            yield _item(above, opens, closes, DueState.CLOSING)


def _item(step: PlannedStep, start: dt.datetime, end: dt.datetime, state: DueState) -> DueItem:
    load = of_loads(step.load, step.loads)
    return DueItem(
        what=f"{step.title}: {step.batch}{load}",
        project=step.project,
        batch=step.batch,
        load=step.load,
        step=step.step,
        at=start,
        until=end,
        state=state,
    )
