"""The plan of a workshop, with everything a view of it needs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.planning.plan import Plan, PlannedStep, ProjectReady
from finplan.planning.request import NoPlan, PlanRequest
from finplan.services.gather import active_projects, air_of, all_finishes, folded, kept_plan
from finplan.services.learned import bands_of, beliefs
from finplan.tracking.reminder import GOVERNS
from finplan.trade.cautions import cautions_within
from finplan.trade.errors import BadInput
from finplan.trade.steps import WAITING_KINDS

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.drying.clock import DryingClock
    from finplan.drying.learning import Belief
    from finplan.journal.progress import Progress
    from finplan.planning.changes import Change
    from finplan.services.learned import Place
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.cautions import Caution
    from finplan.trade.finishes import Finish
    from finplan.trade.project import Project
    from finplan.trade.steps import Step
    from finplan.trade.workshop import Workshop

NO_PROJECT = "there is no project yet: try `finplan sample`, or start one with `finplan new TITLE`"


@dataclass(frozen=True)
class Planned:
    """A plan of all projects of one workshop, and the request it was made from.

    ``asked``: the projects a person asked for; views show these (every one when empty).
    ``zone``: the zone to show times in.
    ``taught``: what the shop's dryness checks say, by finish and space.
    """

    plan: Plan
    request: PlanRequest
    zone: ZoneInfo
    asked: tuple[str, ...] = ()
    taught: Mapping[Place, Belief] = field(default_factory=dict, repr=False)
    _clocks: dict[tuple[str, str], DryingClock] = field(default_factory=dict, repr=False)

    @property
    def workshop(self) -> Workshop:
        """Where the work is done."""
        return self.request.workshop

    @cached_property
    def projects(self) -> Mapping[str, Project]:
        """The planned projects by name."""
        return {project.name: project for project in self.request.projects}

    @property
    def progress(self) -> Mapping[str, Progress]:
        """What is so, by the project's name."""
        return self.request.progress

    @property
    def finishes(self) -> Mapping[str, Finish]:
        """The library's finishes and the user's own, by name."""
        return self.request.finishes

    @property
    def air(self) -> Mapping[str, AirSeries]:
        """The air by the space's name."""
        return self.request.air

    @property
    def closing_line(self) -> str:
        """What every schedule ends with."""
        return f"{GOVERNS} Test on scrap first."

    @property
    def shown(self) -> tuple[str, ...]:
        """The names of the projects a view shows."""
        return self.asked or tuple(self.projects)

    def steps_of(self, project: str) -> tuple[PlannedStep, ...]:
        """Return a project's dated steps, earliest first."""
        return tuple(step for step in self.plan.steps if step.project == project)

    def ready_of(self, project: str) -> ProjectReady | None:
        """Return when a project is ready, None where it has no step."""
        return next((ready for ready in self.plan.ready if ready.project == project), None)

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """What moved against the plan last kept."""
        from finplan.planning.changes import changes

        before = self.request.before
        if before is None or self.request.ready_by is not None:
            return ()
        return changes(before, self.plan, self.zone)

    def step_as_made(self, planned: PlannedStep) -> Step:
        """Return the schedule's own step behind a dated one."""
        for batch in self.projects[planned.project].batches:
            if batch.name == planned.batch:
                return next(step for step in batch.steps if step.key == planned.step)
        raise KeyError(planned.id)

    def finish_put_on(self, planned: PlannedStep) -> Finish | None:
        """Return the finish a step puts on, None for a dry one."""
        name = self.step_as_made(planned).finish
        return self.finishes[name] if name else None

    def cautions_at(self, planned: PlannedStep) -> tuple[Caution, ...]:
        """Return what to mind at a step."""
        from finplan.library.load import cautions

        step = self.step_as_made(planned)
        batches = self.projects[planned.project].batches
        steps = next(batch.steps for batch in batches if batch.name == planned.batch)
        return cautions_within(steps, step, self.finishes, cautions())

    def next_of(self, project: str) -> PlannedStep | None:
        """Return the next hands-on step of a project, None where all is done."""
        open_steps = [
            step
            for step in self.steps_of(project)
            if not step.done and step.kind not in WAITING_KINDS
        ]
        return min(open_steps, key=lambda step: (step.start, step.id), default=None)

    def clock(self, finish: str, space: str) -> DryingClock:
        """Return the drying clock of a finish in a space, made once."""
        from finplan.drying.clock import clock_for

        key = (finish, space)
        if key not in self._clocks:
            self._clocks[key] = clock_for(
                self.finishes[finish],
                self.air[space],
                self.request.bands.get(key),
                self.workshop.safe_quantile,
            )
        return self._clocks[key]


@dataclass(frozen=True, slots=True)
class _Search:
    """How many threads search for a better plan, and who is asked whether to go on."""

    workers: int = 2
    cancelled: Callable[[], bool] = lambda: False


_SEARCH = _Search()


def planned(
    session: Session,
    project_names: Collection[str] = (),
    *,
    workshop: str | None = None,
    seconds: float = 0.0,
    ready_by: dt.date | None = None,
    at: dt.datetime | None = None,
    workers: int = 2,
    cancelled: Callable[[], bool] = lambda: False,
) -> Planned:
    """Plan a workshop: all its projects together, since they share people and rack.

    Args:
        session: the open session.
        project_names: what was asked for, all of one workshop; with none the workshop with the
            next work.
        workshop: the workshop to plan where no project is named.
        seconds: time for optimising, 0 for the forward planner alone.
        ready_by: plan what was asked for backwards from this date.
        at: the moment to plan from; None for now.
        workers: threads of the search; with one it finds the same plan again, if time lets it end.
        cancelled: asked while optimising; the best plan so far is returned when it says yes.

    Raises:
        BadInput: an unknown project, projects of several workshops, nothing to plan.
        NoPlan: no plan is possible; the sentence says what stands in the way.
    """
    with session.store.unit(writes=False) as unit:
        if project_names or workshop is None:
            workshop = _workshop_asked_for(unit, project_names)
    if workshop is None:
        return _with_next_work(all_planned(session, at=at))
    names, search = tuple(project_names), _Search(workers, cancelled)
    return _plan(session, workshop, names, seconds, ready_by, at, search=search)


def all_planned(session: Session, *, at: dt.datetime | None = None) -> tuple[Planned, ...]:
    """Plan every workshop that has a project; none where there is no project yet.

    A workshop that cannot be planned is left out, which the others' warnings tell.

    Raises:
        NoPlan: no workshop can be planned.
    """
    with session.store.unit(writes=False) as unit:
        names = sorted({project.workshop for project in active_projects(unit)})
    plans: list[Planned] = []
    faults: list[NoPlan] = []
    for name in names:
        try:
            plans.append(_plan(session, name, (), at=at))
        except NoPlan as fault:
            faults.append(fault)
    if faults and not plans:
        raise faults[0]
    told = tuple(f"left out of the plan: {fault}" for fault in faults)
    return tuple(_with_warnings(one, told) for one in plans)


def _with_warnings(one: Planned, told: tuple[str, ...]) -> Planned:
    if not told:
        return one
    return replace(one, plan=replace(one.plan, warnings=(*one.plan.warnings, *told)))


def _workshop_asked_for(unit: Unit, names: Collection[str]) -> str | None:
    asked = [unit.projects.get(name) for name in names]
    workshops = sorted({project.workshop for project in asked or active_projects(unit)})
    if not workshops:
        raise BadInput(NO_PROJECT)
    if asked and len(workshops) > 1:
        raise BadInput(
            f"{', '.join(names)} belong to several workshops ({', '.join(workshops)}): ask for "
            "the projects of one at a time"
        )
    return workshops[0] if len(workshops) == 1 else None


def _with_next_work(plans: tuple[Planned, ...]) -> Planned:
    def next_start(one: Planned) -> tuple[bool, dt.datetime]:
        starts = [step.start for name in one.projects if (step := one.next_of(name))]
        return (not starts, min(starts, default=one.plan.now))

    return min(plans, key=next_start)


def _plan(
    session: Session,
    workshop_name: str,
    asked: tuple[str, ...],
    seconds: float = 0.0,
    ready_by: dt.date | None = None,
    at: dt.datetime | None = None,
    *,
    search: _Search = _SEARCH,
) -> Planned:
    now = at or session.now
    stamp = session.store.change_stamp()
    key = (stamp, workshop_name, asked, seconds, ready_by, now, search.workers)
    return session.once(
        key,
        lambda: _plan_anew(session, workshop_name, asked, seconds, ready_by, now, search=search),
    )


def _plan_anew(
    session: Session,
    workshop_name: str,
    asked: tuple[str, ...],
    seconds: float,
    ready_by: dt.date | None,
    now: dt.datetime,
    *,
    search: _Search,
) -> Planned:
    with session.store.unit(writes=False) as unit:
        workshop = unit.workshops.get(workshop_name)
        projects = tuple(p for p in active_projects(unit) if p.workshop == workshop_name)
        projects += tuple(
            unit.projects.get(n) for n in asked if n not in {p.name for p in projects}
        )
        facts = folded(unit, projects)
        finishes = all_finishes(unit)
        air = air_of(unit, workshop, facts, now)
        resets = unit.learned_resets.all()
        before = kept_plan(unit, workshop, now)
    taught = beliefs(projects, facts, finishes, air, now, resets)
    request = PlanRequest(
        projects,
        workshop,
        finishes,
        air,
        facts,
        now,
        bands_of(taught),
        ready_by=ready_by,
        dated=asked if ready_by is not None else (),
        seconds=seconds,
        before=before,
        units=session.units,
        workers=search.workers,
        zone=session.zone or "",
    )
    plan, kept = _plan_what_can_be(request, asked, search.cancelled)
    return Planned(
        plan=plan,
        request=replace(request, projects=kept),
        zone=ZoneInfo(session.zone or workshop.zone),
        asked=asked,
        taught=taught,
    )


def _plan_what_can_be(
    request: PlanRequest, asked: tuple[str, ...], cancelled: Callable[[], bool]
) -> tuple[Plan, tuple[Project, ...]]:
    """Plan all projects; where one that was not asked for can't be planned, leave it out."""
    from finplan.planning.make import make_plan

    try:
        return make_plan(request, cancelled), request.projects
    except NoPlan as together:
        kept: list[Project] = []
        left_out: list[str] = []
        for project in request.projects:
            try:
                make_plan(replace(request, projects=(project,), seconds=0.0))
                kept.append(project)
            except NoPlan as fault:
                if project.name in asked or len(request.projects) == 1:
                    raise
                place = fault.where.removeprefix(f"{project.name}, ")
                left_out.append(f"{project.name} is left out of the plan: {place}: {fault.what}")
        if not left_out or not kept:
            raise together from None
    plan = make_plan(replace(request, projects=tuple(kept)), cancelled)
    return replace(plan, warnings=(*plan.warnings, *left_out)), tuple(kept)
