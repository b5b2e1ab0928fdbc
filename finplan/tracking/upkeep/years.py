"""Years ahead over all pieces: visits, days out of use, litres, cost."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from finplan.tracking.upkeep.bundling import bundled
from finplan.tracking.upkeep.cycle import MONTH_DAYS, Outlook, fixed_rule
from finplan.tracking.upkeep.days import best_day, next_day
from finplan.tracking.upkeep.pieces import Work
from finplan.trade.upkeep import UpkeepDefaults

_MOST_OF_ONE = 2_000


@dataclass(frozen=True, slots=True)
class Effort:
    """What one renewal of a piece takes: litres, cost (None where no price is known), hours."""

    litres: float
    cost: float | None
    out_hours: float


@dataclass(frozen=True, slots=True)
class Visit:
    """One day's work on one piece; ``moved_from``: its own day, where that saved a trip."""

    on: dt.date
    piece: str
    place: str
    finish: str
    work: Work
    effort: Effort
    moved_from: dt.date | None = None

    @property
    def bundled(self) -> bool:
        """Whether it was moved to another day to save a trip."""
        return self.moved_from is not None


@dataclass(frozen=True, slots=True)
class YearSum:
    """A year's visits: ``trips`` are days at a place, ``saved`` those put together with others."""

    year: int
    trips: int
    renewals: int
    out_hours: float
    litres: float
    cost: float | None
    saved: int = 0


def visits(
    outlooks: Sequence[Outlook],
    efforts: Mapping[str, Effort],
    defaults: UpkeepDefaults,
    until: dt.date,
) -> tuple[Visit, ...]:
    """Return every visit up to a day, put together where that saves trips (``bundling``)."""
    found = [
        visit
        for one in outlooks
        for visit in _of_piece(one, efforts[one.piece.name], defaults, until)
    ]
    return bundled(found, {one.piece.name: one.piece for one in outlooks})


def by_year(found: Sequence[Visit]) -> tuple[YearSum, ...]:
    """Return the sums of each year that has a visit."""
    years: dict[int, list[Visit]] = defaultdict(list)
    for visit in found:
        years[visit.on.year].append(visit)
    return tuple(_sum(year, some) for year, some in sorted(years.items()))


def total_cost(costs: Sequence[float | None]) -> float | None:
    """Return what all cost together, None where a price is not known."""
    known = [cost for cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _sum(year: int, some: Sequence[Visit]) -> YearSum:
    costs = [visit.effort.cost for visit in some if visit.work is Work.RENEWAL]
    return YearSum(
        year,
        len({(visit.on, visit.place) for visit in some}),
        len(costs),
        sum(visit.effort.out_hours for visit in some),
        sum(visit.effort.litres for visit in some),
        total_cost(costs),
        len({(visit.moved_from, visit.place) for visit in some if visit.bundled}),
    )


def _of_piece(
    one: Outlook, effort: Effort, defaults: UpkeepDefaults, until: dt.date
) -> Iterator[Visit]:
    nothing = Effort(0.0, 0.0, 0.0)
    shares = {
        Work.RENEWAL: 1.0,
        Work.CLEANING: defaults.clean_share.value,
        Work.INSPECTION: defaults.inspect_share.value,
    }
    for coming in one.coming:
        takes = effort if coming.work is Work.RENEWAL else nothing
        months = one.interval_months * shares[coming.work]
        for day in islice(_days(one, coming.work, coming.on, months), _MOST_OF_ONE):
            if day > until:
                break
            yield Visit(day, one.piece.name, one.piece.place, one.piece.finish, coming.work, takes)


def _days(one: Outlook, work: Work, first: dt.date, months: float) -> Iterator[dt.date]:
    piece, day = one.piece, first
    rule = fixed_rule(piece, work)
    step = dt.timedelta(days=max(1, round(months * MONTH_DAYS)))
    while day.year < dt.MAXYEAR - 2:
        yield day
        day = next_day(rule, day) if rule else best_day(piece, day + step, day + step / 2)
