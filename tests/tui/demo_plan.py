"""The plan of the invented workshop, laid out by hand, and the view of it."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass, field
from types import SimpleNamespace

import numpy as np

from finplan.air.series import AirSeries
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.planning.plan import Method, Plan, PlannedStep, ProjectReady, WaitsFor
from finplan.services.overview import (
    Advice,
    AirNow,
    ClosingWindow,
    Overview,
    ProjectSummary,
)
from finplan.tracking.drying_now import Drying, StageTime
from finplan.tracking.due import DueItem, DueState
from finplan.trade.finishes import Finish, Stage
from finplan.trade.project import Batch, Project
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Workshop
from finplan.tui.models.view import View
from tests.tui.demo_trade import (
    BENCH,
    CAUTIONS,
    DOOR,
    HOUR,
    NOW,
    OIL,
    VARNISH,
    WET,
    WORKSHOP,
    ZONE,
    at,
)


def dated(
    project: Project,
    batch: Batch,
    load: int,
    loads: int,
    first: dt.datetime,
    area_m2: float,
    done: int,
) -> list[PlannedStep]:
    """Lay a batch's steps a day apart in the evenings, the first ``done`` of them done."""
    steps: list[PlannedStep] = []
    begin, wet = first, None
    for index, step in enumerate(batch.steps):
        minutes = step.minutes_fixed + step.minutes_per_m2 * area_m2
        end = begin + dt.timedelta(minutes=minutes)
        waits = None
        if step.waits_for is not None and wet is not None:
            likely, safe = wet.end + 17 * HOUR, wet.end + 23 * HOUR
            if step.waits_for is Stage.FULL_CURE:
                likely, safe = wet.end + 400 * HOUR, wet.end + 620 * HOUR
                begin = end = safe
            waits = WaitsFor(wet.id, step.waits_for, likely, safe)
        planned = PlannedStep(
            id=f"{project.name}/{batch.name}/{load}/{step.key}",
            project=project.name,
            batch=batch.name,
            load=load,
            loads=loads,
            step=step.key,
            kind=step.kind,
            coat=step.coat,
            side=step.side,
            title=step.title,
            start=begin,
            end=end,
            pieces=((begin, end),),
            person="maker",
            space=batch.space,
            area_m2=area_m2 if minutes else 0.0,
            minutes=minutes,
            waits_for=waits,
            window_closes=end + 60 * HOUR if step.kind in WET else None,
            reason="The coat below is safely dry to recoat at 17:40; the evening begins at 18:30."
            if waits
            else "First free evening.",
            done=index < done,
        )
        steps.append(planned)
        if step.kind in WET:
            wet = planned
            begin = begin + 24 * HOUR
        elif step.kind is StepKind.SAND:
            begin = begin + 24 * HOUR
        else:
            begin = end
    return steps


def all_steps() -> tuple[PlannedStep, ...]:
    """The whole plan, earliest first."""
    slats, legs = BENCH.batches
    steps = [
        *dated(BENCH, slats, 1, 2, at(10, 8), 3.4, 5),
        *dated(BENCH, slats, 2, 2, at(11, 18, 30), 3.4, 3),
        *dated(BENCH, legs, 1, 1, at(14, 19, 30), 1.1, 0),
        *dated(DOOR, DOOR.batches[0], 1, 1, at(9, 18, 30), 1.9, 4),
    ]
    return tuple(sorted(steps, key=lambda step: (step.start, step.id)))


def entries_of(steps: tuple[PlannedStep, ...]) -> tuple[Entry, ...]:
    """One entry for each done step."""
    done = [step for step in steps if step.done]
    return tuple(
        Entry(
            uid=uuid.UUID(int=100 + number),
            project=step.project,
            kind=EntryKind.STEP_DONE,
            at=step.end,
            recorded_at=step.end + HOUR / 6,
            by="maker",
            batch=step.batch,
            load=step.load,
            loads=step.loads,
            step=step.step,
            details={
                "started": step.start.isoformat(),
                "temperature_c": 12.5,
                "humidity_percent": 71.0,
            }
            | ({"amount_l": 0.31, "note": "thirsty end grain"} if step.kind in WET else {}),
        )
        for number, step in enumerate(done)
    )


@dataclass
class DemoPlanned:
    """What a screen needs of a plan, without a planner."""

    plan: Plan
    workshop: Workshop
    projects: dict[str, Project]
    progress: dict[str, Progress]
    finishes: dict[str, Finish]
    air: dict = field(default_factory=lambda: {"shed": demo_air()})
    taught: dict = field(default_factory=dict)

    def ready_of(self, project: str) -> ProjectReady | None:
        return next((one for one in self.plan.ready if one.project == project), None)

    def cautions_at(self, step: PlannedStep) -> tuple:
        for batch in self.projects[step.project].batches:
            for own in batch.steps:
                if batch.name == step.batch and own.key == step.step:
                    return tuple(
                        SimpleNamespace(key=key, text=CAUTIONS[key]) for key in own.cautions
                    )
        return ()


def demo_view(
    steps: tuple[PlannedStep, ...] | None = None,
    now: dt.datetime = NOW,
    entries: tuple[Entry, ...] | None = None,
) -> View:
    """The demo as one reading."""
    steps = all_steps() if steps is None else steps
    entries = entries_of(steps) if entries is None else entries
    progress = {}
    for name in ("locust_bench", "oak_door"):
        own = [
            entry
            for entry in entries
            if entry.project == name and entry.kind is EntryKind.STEP_DONE
        ]
        progress[name] = Progress(
            done={(e.batch, e.load, e.step): Done(e.at - HOUR / 2, e.at, False, e) for e in own}
        )
    ready = tuple(
        ProjectReady(name, last - 200 * HOUR, last, None)
        for name in ("locust_bench", "oak_door")
        for last in [max(step.end for step in steps if step.project == name)]
    )
    plan = Plan(now, Method.FORWARD, steps, ready, None, "", None, ())
    planned = DemoPlanned(
        plan,
        WORKSHOP,
        {BENCH.name: BENCH, DOOR.name: DOOR},
        progress,
        {OIL.name: OIL, VARNISH.name: VARNISH},
    )
    return View(now, ZONE, planned, demo_overview(steps, ready, now), entries)


def demo_air() -> AirSeries:
    """A month of October air in the shed: readings up to now, normals after it."""
    at_s = at(1, 2).timestamp() + np.arange(31 * 24) * 3600.0
    day = np.sin((at_s / 3600.0 - 9.0) / 24.0 * 2.0 * np.pi)
    source = np.where(at_s <= NOW.timestamp(), 0, 2).astype(np.uint8)
    return AirSeries(at_s, 10.0 + 4.0 * day, 75.0 - 12.0 * day, source)


def demo_overview(
    steps: tuple[PlannedStep, ...], ready: tuple[ProjectReady, ...], now: dt.datetime
) -> Overview:
    """An overview made by hand."""
    by_id = {step.id: step for step in steps}
    slat = by_id["locust_bench/slats/1/coat-2"]
    door = by_id["oak_door/door/1/coat-1-first"]
    tonight = tuple(s for s in steps if not s.done and s.start.date() == now.date() and s.minutes)
    late = [s for s in steps if not s.done and s.end < now and s.minutes]
    return Overview(
        now=now,
        zone=ZONE,
        drying=(drying_of(slat, 19), drying_of(door, 31)),
        tonight=tonight,
        due=(),
        windows=(
            ClosingWindow(door, by_id["oak_door/door/1/coat-1-second"], at(14, 10), at(15, 9)),
            ClosingWindow(slat, by_id["locust_bench/slats/1/coat-3"], at(15, 18), at(17, 20)),
        ),
        overdue=tuple(
            DueItem(
                f"{s.title}: {s.batch}",
                s.project,
                s.batch,
                s.load,
                s.step,
                s.start,
                s.end,
                DueState.OVERDUE,
            )
            for s in late
        ),
        air=(
            AirNow(
                "shed",
                now,
                11.4,
                78.0,
                7.7,
                15.1,
                "reading",
                (
                    Advice(OIL.name, True, ()),
                    Advice(
                        VARNISH.name,
                        False,
                        ("the surface is 2.1 °C above the dew point, 3 °C are needed",),
                    ),
                ),
            ),
        ),
        projects=tuple(
            ProjectSummary(
                project.name,
                project.title,
                one.safe,
                project.in_service_by,
                next((s for s in steps if s.project == project.name and not s.done), None),
                sum(s.done for s in steps if s.project == project.name),
                sum(s.project == project.name for s in steps),
                "under way",
            )
            for project, one in zip((BENCH, DOOR), ready, strict=True)
        ),
        warnings=(),
    )


def drying_of(step: PlannedStep, hours: int) -> Drying:
    """A surface that dries since a step's end."""
    since = NOW - hours * HOUR
    times = (
        StageTime(Stage.DUST_FREE, since + 5 * HOUR, since + 8 * HOUR),
        StageTime(Stage.DRY_TO_HANDLE, since + 14 * HOUR, since + 18 * HOUR),
        StageTime(Stage.DRY_TO_RECOAT, since + 21 * HOUR, since + 29 * HOUR),
        StageTime(Stage.FULL_CURE, since + 300 * HOUR, since + 700 * HOUR),
    )
    safely = [one.stage for one in times if one.safe <= NOW]
    return Drying(
        step=step.id,
        project=step.project,
        batch=step.batch,
        load=step.load,
        loads=step.loads,
        coat=step.coat,
        title=step.title,
        finish="penetrating_oil",
        space="shed",
        ended=since,
        goal=Stage.DRY_TO_RECOAT,
        likely_stage=safely[-1] if safely else None,
        safe_stage=safely[-1] if safely else None,
        likely_share=min(hours / 21, 1.0),
        safe_share=min(hours / 29, 1.0),
        stages=times,
        window_closes=None,
        next_step="",
        next_title="Coat 3",
    )
