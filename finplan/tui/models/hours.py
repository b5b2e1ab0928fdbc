"""The hours in which somebody works, for shading the others."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache
from zoneinfo import ZoneInfo

from finplan.trade.workshop import Person
from finplan.tui.models.view import View

BEFORE = dt.timedelta(days=21)
AFTER = dt.timedelta(days=120)


def open_hours(view: View) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    """Return the stretches around now in which at least one person may work, rising."""
    if view.planned is None:
        return ()
    shop = view.planned.workshop
    day = view.now.replace(hour=0, minute=0, second=0, microsecond=0)
    return _stretches(shop.people, shop.zone, day)


@lru_cache(maxsize=4)
def _stretches(
    people: tuple[Person, ...], zone: str, day: dt.datetime
) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    from finplan.planning.hours import open_stretches

    return open_stretches(people, ZoneInfo(zone), day - BEFORE, day + AFTER)
