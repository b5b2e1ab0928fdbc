"""The details of an entry: which there are, and what they may hold."""

from __future__ import annotations

import datetime as dt
import math

from finplan.journal.entries import Entry, EntryKind
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

LONGEST_NOTE = 2000
"""Letters of a note; longer ones belong in a file of their own (our choice)."""

_LIMITS: dict[str, tuple[float, float, str]] = {
    "amount_l": (0.0, 500.0, "litres"),
    "temperature_c": (-40.0, 60.0, "°C"),
    "humidity_percent": (0.0, 100.0, "%"),
}
"""What a workshop can hold; a value outside is a slip of the pen (our choice)."""

_KNOWN: dict[EntryKind, frozenset[str]] = {
    EntryKind.STEP_DONE: frozenset({"started", "note", "can", *_LIMITS}),
    EntryKind.STEP_SKIPPED: frozenset({"note"}),
    EntryKind.STEP_REPEAT: frozenset({"note"}),
    EntryKind.DRYNESS_CHECK: frozenset({"stage", "reached", "note"}),
    EntryKind.PARTS_SPOILED: frozenset({"part", "quantity", "note"}),
    EntryKind.WISH: frozenset({"start", "note"}),
    EntryKind.NOTE: frozenset({"note"}),
    EntryKind.UNDO: frozenset({"note"}),
    EntryKind.REDO: frozenset({"note"}),
    EntryKind.CORRECTION: frozenset({"at", "started", "stage", "reached", "note", *_LIMITS})
    | {"can", "part", "quantity", "start"},
}

_NEEDED: dict[EntryKind, tuple[str, ...]] = {
    EntryKind.DRYNESS_CHECK: ("stage", "reached"),
    EntryKind.PARTS_SPOILED: ("part", "quantity"),
    EntryKind.WISH: ("start",),
    EntryKind.NOTE: ("note",),
}


def check_details(entry: Entry) -> None:
    """Refuse details that the entry's kind does not have, lacks, or that hold nonsense.

    Raises:
        BadInput: names the detail and says what it may be.
    """
    known = _KNOWN[entry.kind]
    where = entry.kind.value
    for name in entry.details:
        if name not in known:
            listed = ", ".join(sorted(known))
            raise BadInput(f"has no detail {name!r}: it takes {listed}", where)
    for name in _NEEDED.get(entry.kind, ()):
        if name not in entry.details:
            raise BadInput(f"lacks {name!r}: give it", where)
    if entry.kind is EntryKind.CORRECTION and not entry.details:
        raise BadInput("changes nothing: name at least one field and its new value", where)
    optional = entry.kind in (EntryKind.CORRECTION, EntryKind.WISH)
    for name, value in entry.details.items():
        if value is None and optional:
            continue
        _check_value(name, value, f"{where}, {name}")
    _check_text(entry.by, f"{where}, by")


def _check_value(name: str, value: object, where: str) -> None:
    if name in _LIMITS:
        _check_number(name, value, where)
    elif name in ("at", "started", "start"):
        _check_instant(value, where)
    elif name == "stage":
        _check_stage(value, where)
    elif name == "reached":
        if not isinstance(value, bool):
            raise BadInput(f"{value!r} is neither yes nor no: give true or false", where)
    elif name == "quantity":
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            raise BadInput(f"{value!r} is no count of pieces: give a whole number from 1", where)
    else:
        _check_text(value, where)
        if name in ("note", "can") and not str(value).strip():
            raise BadInput("is empty: write a word, or leave it out", where)


def _check_number(name: str, value: object, where: str) -> None:
    low, high, unit = _LIMITS[name]
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not math.isfinite(float(str(value))):
        raise BadInput(f"{value!r} is not a number: give {unit}", where)
    if not low <= float(str(value)) <= high:
        raise BadInput(f"{value} {unit} can't be: give {low:g} to {high:g} {unit}", where)


def _check_instant(value: object, where: str) -> None:
    try:
        moment = dt.datetime.fromisoformat(str(value))
    except ValueError:
        raise BadInput(
            f"{str(value)[:40]!r} is not a time: give it like 2026-10-03T18:30:00Z", where
        ) from None
    if moment.tzinfo is None:
        raise BadInput(f"{value} has no time zone: give one, or Z for UTC", where)


def _check_stage(value: object, where: str) -> None:
    stages = [stage.value for stage in Stage]
    if value not in stages:
        raise BadInput(f"{value!r} is no drying stage: give one of {', '.join(stages)}", where)


def _check_text(value: object, where: str) -> None:
    if not isinstance(value, str):
        raise BadInput(f"{value!r} is not text: write a word", where)
    if len(value) > LONGEST_NOTE:
        raise BadInput(f"has {len(value)} letters: keep it under {LONGEST_NOTE}", where)
    if any(_unprintable(letter) for letter in value):
        raise BadInput("holds control characters: write plain text", where)


def _unprintable(letter: str) -> bool:
    return letter not in "\n\t" and (
        ord(letter) < 32 or 0x7F <= ord(letter) < 0xA0 or (0xD800 <= ord(letter) < 0xE000)
    )
