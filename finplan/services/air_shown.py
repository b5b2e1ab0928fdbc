"""The air of a space over some days: what it is hour by hour, and when each finish may go on."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.air import space_named
from finplan.services.overview import air_now
from finplan.services.planned import planned

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.services.overview import AirNow
    from finplan.services.planned import Planned
    from finplan.services.session import Session
    from finplan.trade.finishes import Finish

QUARTER_S = 900
"""How finely the good hours are told (our choice: the planner's own step)."""


@dataclass(frozen=True, slots=True)
class AirHour:
    """The air at an instant (UTC); ``source`` says where it is known from."""

    at: dt.datetime
    temperature_c: float
    humidity_percent: float
    dew_point_c: float
    source: str


@dataclass(frozen=True, slots=True)
class GoodHours:
    """A finish still to go on, the limits it has, and the stretches (UTC) within them."""

    finish: str
    coldest_c: float
    dampest_percent: float | None
    stretches: tuple[tuple[dt.datetime, dt.datetime], ...]


@dataclass(frozen=True, slots=True)
class SpaceAir:
    """The air of a space now, hour by hour, and what it allows."""

    workshop: str
    zone: ZoneInfo
    now: AirNow
    hours: tuple[AirHour, ...]
    finishes: tuple[GoodHours, ...]


def air_shown(
    session: Session, workshop: str | None, space: str | None, days: int, step_hours: int
) -> tuple[SpaceAir, ...]:
    """Return the air of one space, or of all (None), from a day ago until some days ahead.

    Args:
        session: the open session.
        workshop: its name; None for the one with the next work.
        space: its name; None for every space of the workshop.
        days: how many days ahead.
        step_hours: how many hours lie between the instants told.

    Raises:
        BadInput: no project yet, an unknown workshop or space.
    """
    made = planned(session, workshop=workshop)
    names = [one.name for one in made.workshop.spaces]
    chosen = names if space is None else [space_named(made.workshop, space)]
    return tuple(_space(made, name, days, step_hours) for name in chosen)


def _space(made: Planned, space: str, days: int, step_hours: int) -> SpaceAir:
    from finplan.air.psychrometrics import dew_point_c
    from finplan.air.series import at

    now, air = made.plan.now, made.air[space]
    first = now.replace(minute=0, second=0, microsecond=0) - dt.timedelta(days=1)
    hours = []
    for number in range(0, (days + 1) * 24 + 1, step_hours):
        instant = first + dt.timedelta(hours=number)
        is_then = at(air, instant.timestamp())
        warm, damp = is_then.temperature_c, is_then.humidity_percent
        dew = float(dew_point_c(warm, damp))
        hours.append(AirHour(instant, warm, damp, dew, is_then.source.value))
    seen = air_now(made, space)
    until = now + dt.timedelta(days=days)
    finishes = tuple(
        good_hours(made.finishes[advice.finish], air, now, until) for advice in seen.advice
    )
    return SpaceAir(made.workshop.name, made.zone, seen, tuple(hours), finishes)


def good_hours(finish: Finish, air: AirSeries, begin: dt.datetime, until: dt.datetime) -> GoodHours:
    """Return the stretches between two instants in which a finish may go on in some air."""
    import numpy as np

    from finplan.drying.limits import may_coat

    starts = np.arange(begin.timestamp(), until.timestamp(), QUARTER_S, dtype=np.float64)
    allowed = np.concatenate(([False], may_coat(finish, air, starts), [False]))
    turns = np.flatnonzero(allowed[1:] != allowed[:-1]).tolist()
    ends = [*starts.tolist(), until.timestamp()]
    moments = [dt.datetime.fromtimestamp(ends[turn], dt.UTC) for turn in turns]
    dampest = finish.dampest_air_percent
    return GoodHours(
        finish.name,
        finish.refuse_below_c.value,
        dampest.value if dampest else None,
        tuple(list(pairwise(moments))[::2]),
    )
