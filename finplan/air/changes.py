"""What was kept of the air of a workshop, and which of it was taken back.

Like the journal it only grows: taking something back, or bringing it back, is one more entry.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from finplan.air.series import AirSource

Instant = tuple[float, float, float]
"""The air from one instant on: seconds since 1970 UTC, °C, relative humidity in %."""


class AirWord(StrEnum):
    """What an entry says."""

    KEPT = "kept"
    UNDONE = "undone"
    DONE_AGAIN = "done again"


@dataclass(frozen=True, slots=True)
class AirChange:
    """Air that was kept of a space, or a word about an earlier entry (``about``).

    ``before`` and ``after`` hold the instants that were changed, as they were and as they became:
    an instant that was not known is in ``after`` alone. Both are empty in a word about another.
    """

    uid: uuid.UUID
    workshop: str
    space: str
    source: AirSource
    recorded_at: dt.datetime
    word: AirWord = AirWord.KEPT
    about: uuid.UUID | None = None
    before: tuple[Instant, ...] = ()
    after: tuple[Instant, ...] = ()


def last_standing(last_first: Iterable[AirChange]) -> AirChange | None:
    """Return what was kept last and still counts; None where nothing is left.

    Args:
        last_first: the entries of one workshop, the last one first; no more are read than needed.
    """
    told: dict[uuid.UUID, AirWord] = {}
    for change in last_first:
        if change.about is not None:
            told.setdefault(change.about, change.word)
        elif told.get(change.uid) is not AirWord.UNDONE:
            return change
    return None


def last_undone(last_first: Iterable[AirChange]) -> AirChange | None:
    """Return the word that undid something last, unless air was kept since; None where none did.

    Args:
        last_first: the entries of one workshop, the last one first; no more are read than needed.
    """
    told: set[uuid.UUID] = set()
    for change in last_first:
        if change.about is None:
            return None
        if change.about not in told and change.word is AirWord.UNDONE:
            return change
        told.add(change.about)
    return None
