"""Undo and redo of what was done last: a journal entry, a change of a project or workshop, air."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from finplan.air.changes import last_standing, last_undone
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.standing import WORDS_ABOUT_ENTRIES
from finplan.journal.undo import entry_to_redo, entry_to_undo
from finplan.services import air_log, editing, journal, workshops
from finplan.services.editing import Edited
from finplan.services.gather import active_projects
from finplan.services.write import Recorded
from finplan.store.edits import workshop_uid
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    import uuid

    from finplan.services.session import Session
    from finplan.store.edits import Edit
    from finplan.store.store import Unit

Turn = Callable[["Session"], Recorded | Edited]
TurnEdit = Callable[["Session", "Edit"], Edited]


@dataclass(frozen=True, slots=True)
class Meant:
    """What undo and redo look at: projects, and workshops that count too, with their air."""

    projects: Collection[str] = ()
    workshops: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class _Done:
    """Something done (or undone) at a moment, and how to turn it."""

    at: dt.datetime
    turn: Turn


@dataclass(frozen=True, slots=True)
class _Looked:
    """What was done last of each kind, what was undone last, and when anything new was done."""

    done: tuple[_Done, ...]
    undone: tuple[_Done, ...]
    newest: tuple[dt.datetime, ...]


def undo_last(session: Session, meant: Meant | None = None) -> Recorded | Edited:
    """Undo what was done last.

    Args:
        session: the open session.
        meant: where to look; None for all projects and workshops.

    Raises:
        BadInput: there is nothing to undo, or it cannot be undone any more.
    """
    done = _look(session, meant).done
    if not done:
        raise BadInput("there is nothing to undo: nothing was recorded or changed")
    return max(done, key=lambda one: one.at).turn(session)


def redo_last(session: Session, meant: Meant | None = None) -> Recorded | Edited:
    """Bring back what was undone last, unless something new was done since.

    Args:
        session: the open session.
        meant: where to look; None for all projects and workshops.

    Raises:
        BadInput: there is nothing to redo, or it cannot be redone any more.
    """
    looked = _look(session, meant)
    last = max(looked.undone, key=lambda one: one.at, default=None)
    if last is None or any(last.at < at for at in looked.newest):
        raise BadInput("there is nothing to redo: undo something first, and do nothing between")
    return last.turn(session)


def _look(session: Session, meant: Meant | None) -> _Looked:
    store = session.store
    if store.read_only:  # an older one that can't be upgraded may lack what is looked at
        raise BadInput(store.read_only, f"database {store.location.shown}")
    with session.store.unit(writes=False) as unit:
        if meant is None:
            projects, shops = active_projects(unit), unit.workshops.names()
        else:
            projects = tuple(unit.projects.get(name) for name in meant.projects)
            shops = tuple(meant.workshops)
        entries = tuple(entry for one in projects for entry in unit.journal.of(one.name))
        seen = [
            _entries(entries),
            _edits(unit, [one.uid for one in projects], editing.take_back, editing.bring_back),
            *(_air(unit, shop) for shop in shops),
            *(
                _edits(
                    unit,
                    [workshop_uid(shop)],
                    partial(workshops.take_back, name=shop),
                    partial(workshops.bring_back, name=shop),
                )
                for shop in shops
            ),
        ]
    return _Looked(
        tuple(one for look in seen for one in look.done),
        tuple(one for look in seen for one in look.undone),
        tuple(at for look in seen for at in look.newest),
    )


def _entries(entries: tuple[Entry, ...]) -> _Looked:
    last, undone = entry_to_undo(entries), entry_to_redo(entries)
    return _Looked(
        (_Done(last.recorded_at, lambda s: journal.undo(s, last.project)),) if last else (),
        (_Done(_undone_at(entries, undone), lambda s: journal.redo(s, undone.project)),)
        if undone
        else (),
        tuple(one.recorded_at for one in entries if one.kind not in WORDS_ABOUT_ENTRIES),
    )


def _edits(
    unit: Unit, owners: Collection[uuid.UUID], take_back: TurnEdit, bring_back: TurnEdit
) -> _Looked:
    last, undone = unit.edits.last(owners), unit.edits.last_undone(owners)
    return _Looked(
        (_Done(last.at, lambda s: take_back(s, last)),) if last else (),
        (_Done(undone.undone, lambda s: bring_back(s, undone)),)
        if undone is not None and undone.undone is not None
        else (),
        (last.at,) if last else (),
    )


def _air(unit: Unit, workshop: str) -> _Looked:
    last = last_standing(unit.air_changes.last_first(workshop))
    word = last_undone(unit.air_changes.last_first(workshop))
    undone = unit.air_changes.of_uid(word.about) if word and word.about else None
    return _Looked(
        (_Done(last.recorded_at, lambda s: air_log.take_back(s, last)),) if last else (),
        (_Done(word.recorded_at, lambda s: air_log.bring_back(s, undone)),)
        if word is not None and undone is not None
        else (),
        (last.recorded_at,) if last else (),
    )


def _undone_at(entries: tuple[Entry, ...], target: Entry) -> dt.datetime:
    return max(
        one.recorded_at for one in entries if one.kind is EntryKind.UNDO and one.about == target.uid
    )
