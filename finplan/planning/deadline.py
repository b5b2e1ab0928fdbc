"""Ready by a date: how late work can safely begin."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from finplan.planning.layout import lay_out, ready_at
from finplan.planning.plan import Deadline, spare_said
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.words import hour, instant
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, instant_of, say_date, say_moment
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
        BadInput: if the day is past.
    """
    zone = request.told_in
    end = last_instant(request, by)
    if end <= request.now:
        raise BadInput(f"{say_date(by)} is past: give a day still to come", "ready by")
    first = _ready(request)
    if first > end:
        late = hour(first.timestamp(), zone)
        said = f"It cannot be safely ready by {say_date(by)}: the first plan is ready {late}"
        return PutOff(request, Deadline(by, False, request.now, 0, said))
    dated = [one for one in request.projects if request.is_dated(one.name)]
    if all(request.is_begun(one.name) for one in dated):
        said = f"It is safely ready by {say_date(by)}; work has begun, so nothing is put off"
        return PutOff(request, Deadline(by, True, _first_work(request), 0, said))
    low, high = 0, max(0, (end - request.now) // _DAY)
    ready = {high + 1: _ready_if(_begun_later(request, high + 1))}
    while low < high:
        middle = (low + high + 1) // 2
        ready[middle] = at = _ready_if(_begun_later(request, middle))
        if at is not None and at <= end:
            low = middle
        else:
            high = middle - 1
    later = _begun_later(request, low)
    begin = _first_work(later)
    start = hour(begin.timestamp(), zone)
    said = f"To be safely ready by {say_date(by)} work has to begin by {start}: {spare_said(low)}"
    too_late = ready[low + 1]
    if too_late is not None:
        said += f"; begun a day after that it is ready {say_moment(too_late, zone)}"
    return PutOff(later, Deadline(by, True, begin, low, said))


def last_instant(request: PlanRequest, by: dt.date) -> dt.datetime:
    """The end of a day in the workshop's zone."""
    zone = find_zone(request.workshop.zone)
    return instant_of(by + _DAY, dt.time(), zone)


def _first_work(request: PlanRequest) -> dt.datetime:
    """When the first work that was put off starts, or any where all is begun; now if none is."""
    built, found = lay_out(request)
    begun = {one.name for one in request.projects if request.is_begun(one.name)}
    starts = [
        (name in begun, built.network.axis.starts[place.slots[0]])
        for index, place in found.layout.placed.items()
        if request.is_dated(name := built.site.items[index].project.name)
    ]
    return instant(min(starts)[1]) if starts else request.now.astimezone(dt.UTC)


def _ready_if(request: PlanRequest) -> dt.datetime | None:
    """When all is safely ready that the date is of; None if there is no plan."""
    try:
        return _ready(request)
    except NoPlan:
        return None


def _ready(request: PlanRequest) -> dt.datetime:
    return ready_at(*lay_out(request))


def _begun_later(request: PlanRequest, days: int) -> PlanRequest:
    """The request with no work before a later day, as the workshop counts days."""
    zone = find_zone(request.workshop.zone)
    day = request.now.astimezone(zone).date() + days * _DAY
    begins = instant_of(day, dt.time(), zone)

    def later(project: Project) -> Project:
        if days == 0 or not request.is_dated(project.name) or request.is_begun(project.name):
            return project
        return replace(project, begins=max(begins, project.begins or begins))

    return replace(request, projects=tuple(later(project) for project in request.projects))
