"""What the pieces of one finish under the same exposures teach each other.

Each is believed to last as the default says, as the others here do, and as its own coats did.
All together they say how many renewals such pieces need: where that is more than one in a
default interval each renewal is held to be worth more, where it is less, less, so that about as
many are made as a fixed cycle would, where they save most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.tracking.upkeep.life import Bounds, LifeBelief, learn
from finplan.trade.numbers import Number, Span

BOOK_COUNTS = Number(4.0, "assumption: the default interval counts as much as so many pieces")

DEARER_BY_NEED = Number(3.0, "our own choice: ten per cent dearer makes three per cent fewer")
"""Power of the need by which a renewal's worth rises; measured by simulation."""

DEAREST = Number(1.5, "our own choice: no finish is left gone for longer to save renewals")
"""How far the worth of a renewal is raised at most, or lowered by the same factor."""


@dataclass(frozen=True, slots=True)
class Taught:
    """What pieces here teach, each known by the bounds of its coats.

    ``total``: their beliefs added up. ``count``: the pieces of which something was seen.
    ``need``: renewals in a default interval, against what the default alone says.
    """

    default_months: Span
    total: NDArray[np.float64]
    count: int
    need: float

    @property
    def dearer(self) -> float:
        """By what factor a renewal is worth more here than by the default alone."""
        most = DEAREST.value
        return float(min(most, max(1.0 / most, self.need**DEARER_BY_NEED.value)))

    def others(self, own: Sequence[Bounds]) -> Others:
        """Return what all pieces but one teach that one.

        Args:
            own: the bounds of that piece's coats, which are among what was taught.
        """
        total, count = self.total, self.count
        if _says(own):
            total, count = total - learn(self.default_months, own).weights, count - 1
        book = learn(self.default_months, ())
        before = (BOOK_COUNTS.value * book.weights + total) / (BOOK_COUNTS.value + count)
        before = np.maximum(before, 0.0)
        months = float(math.exp(book.log_medians @ total / count)) if count else math.nan
        return Others(before / before.sum(), count, months)


@dataclass(frozen=True, slots=True)
class Others:
    """What other pieces teach one: weights to begin from, how many they are, their median."""

    before: NDArray[np.float64]
    count: int
    months: float


def teach(default_months: Span, pieces: Sequence[Sequence[Bounds]]) -> Taught:
    """Return what pieces of one finish under the same exposures teach.

    Args:
        default_months: their interval before anything was seen.
        pieces: the bounds of each piece's coats, the standing one too.
    """
    told = [learn(default_months, coats) for coats in pieces if _says(coats)]
    book = learn(default_months, ())
    total = np.sum([one.weights for one in told], axis=0) if told else np.zeros_like(book.weights)
    needed = BOOK_COUNTS.value * _renewals(book, book.weights) + _renewals(book, total)
    need = needed / (BOOK_COUNTS.value + len(told)) / _renewals(book, book.weights)
    return Taught(default_months, total, len(told), need)


def _renewals(book: LifeBelief, weights: NDArray[np.float64]) -> float:
    """Return how many of such lives fit into a month."""
    return float(weights @ np.exp(-book.log_medians))


def _says(coats: Sequence[Bounds]) -> bool:
    return any(coat != Bounds() for coat in coats)
