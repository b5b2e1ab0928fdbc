"""Corrections in a piece's log: nothing is taken out, a later entry says what counts."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from finplan.tracking.upkeep.pieces import (
    UpkeepEntry,
    UpkeepKind,
    check_entry,
    standing,
    to_redo,
)
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.session import Session


def correct_upkeep(
    session: Session, name: str, uid: uuid.UUID, changes: Mapping[str, Any]
) -> UpkeepEntry:
    """Write an entry that counts in place of an earlier one.

    Args:
        session: the open session.
        name: the piece.
        uid: the entry that was wrong.
        changes: fields of the entry, as they should have been.

    Raises:
        BadInput: the entry counts no more, or cannot have been so; nothing is kept then.
    """
    with session.store.unit() as unit:
        piece = unit.pieces.get(name)
        wrong = next((e for e in standing(unit.upkeep.of(piece)) if e.uid == uid), None)
        if wrong is None:
            raise BadInput("that entry counts no more: read the log again", name)
        right = replace(
            wrong, **{**changes, "uid": uuid.uuid4(), "recorded_at": session.now, "about": uid}
        )
        check_entry(right, piece, session.now)
        unit.upkeep.append(piece, right)
        unit.commit()
    return right


def redo_upkeep(session: Session, name: str, by: str = "") -> UpkeepEntry:
    """Let the entry that was undone last count again, and return it.

    Raises:
        BadInput: nothing was undone, or something new was recorded since.
    """
    with session.store.unit() as unit:
        piece = unit.pieces.get(name)
        entries = unit.upkeep.of(piece)
        undone = to_redo(entries)
        if undone is None:
            raise BadInput("there is nothing to redo: undo something first", name)
        now = session.now
        again = UpkeepEntry(
            uuid.uuid4(), name, UpkeepKind.UNDONE, now, now, by=by, about=undone.uid
        )
        unit.upkeep.append(piece, again)
        unit.commit()
    return next(entry for entry in entries if entry.uid == undone.about)
