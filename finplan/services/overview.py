"""What a person wants to see first: drying, tonight, windows that close, what is due."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.planning.request import NoPlan
from finplan.services.dry import told_by
from finplan.services.gather import last_written
from finplan.services.moist import moist_air
from finplan.services.planned import planned as plan_workshop
from finplan.services.when import zone_for
from finplan.tracking.drying_now import Drying, drying_now
from finplan.tracking.due import DueItem, DueState, due_items
from finplan.tracking.surfaces import is_scuffed_for, surfaces_of
from finplan.trade.steps import WAITING_KINDS

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned
    from finplan.services.session import Session

AHEAD = dt.timedelta(hours=36)
"""How far the opening view looks ahead for what is due."""

SESSION_GAP = dt.timedelta(hours=4)
"""A longer pause between hands-on steps begins another session (our choice)."""


@dataclass(frozen=True, slots=True)
class ClosingWindow:
    """A recoat window, and the step that should go on before it closes or after a scuffing."""

    step: PlannedStep
    next_step: PlannedStep
    opens: dt.datetime
    closes: dt.datetime

    @property
    def never_open(self) -> bool:
        """Whether it closes before the next step can safely go on."""
        return self.closes <= self.opens


@dataclass(frozen=True, slots=True)
class Advice:
    """Whether a finish may be put on in the air there is now, and why not."""

    finish: str
    allowed: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AirNow:
    """The air in a space at the moment asked for, and what it means for the finishes in use."""

    space: str
    at: dt.datetime
    temperature_c: float
    humidity_percent: float
    dew_point_c: float
    emc_percent: float
    source: str
    advice: tuple[Advice, ...]


@dataclass(frozen=True, slots=True)
class ProjectSummary:
    """A project in one line. ``state`` is one of planned, under way, drying, finished."""

    name: str
    title: str
    ready: dt.datetime | None
    in_service_by: dt.date | None
    next: PlannedStep | None
    done_steps: int
    total_steps: int
    state: str
    workshop: str = ""


@dataclass(frozen=True, slots=True)
class Overview:
    """The opening view of one workshop; all instants aware UTC."""

    now: dt.datetime
    zone: str
    drying: tuple[Drying, ...]
    tonight: tuple[PlannedStep, ...]
    due: tuple[DueItem, ...]
    windows: tuple[ClosingWindow, ...]
    overdue: tuple[DueItem, ...]
    air: tuple[AirNow, ...]
    projects: tuple[ProjectSummary, ...]
    warnings: tuple[str, ...]


def overview(session: Session, planned: Planned | None = None) -> Overview:
    """Return the opening view of a workshop.

    Args:
        session: the open session.
        planned: its plan, where the caller has it; None plans the workshop with the next work.
    """
    seen = planned or plan_workshop(session)
    due = due_now(session, seen, AHEAD)
    return Overview(
        now=seen.plan.now,
        zone=seen.zone.key,
        drying=drying_now(seen.plan, seen.request, seen.plan.now, seen.clock),
        tonight=tonight(seen),
        due=tuple(item for item in due if item.state is not DueState.OVERDUE),
        windows=_windows(seen),
        overdue=tuple(item for item in due if item.state is DueState.OVERDUE),
        air=tuple(air_now(seen, space.name) for space in seen.workshop.spaces),
        projects=summaries(seen),
        warnings=seen.plan.warnings,
    )


def idle(session: Session) -> Overview:
    """Return the opening view where there is no project: the hour, and nothing to do."""
    return Overview(session.now, zone_for(session).key, (), (), (), (), (), (), (), ())


def due_now(session: Session, planned: Planned, within: dt.timedelta) -> tuple[DueItem, ...]:
    """Return what is due, most pressing first.

    Overdue is what the plan made when the journal was last written to had for the time since.
    """
    now = planned.plan.now
    items = [i for i in due_items(planned.plan, now, within) if i.state is not DueState.OVERDUE]
    with session.store.unit(writes=False) as unit:
        written = last_written({name: unit.journal.of(name) for name in planned.projects})
    if written is None or written >= now:
        return tuple(items)
    try:
        then = plan_workshop(session, list(planned.projects), at=written)
    except NoPlan:
        return tuple(items)
    missed = [
        item
        for item in due_items(then.plan, now, dt.timedelta(0))
        if item.state is DueState.OVERDUE
    ]
    told = {_same(item) for item in missed}
    return (*missed, *(item for item in items if _same(item) not in told))


def _same(item: DueItem) -> tuple[str, str, int, str, bool]:
    """What makes two items the same thing to do; a closing window is another than its step."""
    closing = item.state is DueState.CLOSING
    return item.project, item.batch, item.load, item.step, closing


def tonight(planned: Planned) -> tuple[PlannedStep, ...]:
    """Return the hands-on steps of the session that runs or comes next, in order."""
    pieces = sorted(
        (
            (start, end, step.id, step)
            for step in planned.plan.steps
            if not step.done and step.kind not in WAITING_KINDS
            for start, end in step.pieces
            if end > planned.plan.now
        ),
        key=lambda piece: piece[:3],
    )
    found: dict[str, PlannedStep] = {}
    ends: dt.datetime | None = None
    for start, end, step_id, step in pieces:
        if ends is not None and start > ends + SESSION_GAP:
            break
        ends = end if ends is None else max(ends, end)
        found[step_id] = step
    return tuple(found.values())


def summaries(planned: Planned) -> tuple[ProjectSummary, ...]:
    """Return each shown project in one line."""
    return tuple(_summary(planned, name) for name in planned.shown)


def _summary(planned: Planned, name: str) -> ProjectSummary:
    project = planned.projects[name]
    steps = planned.steps_of(name)
    done = sum(step.done for step in steps)
    ready = planned.ready_of(name)
    return ProjectSummary(
        name=name,
        title=project.title,
        ready=ready.safe if ready else None,
        in_service_by=project.in_service_by,
        next=planned.next_of(name),
        done_steps=done,
        total_steps=len(steps),
        state=_state(planned, steps, done),
        workshop=project.workshop,
    )


def _state(planned: Planned, steps: tuple[PlannedStep, ...], done: int) -> str:
    if done == len(steps):
        return "finished"
    if not done:
        return "planned"
    open_steps = [step for step in steps if not step.done]
    if all(step.kind in WAITING_KINDS and step.end <= planned.plan.now for step in open_steps):
        return "finished"
    now, put_on = planned.plan.now, {step.id for step in steps if step.done}
    waiting = all(step.start > now or step.kind in WAITING_KINDS for step in open_steps)
    waits = [step.waits_for for step in open_steps if step.waits_for is not None]
    dries = any(one.step in put_on and one.safe > now for one in waits)
    return "drying" if waiting and dries else "under way"


def _windows(planned: Planned) -> tuple[ClosingWindow, ...]:
    """Return the recoat windows of the surfaces that stand now, the first to close first.

    One that has closed stays until the surface is scuffed, or coated after all.
    """
    found = [
        ClosingWindow(
            step=below,
            next_step=above,
            opens=above.waits_for.safe if above.waits_for else below.end,
            closes=below.window_closes,
        )
        for below, above in surfaces_of(planned.plan)
        if below.done and not above.done and below.window_closes is not None
        if not is_scuffed_for(planned.plan, above)
    ]
    return tuple(sorted(found, key=lambda window: (window.closes, window.step.id)))


def air_now(planned: Planned, space: str) -> AirNow:
    """Return the air of a space now, and what it means for the finishes still to go on there."""
    from finplan.air.series import at
    from finplan.drying.advice import Verdict, advice

    now_s = planned.plan.now.timestamp()
    air = at(planned.air[space], now_s)
    moist = moist_air(air.temperature_c, air.humidity_percent)
    return AirNow(
        space=space,
        at=planned.plan.now,
        temperature_c=air.temperature_c,
        humidity_percent=air.humidity_percent,
        dew_point_c=moist.dew_point_c,
        emc_percent=moist.emc_percent,
        source=air.source.value,
        advice=tuple(
            Advice(name, found.verdict is Verdict.GO, told_by(found, planned.request.units))
            for name in _finishes_in_use(planned, space)
            for found in (
                advice(
                    planned.finishes[name],
                    planned.air[space],
                    now_s,
                    units=planned.request.units,
                ),
            )
        ),
    )


def _finishes_in_use(planned: Planned, space: str) -> tuple[str, ...]:
    """Return the finishes still to be put on in a space, by name."""
    names = {
        planned.step_as_made(step).finish
        for step in planned.plan.steps
        if step.space == space and not step.done
    }
    return tuple(sorted(name for name in names if name))
