"""Ready by a date: how late work can safely begin."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from finplan.journal.progress import Progress
from finplan.planning.layout import lay_out, ready_at
from finplan.planning.plan import Deadline
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.words import hour, instant
from finplan.trade.moments import find_zone, instant_of
from finplan.trade.project import Project

_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class PutOff:
    """A request whose projects begin as late as is safe, and what that comes to."""

    request: PlanRequest
    deadline: Deadline


def put_off(request: PlanRequest, by: dt.date) -> PutOff:
    """Let projects not yet begun begin as late as still gets all the date is of ready by it.

    Found by planning again, to the day. If even work from now on is too late, nothing is put off.

    Raises:
        NoPlan: if there is no plan at all.
    """
    zone = request.told_in
    end = last_instant(request, by)
    first = _ready(request)
    if first > end:
        late = hour(first.timestamp(), zone)
        said = f"It cannot be safely ready by {by.isoformat()}: the first plan is ready {late}"
        return PutOff(request, Deadline(by, False, request.now, 0, said))
    dated = [one for one in request.projects if request.is_dated(one.name)]
    if all(_is_begun(request, one) for one in dated):
        said = f"It is safely ready by {by.isoformat()}; work has begun, so nothing is put off"
        return PutOff(request, Deadline(by, True, _first_work(request), 0, said))
    low, high = 0, max(0, (end - request.now) // _DAY)
    while low < high:
        middle = (low + high + 1) // 2
        if _in_time(_begun_later(request, middle), end):
            low = middle
        else:
            high = middle - 1
    later = _begun_later(request, low)
    begin = _first_work(later)
    start = hour(begin.timestamp(), zone)
    spare = f"{low} day{'' if low == 1 else 's'} to spare"
    said = f"To be safely ready by {by.isoformat()} work has to begin by {start}: {spare}"
    return PutOff(later, Deadline(by, True, begin, low, said))


def last_instant(request: PlanRequest, by: dt.date) -> dt.datetime:
    """The end of a day in the workshop's zone."""
    zone = find_zone(request.workshop.zone)
    return instant_of(by + _DAY, dt.time(), zone)


def _first_work(request: PlanRequest) -> dt.datetime:
    """When the first work that was put off starts, or any where all is begun; now if none is."""
    built, found = lay_out(request)
    begun = {one.name for one in request.projects if _is_begun(request, one)}
    starts = [
        (name in begun, built.network.axis.starts[place.slots[0]])
        for index, place in found.layout.placed.items()
        if request.is_dated(name := built.site.items[index].project.name)
    ]
    return instant(min(starts)[1]) if starts else request.now.astimezone(dt.UTC)


def _is_begun(request: PlanRequest, project: Project) -> bool:
    return bool(request.progress.get(project.name, Progress()).done)


def _in_time(request: PlanRequest, end: dt.datetime) -> bool:
    try:
        return _ready(request) <= end
    except NoPlan:
        return False


def _ready(request: PlanRequest) -> dt.datetime:
    return ready_at(*lay_out(request))


def _begun_later(request: PlanRequest, days: int) -> PlanRequest:
    def later(project: Project) -> Project:
        if days == 0 or not request.is_dated(project.name) or _is_begun(request, project):
            return project
        begins = request.now + days * _DAY
        return replace(project, begins=max(begins, project.begins or begins))

    return replace(request, projects=tuple(later(project) for project in request.projects))
