"""Write one entry to the journal and say what followed; nothing is kept of a refused one."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.rules import check_entry
from finplan.planning.request import NoPlan
from finplan.services.gather import active_projects
from finplan.services.keep import last_shown, replanned, swap_kept
from finplan.services.planned import Planned, planned
from finplan.services.renewed import keep_log_of
from finplan.store.edits import workshop_uid
from finplan.tracking.heed import what_to_heed

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.cautions import Caution
    from finplan.trade.project import Project

_TICK = dt.timedelta(microseconds=1)

MakesEntry = Callable[[tuple[Entry, ...], uuid.UUID, dt.datetime], Entry]
"""Makes an entry from the journal so far, the new uid and the time of writing."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was written, and what followed.

    ``moved``: a sentence for each step of the plan that moved. ``cautions``: what to mind now
    (rags after an oil, for one). ``heed``: what the step calls for next, or went against, in
    sentences. ``subject``: for an undo, redo or correction the entry meant.
    """

    entry: Entry
    moved: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()
    subject: Entry | None = None
    heed: tuple[str, ...] = ()

    @property
    def project(self) -> str:
        """The project it was written to."""
        return self.entry.project


@dataclass(frozen=True, slots=True)
class Draft:
    """What a person wants to record.

    Details that are None are left out, those in ``kept`` never. ``at`` None is now. ``where`` is
    (batch, load, step key).
    """

    kind: EntryKind
    details: Mapping[str, object]
    at: dt.datetime | None = None
    by: str = ""
    where: tuple[str, int, str] | None = None
    kept: Mapping[str, object] = field(default_factory=dict)


def write_entry(session: Session, project: str, draft: Draft) -> Recorded:
    """Check and append what a person recorded.

    Raises:
        BadInput: it cannot have been so. Nothing is written then.
    """
    before = plan_or_none(session, project)
    batch, load, step = draft.where or ("", 0, "")

    def entry(_: tuple[Entry, ...], uid: uuid.UUID, written: dt.datetime) -> Entry:
        given = {name: value for name, value in draft.details.items() if value is not None}
        return Entry(
            uid=uid,
            project=project,
            kind=draft.kind,
            at=(draft.at or session.now).astimezone(dt.UTC),
            recorded_at=written,
            by=draft.by,
            batch=batch,
            load=load,
            loads=_loads(before, project, batch),
            step=step,
            details={**given, **draft.kept},
        )

    return append(session, project, entry, before)


def append(
    session: Session, project: str, make: MakesEntry, before: Planned | None = None
) -> Recorded:
    """Append the entry that ``make`` returns and plan anew.

    Args:
        session: the open session.
        project: the project's name.
        make: gets the journal so far, a new uid, and the time of writing (a hair after the last
            entry's where the clock stands still or was set back, so that order is kept).
        before: the plan before, where the caller has it already.

    Raises:
        BadInput: the entry is refused. Nothing is written then.
    """
    before = before or plan_or_none(session, project)
    shown = last_shown(session, before)
    with session.store.unit() as unit:
        made = unit.projects.get(project)
        entries = unit.journal.of(project)
        written = moment_after_all(session, unit, made)
        entry = make(entries, uuid.uuid4(), written)
        zone = session.zone or unit.workshops.get(made.workshop).zone
        check_entry(entry, made, entries, max(session.now, written), zone)
        unit.journal.append([entry])
        logged = keep_log_of(unit, made, entries, (*entries, entry), entry.by)
        undone = entry.kind in (EntryKind.UNDO, EntryKind.REDO)
        if undone:
            swap_kept(unit, made.workshop)
        unit.commit()
    subject = next((other for other in entries if other.uid == entry.about), None)
    after, moved = replanned(session, (project,), shown, undone=undone)
    said = (logged, *moved) if logged else moved
    step = _step_done(after, entry) if after else None
    if after is None or step is None:
        return Recorded(entry, said, subject=subject)
    put_on = {one.id: after.finish_put_on(one) for one in after.steps_of(project)}
    heed = what_to_heed(after.plan, before.plan if before else None, put_on, step, after.zone)
    return Recorded(entry, said, after.cautions_at(step), subject, heed)


def moment_after_all(session: Session, unit: Unit, project: Project) -> dt.datetime:
    """Return now, or a hair after what was written last where the clock stands or went back."""
    return _after(session, [*_told(unit, project), *_workshop_told(unit, project.workshop)])


def moment_after_workshop(session: Session, unit: Unit, workshop: str) -> dt.datetime:
    """Return now, or a hair after what was written last to a workshop, its air or its projects."""
    projects = (one for one in active_projects(unit) if one.workshop == workshop)
    told = [at for project in projects for at in _told(unit, project)]
    return _after(session, [*told, *_workshop_told(unit, workshop)])


def _after(session: Session, told: Iterable[dt.datetime]) -> dt.datetime:
    latest = max(told, default=None)
    return session.now if latest is None or latest < session.now else latest + _TICK


def _told(unit: Unit, project: Project) -> Iterator[dt.datetime]:
    for entry in unit.journal.of(project.name):
        yield entry.recorded_at
    yield from _edits_told(unit, project.uid)


def _workshop_told(unit: Unit, workshop: str) -> Iterator[dt.datetime]:
    latest = unit.air_changes.latest(workshop)
    if latest is not None:
        yield latest.recorded_at
    yield from _edits_told(unit, workshop_uid(workshop))


def _edits_told(unit: Unit, of: uuid.UUID) -> Iterator[dt.datetime]:
    for edit in (unit.edits.last([of]), unit.edits.last_undone([of])):
        if edit is not None:
            yield edit.undone or edit.at


def plan_or_none(session: Session, project: str) -> Planned | None:
    """Return the plan of a project's workshop, None where none is possible."""
    try:
        return planned(session, [project])
    except NoPlan:
        return None


def _loads(before: Planned | None, project: str, batch: str) -> int:
    if before is None:
        return 0
    steps = (step for step in before.steps_of(project) if step.batch == batch)
    return next((step.loads for step in steps), 0)


def _step_done(after: Planned, entry: Entry) -> PlannedStep | None:
    """Return the step that an entry says was done."""
    if entry.kind is not EntryKind.STEP_DONE:
        return None
    wanted = (entry.batch, entry.load, entry.step)
    steps = after.steps_of(entry.project)
    return next((one for one in steps if (one.batch, one.load, one.step) == wanted), None)
