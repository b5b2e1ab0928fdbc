"""The pieces in use as the screens show them, reckoned once for each reading of the data."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.pieces import UpkeepKind, Work, standing
from finplan.tracking.upkeep.totals import YearTotals, year_totals
from finplan.tui.models.times import local

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen, YearsAhead
    from finplan.tracking.upkeep.years import Visit

Month = tuple[int, int]
"""A year and a month."""


@dataclass(frozen=True, eq=False)
class Care:
    """Pieces in use, and the years that have a log entry, this one and the next ``years``.

    ``visits`` are those of these years, ``saved`` the trips that putting them together saves.
    ``done`` counts what was done in a month; ``coming`` says what the weightiest work to come in
    a month is, and how often. ``gone`` are the pieces in use no more; what they used up counts.
    """

    pieces: tuple[PieceSeen, ...]
    visits: tuple[Visit, ...]
    saved: int
    years: int
    totals: tuple[YearTotals, ...]
    done: Mapping[Month, int]
    coming: Mapping[Month, tuple[Work, int]]
    gone: tuple[PieceSeen, ...] = ()

    @property
    def every(self) -> tuple[PieceSeen, ...]:
        """The pieces in use, and those in use no more."""
        return (*self.pieces, *self.gone)


def care_of(ahead: YearsAhead, now: dt.datetime, zone: str, years: int) -> Care:
    """Return the pieces and years as the screens show them.

    Args:
        ahead: the pieces and their visits, further than ``years`` at least.
        now: the present.
        zone: whose years they are.
        years: how many whole years after this one show.
    """
    this_year = local(now, zone).year
    visits = tuple(visit for visit in ahead.visits if visit.on.year <= this_year + years)
    told = [(seen.piece, seen.entries) for seen in (*ahead.pieces, *ahead.gone)]
    done = Counter(
        (there.year, there.month)
        for piece, entries in told
        for entry in standing(entries)
        if entry.kind is not UpkeepKind.GONE
        for there in [local(entry.at, piece.zone)]
    )
    works: dict[Month, Counter[Work]] = defaultdict(Counter)
    for visit in visits:
        works[visit.on.year, visit.on.month][visit.work] += 1
    coming = {
        month: next((work, some[work]) for work in WEIGHTY if some[work])
        for month, some in works.items()
    }
    totals = year_totals(told, visits, this_year, years)
    saved = len({(visit.moved_from, visit.place) for visit in visits if visit.bundled})
    return Care(ahead.pieces, visits, saved, years, totals, done, coming, ahead.gone)


WEIGHTY = (Work.RENEWAL, Work.CLEANING, Work.INSPECTION)
"""The works, the one that takes most first."""
