"""What is drying at an hour, and how far it is."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from finplan.drying.clock import DryingClock, clock_for
from finplan.journal.progress import Progress
from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.tracking.surfaces import loads_to_the_end, surfaces_of
from finplan.trade.errors import BadInput
from finplan.trade.finishes import STAGE_ORDER, Finish, Stage
from finplan.trade.moments import instant_or_none
from finplan.trade.steps import WET_KINDS

ClockOf = Callable[[str, str], DryingClock]
"""From a finish's name and a space's name to the clock of the one in the air of the other."""


@dataclass(frozen=True, slots=True)
class StageTime:
    """When a stage is reached, likely and safe (UTC); None for a time that never comes."""

    stage: Stage
    likely: dt.datetime | None
    safe: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Drying:
    """One wet surface that has not fully cured, as it stands at an hour.

    ``ended``: when it was put on. ``likely_stage``, ``safe_stage``: the last stage reached, None
    for none yet. ``likely_share``, ``safe_share``: how far it is on its way to ``goal`` (the
    stage the next step waits for), 0 to 1. ``stages``: every stage the finish has, in order.
    ``next_step``: id of the next step of the load that is not done, ``next_title`` what it is
    called; '' when all are.
    """

    step: str
    project: str
    batch: str
    load: int
    loads: int
    coat: int
    title: str
    finish: str
    space: str
    ended: dt.datetime
    goal: Stage
    likely_stage: Stage | None
    safe_stage: Stage | None
    likely_share: float
    safe_share: float
    stages: tuple[StageTime, ...]
    window_closes: dt.datetime | None
    next_step: str
    next_title: str

    @property
    def likely(self) -> dt.datetime | None:
        """When ``goal`` is likely reached, None for never."""
        return self._goal.likely if self._goal else None

    @property
    def safe(self) -> dt.datetime | None:
        """When ``goal`` is safely reached, None for never."""
        return self._goal.safe if self._goal else None

    @property
    def reached(self) -> tuple[Stage, ...]:
        """The stages safely reached, in order."""
        count = STAGE_ORDER.index(self.safe_stage) + 1 if self.safe_stage else 0
        return tuple(one.stage for one in self.stages if one.stage in STAGE_ORDER[:count])

    @property
    def _goal(self) -> StageTime | None:
        return next((one for one in self.stages if one.stage is self.goal), None)


def drying_now(
    plan: Plan, request: PlanRequest, now: dt.datetime, clock_of: ClockOf | None = None
) -> tuple[Drying, ...]:
    """Return the surfaces that dry at ``now``: the uppermost done wet step of each side.

    A surface that is fully cured (safe), or whose load is released to service, is left out.

    Args:
        plan: the dated plan.
        request: what it was made from.
        now: the hour, timezone-aware.
        clock_of: the drying clock of a finish in a space; None for the request's own air
            and what its shop has taught.

    Returns:
        Those whose next step comes first stand first.

    Raises:
        BadInput: ``now`` is naive.
    """
    if now.tzinfo is None:
        raise BadInput("the hour has no time zone: give one, such as Z", "now")
    finish_names = {
        (project.name, batch.name, step.key): step.finish
        for project in request.projects
        for batch in project.batches
        for step in batch.steps
    }
    clock_of = clock_of or clocks_of_request(request)
    covered = {below.id for below, above in surfaces_of(plan) if above.done}
    found: list[Drying] = []
    for steps in loads_to_the_end(plan):
        for planned in _standing(steps, covered, request):
            name = finish_names[planned.project, planned.batch, planned.step]
            if name is None:
                continue
            follow = next((step for step in steps if not step.done), None)
            drying = _drying(planned, follow, clock_of(name, planned.space), now)
            if drying.safe_stage is not _last_stage(request.finishes[name]):
                found.append(drying)
    return tuple(sorted(found, key=lambda drying: (_goal_time(drying), drying.step)))


def clocks_of_request(request: PlanRequest) -> ClockOf:
    """Return the clocks of a request's finishes and spaces, each made once."""

    @functools.cache
    def clock_of(finish: str, space: str) -> DryingClock:
        return clock_for(
            request.finishes[finish],
            request.air[space],
            request.bands.get((finish, space)),
            quantile=request.workshop.safe_quantile,
        )

    return clock_of


def _standing(
    steps: tuple[PlannedStep, ...], covered: set[str], request: PlanRequest
) -> Iterator[PlannedStep]:
    """Yield the surfaces of a load that nothing lies over; a skipped step left none."""
    if all(step.done for step in steps):
        return
    for planned in steps:
        if not planned.done or planned.kind not in WET_KINDS or planned.id in covered:
            continue
        facts = request.progress.get(planned.project, Progress())
        fact = facts.done.get((planned.batch, planned.load, planned.step))
        if fact is None or not fact.skipped:
            yield planned


def _drying(
    planned: PlannedStep, follow: PlannedStep | None, clock: DryingClock, now: dt.datetime
) -> Drying:
    goal = Stage.FULL_CURE
    if follow is not None and follow.waits_for is not None:
        goal = follow.waits_for.stage
    elif Stage.DRY_TO_RECOAT in clock.finish.stages:
        goal = Stage.DRY_TO_RECOAT
    ended_s = planned.end.timestamp()
    reached = clock.progress(ended_s, now.timestamp(), goal)
    return Drying(
        step=planned.id,
        project=planned.project,
        batch=planned.batch,
        load=planned.load,
        loads=planned.loads,
        coat=planned.coat,
        title=planned.title,
        finish=clock.finish.name,
        space=planned.space,
        ended=planned.end,
        goal=goal,
        likely_stage=reached.likely_stage,
        safe_stage=reached.safe_stage,
        likely_share=reached.likely_share,
        safe_share=reached.safe_share,
        stages=tuple(
            StageTime(
                stage,
                instant_or_none(float(clock.likely(ended_s, stage))),
                instant_or_none(float(clock.ready(ended_s, stage))),
            )
            for stage in STAGE_ORDER
            if stage in clock.finish.stages
        ),
        window_closes=planned.window_closes,
        next_step=follow.id if follow is not None else "",
        next_title=follow.title if follow is not None else "",
    )


def _last_stage(finish: Finish) -> Stage:
    return [stage for stage in STAGE_ORDER if stage in finish.stages][-1]


def _goal_time(drying: Drying) -> dt.datetime:
    return drying.safe or dt.datetime.max.replace(tzinfo=dt.UTC)
