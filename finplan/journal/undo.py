"""Undo and redo: entries about entries, since nothing in the journal is ever taken out."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.standing import WORDS_ABOUT_ENTRIES, in_order, undone_uids
from finplan.trade.errors import BadInput


def entry_to_undo(entries: Iterable[Entry]) -> Entry | None:
    """Return the last entry written that still counts, or None when there is none."""
    written = in_order(entries)
    undone = undone_uids(written)
    for entry in reversed(written):
        if entry.kind not in WORDS_ABOUT_ENTRIES and entry.uid not in undone:
            return entry
    return None


def entry_to_redo(entries: Iterable[Entry]) -> Entry | None:
    """Return the entry undone last, unless something new was written since."""
    waiting: list[Entry] = []
    written = in_order(entries)
    by_uid = {entry.uid: entry for entry in written}
    for entry in written:
        if entry.kind not in WORDS_ABOUT_ENTRIES:
            waiting.clear()
            continue
        target = by_uid.get(entry.about) if entry.about is not None else None
        if target is None:
            continue
        waiting = [other for other in waiting if other.uid != target.uid]
        if entry.kind is EntryKind.UNDO:
            waiting.append(target)
    return waiting[-1] if waiting else None


def undo_entry(entries: Iterable[Entry], uid: uuid.UUID, now: dt.datetime, by: str = "") -> Entry:
    """Return the entry that undoes the last one that counts.

    Raises:
        BadInput: nothing is left to undo.
    """
    target = entry_to_undo(entries)
    if target is None:
        raise BadInput("there is nothing to undo: the journal has no entry that counts")
    return _word_about(EntryKind.UNDO, target, uid, now, by)


def redo_entry(entries: Iterable[Entry], uid: uuid.UUID, now: dt.datetime, by: str = "") -> Entry:
    """Return the entry that brings back what was undone last.

    Raises:
        BadInput: nothing was undone, or something new was recorded since.
    """
    target = entry_to_redo(entries)
    if target is None:
        raise BadInput("there is nothing to redo: undo something first, and record nothing between")
    return _word_about(EntryKind.REDO, target, uid, now, by)


def _word_about(kind: EntryKind, target: Entry, uid: uuid.UUID, now: dt.datetime, by: str) -> Entry:
    return Entry(
        uid=uid,
        project=target.project,
        kind=kind,
        at=now,
        recorded_at=now,
        by=by,
        batch=target.batch,
        load=target.load,
        loads=target.loads,
        step=target.step,
        about=target.uid,
    )
