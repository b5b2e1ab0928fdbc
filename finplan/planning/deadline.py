"""Ready by a date: how late work can safely begin, and the chance to be ready by then."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace

import numpy as np

from finplan.air.climate import zone_of
from finplan.drying.bands import Band, prior
from finplan.journal.progress import Progress
from finplan.planning.layout import lay_out
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.words import hour, instant
from finplan.trade.project import Project

_DAY = dt.timedelta(days=1)
_WITHIN_DAYS = 200
"""Evenings are drawn as missed for that many days ahead."""


@dataclass(frozen=True, slots=True)
class PutOff:
    """A request whose projects begin as late as is safe, and what to say about it."""

    request: PlanRequest
    said: str


@dataclass(frozen=True, slots=True)
class Chance:
    """How likely all is ready by a date, and when it is: one in ten, half, nine in ten."""

    share: float
    early: dt.datetime
    middle: dt.datetime
    late: dt.datetime
    runs: int


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


def chance(
    request: PlanRequest, by: dt.datetime, runs: int = 200, missed: float = 0.1, seed: int = 0
) -> Chance:
    """How likely all is ready by an instant, from a few hundred plans of what may happen.

    In each run every finish dries by a draw from its band, and days are missed at random; the
    same seed gives the same draws, so that two requests compare.

    Args:
        request: what is planned.
        by: the instant, timezone-aware.
        runs: how many plans.
        missed: share of days on which planned work does not happen.
        seed: fixes the draws.

    Raises:
        NoPlan: if no run leads to a plan.
    """
    draws = np.random.default_rng(seed)
    ready = []
    for _ in range(runs):
        happens = _as_it_may_happen(request, draws, missed)
        try:
            ready.append(_ready_once(happens).timestamp())
        except NoPlan:
            ready.append(math.inf)
    known = sorted(at for at in ready if math.isfinite(at))
    if not known:
        raise NoPlan("no run leads to a plan: give more work hours", "chance")
    early, middle, late = (
        instant(known[min(len(known) - 1, int(share * len(known)))]) for share in (0.1, 0.5, 0.9)
    )
    in_time = sum(at <= by.timestamp() for at in ready)
    return Chance(in_time / runs, early, middle, late, runs)


def _ready_once(request: PlanRequest) -> dt.datetime:
    _, found = lay_out(request, passes=1)
    return instant(found.goal[0])


def _as_it_may_happen(
    request: PlanRequest, draws: np.random.Generator, missed: float
) -> PlanRequest:
    """The request in one of the worlds it may meet: drying times and missed days drawn."""
    bands = {}
    for name in sorted(request.finishes):
        book = prior(request.finishes[name])
        shift = float(draws.standard_normal())
        for space in sorted(request.air):
            belief = request.bands.get((name, space), book)
            drawn = belief.median * math.exp(belief.sigma * shift)
            bands[name, space] = Band(drawn, belief.sigma)
    first = request.now.astimezone(zone_of(request.workshop.zone)).date()
    people = []
    for person in request.workshop.people:
        away = np.flatnonzero(draws.random(_WITHIN_DAYS) < missed)
        off = tuple(first + int(day) * _DAY for day in away)
        people.append(replace(person, days_off=(*person.days_off, *off)))
    # The quantile one half: what dries as drawn, with no caution on top.
    shop = replace(request.workshop, people=tuple(people), safe_quantile=0.5)
    return replace(request, workshop=shop, bands=bands)
