"""Ready by a date: how late work can safely begin."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from finplan.air.climate import zone_of
from finplan.journal.progress import Progress
from finplan.planning.layout import lay_out
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.words import hour, instant
from finplan.trade.project import Project

_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class PutOff:
    """A request whose projects begin as late as is safe, and what to say about it."""

    request: PlanRequest
    said: str


def put_off(request: PlanRequest, by: dt.date) -> PutOff:
    """Let projects not yet begun begin as late as still gets all ready by a date.

    Found by planning again, to the day. If even work from now on is too late, nothing is put off.

    Raises:
        NoPlan: if there is no plan at all.
    """
    zone = zone_of(request.workshop.zone)
    end = dt.datetime.combine(by + _DAY, dt.time(), zone).astimezone(dt.UTC)
    first = _ready(request)
    if first > end:
        late = hour(first.timestamp(), zone)
        said = f"It cannot be safely ready by {by.isoformat()}: the first plan is ready {late}"
        return PutOff(request, said)
    low, high = 0, max(0, (end - request.now) // _DAY)
    while low < high:
        middle = (low + high + 1) // 2
        if _in_time(_begun_later(request, middle), end):
            low = middle
        else:
            high = middle - 1
    start = hour((request.now + low * _DAY).timestamp(), zone)
    spare = f"{low} day{'' if low == 1 else 's'} to spare"
    said = f"To be safely ready by {by.isoformat()} work has to begin by {start}: {spare}"
    return PutOff(_begun_later(request, low), said)


def _in_time(request: PlanRequest, end: dt.datetime) -> bool:
    try:
        return _ready(request) <= end
    except NoPlan:
        return False


def _ready(request: PlanRequest) -> dt.datetime:
    _, found = lay_out(request)
    return instant(found.goal[0])


def _begun_later(request: PlanRequest, days: int) -> PlanRequest:
    def later(project: Project) -> Project:
        if days == 0 or request.progress.get(project.name, Progress()).done:
            return project
        begins = request.now + days * _DAY
        return replace(project, begins=max(begins, project.begins or begins))

    return replace(request, projects=tuple(later(project) for project in request.projects))
