"""The journal: list, correct, undo, redo; ``undoing.py`` undoes whatever was done last."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.standing import in_order, undone_uids
from finplan.journal.undo import entry_to_undo, redo_entry, undo_entry
from finplan.services.gather import active_projects
from finplan.services.write import Recorded, append
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class Listed:
    """An entry as the journal lists it; ``undone`` says that it no longer counts."""

    entry: Entry
    undone: bool


def entries_of(session: Session, project: str | None = None) -> tuple[Listed, ...]:
    """Return the entries of a project (None: of all), as they were written."""
    with session.store.unit(writes=False) as unit:
        if project is None:
            names = [one.name for one in active_projects(unit)]
        else:
            names = [unit.projects.get(project).name]
        journals = [unit.journal.of(name) for name in names]
    undone = {uid for of_one in journals for uid in undone_uids(of_one)}
    entries = in_order(entry for of_one in journals for entry in of_one)
    return tuple(Listed(entry, entry.uid in undone) for entry in entries)


def find_entry(session: Session, project: str, text: str) -> Entry:
    """Return the entry a person means: the first letters of its uid, or ``last``.

    Raises:
        BadInput: none or several fit.
    """
    entries = [one.entry for one in entries_of(session, project)]
    wanted = text.strip().lower()
    if wanted == "last":
        last = entry_to_undo(entries)
        if last is not None and last.kind is EntryKind.CORRECTION:  # what it corrects is meant
            last = next((entry for entry in entries if entry.uid == last.about), None)
        found = [last] if last else []
    else:
        found = [entry for entry in entries if wanted and str(entry.uid).startswith(wanted)]
    if len(found) == 1:
        return found[0]
    fault = "fits several entries: give more of its letters" if found else "is no entry's uid"
    raise BadInput(f"{text[:40]!r} {fault}; `finplan journal {project}` lists them", project)


def correct(
    session: Session, meant: Entry, changes: Mapping[str, object], *, by: str = ""
) -> Recorded:
    """Correct an entry by another one.

    Args:
        session: the open session.
        meant: the entry that is wrong.
        changes: its fields that change: ``at`` (ISO) and details; None drops a detail.
        by: who corrects.

    Raises:
        BadInput: it is undone, or what it would say cannot have been so.
    """

    def make(_: tuple[Entry, ...], uid: uuid.UUID, written: dt.datetime) -> Entry:
        return Entry(
            uid=uid,
            project=meant.project,
            kind=EntryKind.CORRECTION,
            at=session.now,
            recorded_at=written,
            by=by,
            batch=meant.batch,
            load=meant.load,
            loads=meant.loads,
            step=meant.step,
            about=meant.uid,
            details=dict(changes),
        )

    return append(session, meant.project, make)


def undo(session: Session, project: str, *, by: str = "") -> Recorded:
    """Undo the last entry of a project that counts.

    Raises:
        BadInput: there is nothing to undo.
    """

    def make(entries: tuple[Entry, ...], uid: uuid.UUID, written: dt.datetime) -> Entry:
        return undo_entry(entries, uid, written, by)

    return append(session, project, make)


def redo(session: Session, project: str, *, by: str = "") -> Recorded:
    """Bring back the entry of a project that was undone last, unless one was written since.

    Raises:
        BadInput: there is nothing to redo.
    """

    def make(entries: tuple[Entry, ...], uid: uuid.UUID, written: dt.datetime) -> Entry:
        return redo_entry(entries, uid, written, by)

    return append(session, project, make)
