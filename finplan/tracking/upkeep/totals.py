"""Years past and to come, a row each: what was used up, what will be, the days out of use."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from finplan.tracking.upkeep.pieces import InstalledPiece, UpkeepEntry, Work, standing
from finplan.tracking.upkeep.years import Visit, total_cost
from finplan.trade.moments import find_zone

Told = tuple[InstalledPiece, tuple[UpkeepEntry, ...]]
"""A piece and its whole log."""


@dataclass(frozen=True, slots=True)
class YearTotals:
    """A year: litres by finish, used up and to come, cost, visits and hours out of use to come.

    ``coming_cost`` is None where the price of some finish is not known.
    """

    year: int
    used_l: Mapping[str, float]
    coming_l: Mapping[str, float]
    used_cost: float
    coming_cost: float | None
    visits: int
    out_hours: float

    @property
    def cost(self) -> float | None:
        """The whole year's cost, None where a price is not known."""
        return None if self.coming_cost is None else self.used_cost + self.coming_cost


@dataclass(frozen=True, slots=True)
class Used:
    """What one piece took in a year."""

    litres: float
    cost: float


def used_by_year(piece: InstalledPiece, entries: tuple[UpkeepEntry, ...]) -> dict[int, Used]:
    """Return what a piece took in each year its log tells of, by the calendar where it is."""
    zone = find_zone(piece.zone)
    years: dict[int, list[UpkeepEntry]] = defaultdict(list)
    for entry in standing(entries):
        years[entry.at.astimezone(zone).year].append(entry)
    return {
        year: Used(
            sum(entry.litres or 0.0 for entry in some), sum(entry.cost or 0.0 for entry in some)
        )
        for year, some in sorted(years.items())
    }


def year_totals(
    told: Iterable[Told], found: Sequence[Visit], this_year: int, years: int
) -> tuple[YearTotals, ...]:
    """Return the years that have an entry, this one and the next ``years``, without a gap.

    Args:
        told: the pieces and their logs.
        found: the visits to come.
        this_year: the year it is.
        years: how many whole years after it.
    """
    used: dict[int, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    spent: dict[int, float] = defaultdict(float)
    first = this_year
    for piece, entries in told:
        for year, took in used_by_year(piece, entries).items():
            first = min(first, year)
            used[year][piece.finish] += took.litres
            spent[year] += took.cost
    by_year: dict[int, list[Visit]] = defaultdict(list)
    for visit in found:
        by_year[visit.on.year].append(visit)
    return tuple(
        _totals(year, used[year], spent[year], by_year[year])
        for year in range(first, this_year + years + 1)
    )


def _totals(
    year: int, used: Mapping[str, float], spent: float, some: Sequence[Visit]
) -> YearTotals:
    coming: dict[str, float] = defaultdict(float)
    for visit in some:
        if visit.work is Work.RENEWAL:
            coming[visit.finish] += visit.effort.litres
    return YearTotals(
        year,
        dict(used),
        dict(coming),
        spent,
        total_cost([visit.effort.cost for visit in some]),
        len({(visit.on, visit.place) for visit in some}),
        sum(visit.effort.out_hours for visit in some),
    )
