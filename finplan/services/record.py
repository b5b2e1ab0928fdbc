"""Record what happened; the plan moves at once, and what moved is said."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.journal.entries import EntryKind
from finplan.journal.fold import progress
from finplan.planning.request import NoPlan
from finplan.services.planned import planned
from finplan.services.steps import undated_steps
from finplan.services.write import Draft, Recorded, write_entry
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class StepRef:
    """Which step is meant: its project, batch, load (from 1) and key."""

    project: str
    batch: str
    load: int
    step: str

    @classmethod
    def of(cls, step: PlannedStep) -> StepRef:
        """Return the place of a dated step."""
        return cls(step.project, step.batch, step.load, step.step)

    @property
    def where(self) -> tuple[str, int, str]:
        """Batch, load and key, as an entry has them."""
        return self.batch, self.load, self.step


@dataclass(frozen=True, slots=True)
class Recordable:
    """The steps of a project that can be recorded, and the zone to read times in."""

    steps: tuple[PlannedStep, ...]
    zone: ZoneInfo


def recordable(session: Session, project: str) -> Recordable:
    """Return the steps of a project, dated where a plan is possible: facts can always be told.

    Raises:
        BadInput: there is no such project.
    """
    try:
        seen = planned(session, [project])
    except NoPlan:
        with session.store.unit(writes=False) as unit:
            made = unit.projects.get(project)
            facts = progress(unit.journal.of(project), made)
            zone = ZoneInfo(session.zone or unit.workshops.get(made.workshop).zone)
        return Recordable(undated_steps(made, facts, session.now), zone)
    return Recordable(seen.steps_of(project), seen.zone)


def record_step(  # noqa: PLR0913 - the fields of a form
    session: Session,
    which: StepRef,
    *,
    at: dt.datetime | None = None,
    started: dt.datetime | None = None,
    by: str = "",
    amount_l: float | None = None,
    can: str = "",
    note: str = "",
    temperature_c: float | None = None,
    humidity_percent: float | None = None,
) -> Recorded:
    """Record that a step was done.

    Args:
        session: the open session.
        which: the step.
        at: when it ended; None for now.
        started: when it began; None where nobody noted it.
        by: who did it.
        amount_l: litres used up.
        can: which can it came from; it stands for later coats until another is named.
        note: anything worth keeping.
        temperature_c: air at the time.
        humidity_percent: air at the time.

    Raises:
        BadInput: it cannot have been so; the sentence says why. Nothing is written then.
    """
    details: dict[str, object] = {
        "started": started.astimezone(dt.UTC).isoformat() if started else None,
        "amount_l": amount_l,
        "can": can.strip() or None,
        "note": note or None,
        "temperature_c": temperature_c,
        "humidity_percent": humidity_percent,
    }
    draft = Draft(EntryKind.STEP_DONE, details, at, by, which.where)
    return write_entry(session, which.project, draft)


def skip_step(
    session: Session,
    which: StepRef,
    *,
    at: dt.datetime | None = None,
    by: str = "",
    note: str = "",
) -> Recorded:
    """Record that a step is left out."""
    draft = Draft(EntryKind.STEP_SKIPPED, {"note": note or None}, at, by, which.where)
    return write_entry(session, which.project, draft)


def repeat_step(
    session: Session,
    which: StepRef,
    *,
    at: dt.datetime | None = None,
    by: str = "",
    note: str = "",
) -> Recorded:
    """Record that a step that was done has to be done again."""
    draft = Draft(EntryKind.STEP_REPEAT, {"note": note or None}, at, by, which.where)
    return write_entry(session, which.project, draft)


def record_check(
    session: Session,
    which: StepRef,
    *,
    stage: Stage,
    reached: bool,
    at: dt.datetime | None = None,
    by: str = "",
    note: str = "",
) -> Recorded:
    """Record a dryness check: the surface left by ``step`` had reached ``stage``, or not."""
    details: dict[str, object] = {"stage": stage.value, "reached": reached, "note": note or None}
    draft = Draft(EntryKind.DRYNESS_CHECK, details, at, by, which.where)
    return write_entry(session, which.project, draft)


def wish(
    session: Session,
    which: StepRef,
    start: dt.datetime | None,
    *,
    by: str = "",
    note: str = "",
) -> Recorded:
    """Wish a step at an hour; None withdraws the wish.

    Raises:
        BadInput: the step cannot be at that hour; the sentence says why. Nothing is kept then.
    """
    if start is not None:
        _refuse_impossible(session, which, start)
    details: dict[str, object] = {"note": note or None}
    wished = start.astimezone(dt.UTC).isoformat() if start else None
    draft = Draft(EntryKind.WISH, details, None, by, which.where, {"start": wished})
    return write_entry(session, which.project, draft)


def record_spoiled(
    session: Session,
    project: str,
    part: str,
    quantity: int,
    *,
    at: dt.datetime | None = None,
    by: str = "",
    note: str = "",
) -> Recorded:
    """Record that pieces were lost."""
    details: dict[str, object] = {"part": part, "quantity": quantity, "note": note or None}
    return write_entry(session, project, Draft(EntryKind.PARTS_SPOILED, details, at, by))


def add_note(
    session: Session, project: str, note: str, *, at: dt.datetime | None = None, by: str = ""
) -> Recorded:
    """Keep a word with the project."""
    return write_entry(session, project, Draft(EntryKind.NOTE, {"note": note}, at, by))


def _refuse_impossible(session: Session, which: StepRef, start: dt.datetime) -> None:
    from finplan.planning.ask import why_not

    seen = planned(session, [which.project])
    for step in seen.plan.steps:
        if StepRef.of(step) == which:
            answer = why_not(seen.request, seen.plan, step.id, start)
            if not answer.possible:
                raise BadInput(answer.sentence, "wish")
