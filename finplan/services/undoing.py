"""Undo and redo, whatever was done last: an entry of the journal or a change of a project."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.standing import WORDS_ABOUT_ENTRIES
from finplan.journal.undo import entry_to_redo, entry_to_undo
from finplan.services import journal
from finplan.services.editing import Edited, bring_back, take_back
from finplan.services.gather import active_projects
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    import uuid
    from collections.abc import Collection

    from finplan.services.session import Session
    from finplan.services.write import Recorded
    from finplan.store.edits import ProjectEdit

_LONG_AGO = dt.datetime.min.replace(tzinfo=dt.UTC)


def undo_last(session: Session, projects: Collection[str] = ()) -> Recorded | Edited:
    """Undo what was done last in some projects, of all of them where none is named.

    Raises:
        BadInput: there is nothing to undo, or it cannot be undone any more.
    """
    uids, entries = _written(session, projects)
    entry = entry_to_undo(entries)
    with session.store.unit(writes=False) as unit:
        edit = unit.edits.last(uids)
    if edit is not None and (entry is None or edit.at > entry.recorded_at):
        return take_back(session, edit)
    if entry is None:
        raise BadInput("there is nothing to undo: nothing was recorded or changed")
    return journal.undo(session, entry.project)


def redo_last(session: Session, projects: Collection[str] = ()) -> Recorded | Edited:
    """Bring back what was undone last, unless something new was done since.

    Raises:
        BadInput: there is nothing to redo, or it cannot be redone any more.
    """
    uids, entries = _written(session, projects)
    with session.store.unit(writes=False) as unit:
        edit, standing = unit.edits.last_undone(uids), unit.edits.last(uids)
    entry = entry_to_redo(entries)
    entry_undone = _undone_at(entries, entry)
    newest = max(
        standing.at if standing else _LONG_AGO,
        max(
            (e.recorded_at for e in entries if e.kind not in WORDS_ABOUT_ENTRIES), default=_LONG_AGO
        ),
    )
    edit_undone = _moment(edit)
    if edit is not None and edit_undone > max(newest, entry_undone):
        return bring_back(session, edit)
    if entry is None or entry_undone < newest:
        raise BadInput("there is nothing to redo: undo something first, and do nothing between")
    return journal.redo(session, entry.project)


def _written(
    session: Session, projects: Collection[str]
) -> tuple[list[uuid.UUID], tuple[Entry, ...]]:
    with session.store.unit(writes=False) as unit:
        meant = [unit.projects.get(name) for name in projects] or list(active_projects(unit))
        entries = tuple(entry for one in meant for entry in unit.journal.of(one.name))
    return [one.uid for one in meant], entries


def _moment(edit: ProjectEdit | None) -> dt.datetime:
    return edit.undone if edit is not None and edit.undone is not None else _LONG_AGO


def _undone_at(entries: tuple[Entry, ...], target: Entry | None) -> dt.datetime:
    if target is None:
        return _LONG_AGO
    return max(
        (e.recorded_at for e in entries if e.kind is EntryKind.UNDO and e.about == target.uid),
        default=_LONG_AGO,
    )
