"""Visits put together: work at one place on one day, with one finish, where that saves a trip."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.cycle import fixed_rule
from finplan.tracking.upkeep.days import is_wished
from finplan.tracking.upkeep.pieces import InstalledPiece, Work

if TYPE_CHECKING:
    from finplan.tracking.upkeep.years import Visit

BUNDLE_DAYS = 21
"""So many days at most is work done early to save a trip; our own choice."""


def bundled(found: Sequence[Visit], pieces: Mapping[str, InstalledPiece]) -> tuple[Visit, ...]:
    """Return visits in order of time, those put together that save trips by it.

    All that is to be done at a place on a day moves to an earlier trip there, or nothing does,
    since a part of it would save no trip. Nothing is moved to a later day, out of season, onto
    blocked or unwished days, or off a fixed rule; and two finishes never meet in one trip by it.

    Args:
        found: the visits, each on its own day.
        pieces: by name.
    """
    days: dict[tuple[str, dt.date], list[Visit]] = defaultdict(list)
    for visit in found:
        days[visit.place, visit.on].append(visit)
    trips: dict[str, tuple[dt.date, list[Visit]]] = {}
    for place, day in sorted(days, key=lambda key: key[1]):
        there = days[place, day]
        trip = trips.get(place)
        if trip is not None and _may_join(there, trip, pieces):
            trip[1].extend(replace(visit, on=trip[0], moved_from=day) for visit in there)
            there.clear()
        else:
            trips[place] = (day, there)
    moved = [visit for visits in days.values() for visit in visits]
    return tuple(sorted(moved, key=lambda visit: (visit.on, visit.place, visit.piece)))


def _may_join(
    there: Sequence[Visit], trip: tuple[dt.date, list[Visit]], pieces: Mapping[str, InstalledPiece]
) -> bool:
    """Say whether all that is to be done on a day may be done on an earlier trip instead."""
    day, already = trip
    if (there[0].on - day).days > BUNDLE_DAYS or len(_finishes([*there, *already])) > 1:
        return False
    return all(
        not fixed_rule(pieces[visit.piece], visit.work) and is_wished(pieces[visit.piece], day)
        for visit in there
    )


def _finishes(visits: Sequence[Visit]) -> set[str]:
    return {visit.finish for visit in visits if visit.work is Work.RENEWAL}
