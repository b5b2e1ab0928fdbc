"""The journal's entries: the append-only record of what happened."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class EntryKind(StrEnum):
    """What an entry says."""

    STEP_DONE = "step done"
    STEP_SKIPPED = "step skipped"
    STEP_REPEAT = "step to repeat"
    DRYNESS_CHECK = "dryness check"
    PARTS_SPOILED = "parts spoiled"
    WISH = "wish"
    NOTE = "note"
    CORRECTION = "correction"
    UNDO = "undo"
    REDO = "redo"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened, or a word about an earlier entry.

    ``at``: when it happened (for a step: when it ended); ``recorded_at``: when it was written.
    ``batch``, ``load`` (from 1), ``loads`` (how many the batch was cut into then) and ``step``
    (a step's key) say what it is about. ``about`` is the entry corrected, undone or redone.
    ``details`` by kind, all values plain JSON:
    STEP_DONE ``started`` (ISO), ``temperature_c``, ``humidity_percent``, ``amount_l``, ``note``,
    ``can`` (a label that tells one can of the finish from the next);
    DRYNESS_CHECK ``stage`` (a Stage value), ``reached`` (bool);
    PARTS_SPOILED ``part``, ``quantity``; WISH ``start`` (ISO, None withdraws it);
    CORRECTION the fields of the corrected entry that change (``at`` ISO and details).
    """

    uid: uuid.UUID
    project: str
    kind: EntryKind
    at: dt.datetime
    recorded_at: dt.datetime
    by: str = ""
    batch: str = ""
    load: int = 0
    loads: int = 0
    step: str = ""
    about: uuid.UUID | None = None
    details: Mapping[str, object] = field(default_factory=dict)
