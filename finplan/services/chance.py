"""How likely a project is ready by a date, and what that rests on."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.planned import planned
from finplan.trade.errors import BadInput
from finplan.trade.moments import instant_of, say_date

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.planning.chance import Chances
    from finplan.planning.doubt import Doubt
    from finplan.planning.plan import Plan
    from finplan.planning.request import PlanRequest
    from finplan.services.planned import Planned
    from finplan.services.session import Session

_DAY = dt.timedelta(days=1)
_YEARS_BACK = dt.timedelta(days=11 * 366)

_FEWER_RUNS = 100
"""Enough for a range that is shown by the day."""

_LEAST_RUNS = 50
"""With fewer the outer tenths rest on less than five runs each: assumption, too few to show."""

_RANGES_S = 10.0
"""Time for the runs of a range nobody waits for: assumption, one that comes later is not missed."""


@dataclass(frozen=True, slots=True)
class Range:
    """One run in ten is ready before ``early``, one after ``late``; None: not within a year."""

    early: dt.datetime | None
    late: dt.datetime | None


@dataclass(frozen=True, slots=True)
class PutOffChance:
    """Begun as late as is safe: when that is, in words, and the share of runs in time then."""

    start: dt.datetime
    said: str
    share: float


@dataclass(frozen=True)
class ChanceAnswer:
    """When a project is ready in so many runs, and in how many by a date.

    ``safe``: the planned date. ``by``: the date asked for, else the one it is wanted by, if any;
    ``share``: of the runs ready by its end. ``late``: the same begun as late as is safe; None
    where work has begun or there is no time to spare. ``seasons``: what the runs are. ``seen``:
    the plan that is carried out in them.
    """

    project: str
    safe: dt.datetime
    by: dt.date | None
    share: float | None
    late: PutOffChance | None
    chances: Chances
    seasons: str
    zone: ZoneInfo
    seen: Planned


def chance_of(
    session: Session,
    project: str,
    by: dt.date | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> ChanceAnswer:
    """Say how likely a project is ready by a date.

    Args:
        session: the open session.
        project: its name.
        by: the date; None for the one the project is wanted by.
        stopped: asked after every run; no more runs are made when it says yes.

    Raises:
        BadInput: no such project, nothing of it is left to do, or a date that is past.
        NoPlan: no plan is possible.
    """
    from finplan.planning.chance import chances_of_each
    from finplan.planning.chance_words import season

    seen = planned(session, [project])
    if by is not None and by < session.now.astimezone(seen.zone).date():
        raise BadInput(f"{say_date(by)} is past: give a day still to come", "ready by")
    ready = seen.ready_of(project)
    if ready is None or all(step.done for step in seen.steps_of(project)):
        raise BadInput("every step is done: nothing is left to chance", project)
    by = by or seen.projects[project].in_service_by
    end = _end_of(by, seen.zone)
    to_come = end is not None and end > session.now
    late = _put_off(seen, project, by) if by is not None and to_come else None
    plans = [(seen.request, seen.plan)]
    if late is not None:
        plans.append((late.request, late.plan))
    found, *of_late = chances_of_each(plans, _readings(session, seen), stopped=stopped)
    batch = seen.projects[project].batches[0]
    space = next(one for one in seen.workshop.spaces if one.name == batch.space)
    middle = session.now + (ready.safe - session.now) / 2
    return ChanceAnswer(
        project=project,
        safe=ready.safe,
        by=by,
        share=found.share(project, end) if end is not None else None,
        late=PutOffChance(late.start, late.said, of_late[0].share(project, end))
        if late is not None and end is not None
        else None,
        chances=found,
        seasons=season(middle.astimezone(seen.zone).date(), space.normals),
        zone=seen.zone,
        seen=seen,
    )


def doubt_of(
    session: Session, found: ChanceAnswer, stopped: Callable[[], bool] = lambda: False
) -> Doubt:
    """Say how much of the doubt about a project's date comes from what.

    Args:
        session: the open session.
        found: how likely it is ready.
        stopped: asked after every run.
    """
    from finplan.planning.doubt import doubt

    seen, end = found.seen, _end_of(found.by, found.zone)
    readings = _readings(session, seen)
    return doubt(
        seen.request,
        seen.plan,
        found.chances,
        found.project,
        by=end,
        readings=readings,
        stopped=stopped,
    )


def _end_of(day: dt.date | None, zone: ZoneInfo) -> dt.datetime | None:
    return instant_of(day + _DAY, dt.time(), zone) if day is not None else None


def ranges(
    session: Session, seen: Planned, stopped: Callable[[], bool] = lambda: False
) -> dict[str, Range]:
    """Return between which instants each project of a plan is ready in 8 of 10 runs.

    Nothing where it is stopped, or where too few runs can be made in ten seconds.

    Args:
        session: the open session.
        seen: the plan.
        stopped: asked meanwhile; says whether the ranges are still wanted.

    Raises:
        NoPlan: no run leads to a plan.
    """
    from finplan.planning.chance import chances

    end_s = time.monotonic() + _RANGES_S
    found = chances(
        seen.request,
        seen.plan,
        _readings(session, seen),
        _FEWER_RUNS,
        stopped=lambda: time.monotonic() > end_s or stopped(),
    )
    if stopped() or found.runs < _LEAST_RUNS:
        return {}
    return {name: Range(found.ready(name, 0.1), found.ready(name, 0.9)) for name in found.ready_s}


@dataclass(frozen=True, slots=True)
class _Late:
    """A project begun as late as is safe: the request, its plan, when that is, and in words."""

    request: PlanRequest
    plan: Plan
    start: dt.datetime
    said: str


def _put_off(seen: Planned, project: str, by: dt.date) -> _Late | None:
    """The plan begun as late as is safe; None where work has begun or no time is to spare."""
    from finplan.planning.deadline import put_off
    from finplan.planning.make import make_plan

    request: PlanRequest = replace(seen.request, before=None, dated=(project,))
    late = put_off(request, by)
    if late.request.projects == request.projects:
        return None
    plan = make_plan(late.request)
    start = min(step.start for step in plan.steps if step.project == project and not step.done)
    return _Late(late.request, plan, start, late.deadline.said)


def _readings(session: Session, seen: Planned) -> dict[str, AirSeries]:
    """All that was read of the workshop's air, as far back as weather is drawn from."""
    since = session.now - _YEARS_BACK
    with session.store.unit(writes=False) as unit:
        found = {
            space.name: unit.air.readings(seen.workshop.name, space.name, since)
            for space in seen.workshop.spaces
        }
    return {space: air for space, air in found.items() if air is not None}
