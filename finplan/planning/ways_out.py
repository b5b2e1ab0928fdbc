"""What would free a plan: the least change of each restriction, found by planning again."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from finplan.air.adjust import dehumidifier, heater
from finplan.journal.progress import Progress
from finplan.planning.lever_finishes import other_finishes
from finplan.planning.levers import missing_days
from finplan.planning.loads import cut_into_loads
from finplan.planning.obstacle_words import kind_words
from finplan.planning.obstacles import Enough, Obstacle, Trial
from finplan.planning.otherwise import with_batch
from finplan.planning.request import NoPlan, PlanRequest
from finplan.planning.restrictions import Kind, Restriction, kinds_of, lifted
from finplan.planning.words import length
from finplan.trade.names import counted
from finplan.trade.project import Batch, Project
from finplan.trade.quantities import format_area, format_temperature
from finplan.trade.schedules import Template
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, Space, WorkWindow

_DAY = dt.timedelta(days=1)
_WARMEST_C = 30
_ANY_RISE_C = 100.0
_PERCENTS = (80, 75, 70, 65, 60, 55, 50, 45, 40, 35)
_LONGER_MINUTES = range(15, 361, 15)
"""Nobody is asked to stay more than six hours longer."""
_RACK_STEP_M2 = 0.1
_RACK_STEPS = 400
_MOST_LOADS = 12
_FROM = dt.time(8)

_AIR = (Kind.COLD, Kind.DAMP, Kind.HOT)

Change = Callable[[PlanRequest], PlanRequest]
Choices = Sequence[tuple[str, Change]]


@dataclass(frozen=True, slots=True)
class Way:
    """One change with which there is a wanted plan, and when all is safely ready then.

    ``least``: less of it would not do, as far as that was tried. ``change``: what it does to a
    request, where that is still asked for.
    """

    about: str
    ready: dt.datetime
    least: bool = True
    change: Change | None = field(default=None, compare=False, repr=False)


def ways_past(trial: Trial, obstacle: Obstacle, base: PlanRequest) -> Iterator[Way]:
    """What would free a plan of an obstacle, each by itself, in the order of its restrictions.

    Args:
        trial: tries what is wanted.
        obstacle: what is in the way.
        base: the request with all other obstacles out of the way.

    Raises:
        Enough: if no more plans may be made.
    """
    for one in obstacle.restrictions:
        for choices in _choices(base, one):
            way = least(trial, base, choices)
            if way is not None:
                yield way
        if one.kind is Kind.HOURS:
            yield from _more_days(trial, base, one.subject)
            yield from _in_more_loads(trial, base)


def _in_more_loads(trial: Trial, base: PlanRequest) -> Iterator[Way]:
    """By batch not begun: the fewest loads more that do, one after the other.

    More loads are not always better: each has its own setting up, and waits for the others.
    """
    for project in base.projects:
        for batch in project.batches:
            for choice in _more_loads(base, project, batch):
                way = least(trial, base, [choice])
                if way is not None:
                    yield way
                    break


def _more_days(trial: Trial, base: PlanRequest, name: str) -> list[Way]:
    """A person's usual session on the weekday more that is ready soonest; else on several more."""
    person = next(one for one in base.workshop.people if one.name == name)
    days = list(missing_days(person)) if person.windows else []

    def working(more: Sequence[tuple[str, WorkWindow]]) -> tuple[str, Change]:
        windows = (*person.windows, *(window for _, window in more))
        about = f"{name} at work on {' and '.join(day for day, _ in more)} as well"
        return about, _as_person(name, lambda one: replace(one, windows=windows))

    single = [least(trial, base, [working([day])]) for day in days]
    ways = sorted((way for way in single if way is not None), key=lambda way: way.ready)
    if not ways:
        several = least(trial, base, [working(days[:count]) for count in range(2, len(days) + 1)])
        ways = [several] if several is not None else []
    return ways[:1]


def finishes_past(
    trial: Trial, obstacle: Obstacle, base: PlanRequest, templates: Mapping[str, Template]
) -> Iterator[Way]:
    """The finishes that bear the air an obstacle is about; arguments as of :func:`ways_past`.

    Raises:
        Enough: if no more plans may be made.
    """
    for space in sorted({one.subject for one in obstacle.restrictions if one.kind in _AIR}):
        yield from _finishes(trial, base, space, templates)


def _finishes(
    trial: Trial, base: PlanRequest, space: str, templates: Mapping[str, Template]
) -> Iterator[Way]:
    """By batch not begun in a space: the other finish of the same use that is ready soonest."""
    for project in base.projects:
        begun = {name for name, _, _ in base.progress.get(project.name, Progress()).done}
        for batch in project.batches:
            if batch.space != space or batch.name in begun:
                continue
            ways = []
            for other in other_finishes(base, batch, templates):
                changed = replace(batch, steps=other.steps)
                way = least(trial, base, [(other.about, _as_batch(project.name, changed))])
                if way is not None:
                    ways.append(way)
            yield from sorted(ways, key=lambda way: (way.ready, way.about))[:1]


def least(trial: Trial, base: PlanRequest, choices: Choices) -> Way | None:
    """The first of a rising row of changes that does; None if the last does not.

    Raises:
        Enough: if no more plans may be made and none that does is known.
    """

    def tried(at: int) -> Way | None:
        about, change = choices[at]
        try:
            ready = trial.ready(change(base))
        except NoPlan:
            return None
        return Way(about, ready, change=change) if ready is not None else None

    if not choices or (best := tried(len(choices) - 1)) is None:
        return None
    low, high = 0, len(choices) - 1
    while low < high:
        middle = (low + high) // 2
        try:
            way = tried(middle)
        except Enough:
            return replace(best, least=False)
        if way is None:
            low = middle + 1
        else:
            best, high = way, middle
    return best


def _choices(request: PlanRequest, one: Restriction) -> Iterator[Choices]:
    """Rows of changes of a restriction, each row from the least to the most."""
    if one.kind in _ROWS:
        yield _ROWS[one.kind](request, one.subject)
    if one.kind in _LIFTED:
        yield [(_LIFTED[one.kind].format(one.subject), lambda base: lifted(base, (one,)))]
    if one.kind is Kind.SKILL:
        for person in request.workshop.people:
            if person.can is not None and not kinds_of(one) <= person.can:
                yield [_taught(person, kinds_of(one))]


def _longer_sessions(request: PlanRequest, name: str) -> Choices:
    person = next(one for one in request.workshop.people if one.name == name)

    def every_day(minutes: int) -> Change:
        windows = (WorkWindow("FREQ=DAILY", _FROM, minutes),)
        return _as_person(name, lambda one: replace(one, windows=windows))

    def longer(more: int) -> Change:
        windows = tuple(
            replace(one, minutes=min(1440, one.minutes + more)) for one in person.windows
        )
        return _as_person(name, lambda one: replace(one, windows=windows))

    if not person.windows:
        return [
            (f"{length(minutes * 60)} of work by {name} every day", every_day(minutes))
            for minutes in _LONGER_MINUTES
        ]
    return [
        (f"each session of {name} {length(more * 60)} longer", longer(more))
        for more in _LONGER_MINUTES
    ]


def _as_person(name: str, change: Callable[[Person], Person]) -> Change:
    def changed(request: PlanRequest) -> PlanRequest:
        people = tuple(change(one) if one.name == name else one for one in request.workshop.people)
        return replace(request, workshop=replace(request.workshop, people=people))

    return changed


def _taught(person: Person, kinds: frozenset[StepKind]) -> tuple[str, Change]:
    def able(one: Person) -> Person:
        return replace(one, can=(one.can or frozenset()) | kinds)

    return f"{person.name} doing {kind_words(kinds)} too", _as_person(person.name, able)


def _more_loads(request: PlanRequest, project: Project, batch: Batch) -> Choices:
    """A batch not begun in more loads, each with less work at a stretch."""
    progress = request.progress.get(project.name, Progress())
    if any(name == batch.name for name, _, _ in progress.done):
        return []
    racks = {space.name: space.rack_area_m2 for space in request.workshop.spaces}
    pieces = sum(part.quantity for part in project.parts if part.name in batch.parts)
    try:
        spoiled = dict(progress.spoiled)
        now = len(cut_into_loads(project, batch, racks[batch.space], spoiled, None))
    except NoPlan:
        return []

    most = min(pieces, now + _MOST_LOADS)
    cut = {loads: replace(batch, least_loads=loads) for loads in range(now + 1, most + 1)}
    return [
        (f"{batch.name} in {loads} loads", _as_batch(project.name, made))
        for loads, made in cut.items()
    ]


def _as_batch(project: str, batch: Batch) -> Change:
    return lambda base: with_batch(base, project, batch)


def _heated(request: PlanRequest, space: str) -> Choices:
    coldest = math.floor(float(min(request.air[space].temperature_c)))

    def heat(to_c: int) -> Change:
        return lambda base: replace(
            base, air={**base.air, space: heater(base.air[space], float(to_c), _ANY_RISE_C)}
        )

    first = max(1, coldest + 1)
    return [
        (f"{space} heated to {format_temperature(to_c, request.units)} day and night", heat(to_c))
        for to_c in range(first, _WARMEST_C + 1)
    ]


def _dried(request: PlanRequest, space: str) -> Choices:
    def dry(percent: int) -> Change:
        return lambda base: replace(
            base, air={**base.air, space: dehumidifier(base.air[space], float(percent))}
        )

    return [
        (f"the air in {space} kept at {percent} % humidity or less", dry(percent))
        for percent in _PERCENTS
        if percent < max(request.air[space].humidity_percent)
    ]


def _larger_rack(request: PlanRequest, name: str) -> Choices:
    now = next(one.rack_area_m2 for one in request.workshop.spaces if one.name == name)

    def rack(area_m2: float) -> Change:
        def wider(space: Space) -> Space:
            return replace(space, rack_area_m2=area_m2) if space.name == name else space

        def changed(base: PlanRequest) -> PlanRequest:
            spaces = tuple(wider(space) for space in base.workshop.spaces)
            return replace(base, workshop=replace(base.workshop, spaces=spaces))

        return changed

    first = math.floor(now / _RACK_STEP_M2 + 1e-9) + 1
    areas = [round(step * _RACK_STEP_M2, 1) for step in range(first, first + _RACK_STEPS)]
    return [
        (f"a rack of {format_area(area, request.units)} in {name}", rack(area)) for area in areas
    ]


def _begun_sooner(request: PlanRequest, name: str) -> Choices:
    begins = next(one.begins for one in request.projects if one.name == name)
    if begins is None:
        return []

    def sooner(days: int) -> Change:
        def changed(base: PlanRequest) -> PlanRequest:
            at = max(base.now, begins - days * _DAY)
            projects = tuple(
                replace(one, begins=at) if one.name == name else one for one in base.projects
            )
            return replace(base, projects=projects)

        return changed

    most = -((request.now - begins) // _DAY)
    return [
        (f"{name} begun {counted(days, 'day')} sooner", sooner(days)) for days in range(1, most + 1)
    ]


_ROWS: dict[Kind, Callable[[PlanRequest, str], Choices]] = {
    Kind.HOURS: _longer_sessions,
    Kind.COLD: _heated,
    Kind.DAMP: _dried,
    Kind.RACK: _larger_rack,
    Kind.BEGINS: _begun_sooner,
}
_LIFTED = {
    Kind.AWAY: "{} at work on the days off and in the busy times",
    Kind.DUST: "sanding elsewhere than in {}",
    Kind.BLOCKED: "work on {} in the stretches it is blocked in",
    Kind.WISH: "no wish for {}",
}
