"""Which entries stand: undone ones left out, corrections applied, whatever order they come in."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from dataclasses import replace

from finplan.journal.entries import Entry, EntryKind

WORDS_ABOUT_ENTRIES: frozenset[EntryKind] = frozenset({EntryKind.UNDO, EntryKind.REDO})
"""Entries that only say whether another one counts."""


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries as they were written: by ``recorded_at``, then ``uid``."""
    return tuple(sorted(entries, key=lambda entry: (entry.recorded_at, entry.uid.int)))


def undone_uids(entries: Iterable[Entry]) -> frozenset[uuid.UUID]:
    """Return the entries that don't count: the last undo or redo about each decides."""
    undone: dict[uuid.UUID, bool] = {}
    for entry in in_order(entries):
        if entry.kind in WORDS_ABOUT_ENTRIES and entry.about is not None:
            undone[entry.about] = entry.kind is EntryKind.UNDO
    return frozenset(uid for uid, is_undone in undone.items() if is_undone)


def corrected(entry: Entry, correction: Entry) -> Entry:
    """Return ``entry`` with a correction's fields in place; a detail set to None is dropped."""
    changes = dict(correction.details)
    at = changes.pop("at", None)
    details = {**entry.details, **changes}
    return replace(
        entry,
        at=dt.datetime.fromisoformat(at) if isinstance(at, str) else entry.at,
        details={name: value for name, value in details.items() if value is not None},
    )


def standing_entries(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return what counts, in the order written, with the corrections that stand applied.

    Undo, redo and correction entries are not among them: their effect is.
    """
    written = in_order(entries)
    undone = undone_uids(written)
    live = [entry for entry in written if entry.uid not in undone]
    by_uid = {
        entry.uid: entry
        for entry in live
        if entry.kind not in WORDS_ABOUT_ENTRIES and entry.kind is not EntryKind.CORRECTION
    }
    for entry in live:
        if entry.kind is EntryKind.CORRECTION and entry.about in by_uid:
            by_uid[entry.about] = corrected(by_uid[entry.about], entry)
    return tuple(by_uid.values())
