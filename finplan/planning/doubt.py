"""What the doubt about a date comes from: the same worlds again, one source held at its middle.

Held are how fast each finish dries (the middle of its band), the weather (as it is usual), or the
days missed (as many as usual, evenly spread). All else is drawn as before, so that what the range
loses comes from that source alone. The sources work on each other: the parts need not add up.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from finplan.air.series import AirSeries
from finplan.planning.chance import Chances, chances
from finplan.planning.plan import Plan
from finplan.planning.request import PlanRequest
from finplan.planning.worlds import Source

_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Spread:
    """How far apart the runs are ready, with one source held or (None) with all of them drawn.

    ``days``: from the date one run in ten is ready by to that for nine; infinite where that is
    not within a year. ``share``: of the runs ready by a date; None where none is asked about.
    """

    held: Source | None
    days: float
    share: float | None


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far apart the runs are ready, and how far with each source held: the narrowest first."""

    drawn: Spread
    held: tuple[Spread, ...]


def doubt(
    request: PlanRequest,
    plan: Plan,
    drawn: Chances,
    project: str,
    *,
    by: dt.datetime | None = None,
    readings: Mapping[str, AirSeries] | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Doubt:
    """Say how much of the doubt about a project's date goes with each source.

    Args:
        request: what is planned.
        plan: its plan.
        drawn: how likely each project is ready by when, with all sources drawn; the same worlds
            are looked at again.
        project: the project asked about.
        by: the instant it is to be ready by, if any.
        readings: as for ``chances``.
        stopped: asked after every run; what is found is of no use then.

    Raises:
        NoPlan: if no run leads to a plan.
    """
    held = []
    for source in Source:
        found = chances(request, plan, readings, drawn.runs, stopped=stopped, held=(source,))
        held.append(_spread(source, found, project, by))
    held.sort(key=lambda one: (one.days, -(one.share or 0.0)))
    return Doubt(_spread(None, drawn, project, by), tuple(held))


def _spread(held: Source | None, found: Chances, project: str, by: dt.datetime | None) -> Spread:
    early, late = (found.ready(project, share) for share in (0.1, 0.9))
    days = math.inf if early is None or late is None else (late - early) / _DAY
    return Spread(held, days, found.share(project, by) if by is not None else None)
