"""An invented workshop at a lake, planned by hand, and a shop that keeps it in memory."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass, field, replace
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
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import COMMON_PRACTICE, Number, Span
from finplan.trade.parts import Hole, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Side, Step, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow
from finplan.tui.models.view import View

ZONE = "Europe/Vienna"
NOW = dt.datetime(2026, 10, 14, 16, 42, tzinfo=dt.UTC)  # 18:42 on a Wednesday
HOUR = dt.timedelta(hours=1)
WET = {StepKind.COAT, StepKind.SEAL}


def at(day: int, hour: int, minute: int = 0) -> dt.datetime:
    """A local moment in October 2026."""
    return dt.datetime(2026, 10, 1, hour - 2, minute, tzinfo=dt.UTC) + dt.timedelta(days=day - 1)


OIL = Finish(
    name="penetrating_oil",
    title="Penetrating oil",
    chemistry=Chemistry.OXIDATIVE,
    about="A thin drying oil.",
    coats=Span(2, 4, COMMON_PRACTICE),
    stages={
        Stage.DUST_FREE: Span(4, 8, COMMON_PRACTICE),
        Stage.DRY_TO_HANDLE: Span(10, 16, COMMON_PRACTICE),
        Stage.DRY_TO_RECOAT: Span(18, 24, COMMON_PRACTICE),
        Stage.FULL_CURE: Span(300, 700, COMMON_PRACTICE),
    },
    spread_first_m2_per_l=Span(10, 14, COMMON_PRACTICE),
    spread_later_m2_per_l=Span(16, 22, COMMON_PRACTICE),
    coldest_c=Number(10, COMMON_PRACTICE),
    refuse_below_c=Number(5, COMMON_PRACTICE),
    warmest_c=Number(32, COMMON_PRACTICE),
    cautions=("oily_rags",),
)
VARNISH = replace(OIL, name="spar_varnish", title="Spar varnish", cautions=("solvent_vapour",))

CAUTIONS = {
    "oily_rags": "Oily rags heat up by themselves and can catch fire: spread them flat outdoors "
    "or soak them in water in a closed metal tin.",
    "solvent_vapour": "Vapours burn and harm: air the room, no flame, wear a fitting mask.",
    "dust": "Fine dust harms the lungs: extract it and wear a mask.",
}

WORKSHOP = Workshop(
    name="boathouse",
    zone=ZONE,
    people=(
        Person(
            "maker",
            (
                WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180),
                WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(8), 540),
            ),
        ),
    ),
    spaces=(
        Space("shed", 4.0, MonthlyNormals((8.0,) * 12, (6.0,) * 12, (75.0,) * 12, "invented")),
    ),
)


def coat_steps(coats: int, finish: str, caution: str, sides: tuple[Side, ...]) -> list[Step]:
    """Steps for some coats of one finish."""
    steps = [
        Step(
            "sand",
            StepKind.SAND,
            "Sand",
            grits=("P80", "P120", "P180"),
            minutes_per_m2=12,
            cautions=("dust",),
        ),
        Step("clean", StepKind.CLEAN, "Dust off and wipe", minutes_per_m2=2),
        Step(
            "seal-holes",
            StepKind.SEAL,
            "Seal end grain and holes",
            finish=finish,
            minutes_fixed=20,
            cautions=(caution,),
        ),
    ]
    for coat in range(1, coats + 1):
        for side in sides:
            key = f"coat-{coat}" + ("" if side is Side.ALL else f"-{side.value}")
            steps.append(
                Step(
                    key,
                    StepKind.COAT,
                    f"Coat {coat}",
                    coat,
                    side,
                    finish,
                    method="rag",
                    minutes_fixed=10,
                    minutes_per_m2=6,
                    waits_for=Stage.DRY_TO_RECOAT,
                    cautions=(caution,),
                )
            )
    steps.append(
        Step(
            "assemble", StepKind.ASSEMBLE, "Assemble", waits_for=Stage.DRY_THROUGH, minutes_fixed=90
        )
    )
    steps.append(Step("release", StepKind.RELEASE, "In service", waits_for=Stage.FULL_CURE))
    return steps


BENCH = Project(
    name="locust_bench",
    title="Locust bench on the jetty",
    workshop="boathouse",
    parts=(
        Part("slat", 42, 1400, 52, 24, "black locust", (Hole(5.5, 4, 11),)),
        Part("leg", 6, 430, 90, 60, "black locust"),
    ),
    batches=(
        Batch("slats", ("slat",), "shed", tuple(coat_steps(4, OIL.name, "oily_rags", (Side.ALL,)))),
        Batch("legs", ("leg",), "shed", tuple(coat_steps(2, OIL.name, "oily_rags", (Side.ALL,)))),
    ),
    uid=uuid.UUID(int=1),
    in_service_by=dt.date(2026, 11, 14),
    invented=True,
    notes="Invented.",
)
DOOR = Project(
    name="oak_door",
    title="White-oak door of the boathouse",
    workshop="boathouse",
    parts=(Part("door", 1, 2010, 860, 44, "white oak"),),
    batches=(
        Batch(
            "door",
            ("door",),
            "shed",
            tuple(coat_steps(3, VARNISH.name, "solvent_vapour", (Side.FIRST, Side.SECOND))),
        ),
    ),
    uid=uuid.UUID(int=2),
    in_service_by=dt.date(2026, 10, 30),
    invented=True,
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
                one.likely,
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


class DemoShop:
    """The demo in memory, with the shop's methods."""

    fixed = True

    def __init__(self, view: View | None = None) -> None:
        self.view = demo_view() if view is None else view
        self.written: list[tuple[str, object]] = []
        self._before: list[View] = []
        self._undone: list[View] = []

    def stamp(self) -> int:
        return len(self.written)

    def read(self, seconds: float = 0.0) -> View:
        return self.view

    def _write(self, kind: EntryKind, step: PlannedStep | None, given: object) -> SimpleNamespace:
        entry = Entry(
            uid=uuid.UUID(int=1000 + len(self.written)),
            project=step.project if step else "",
            kind=kind,
            at=self.view.now,
            recorded_at=self.view.now,
            batch=step.batch if step else "",
            load=step.load if step else 0,
            loads=step.loads if step else 0,
            step=step.step if step else "",
        )
        self.written.append((kind.value, given))
        return SimpleNamespace(entry=entry, moved=(), cautions=(), subject=None)

    def record(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        if given.get("at") and given["at"] > self.view.now:
            raise BadInput("that is in the future: give a time up to now", "Done at")
        recorded = self._write(EntryKind.STEP_DONE, step, given)
        steps = tuple(replace(s, done=True) if s.id == step.id else s for s in self.view.steps)
        self._before.append(self.view)
        self.view = demo_view(steps, entries=(*self.view.entries, recorded.entry))
        recorded.moved = ("Coat 3 of slats 1/2: Thu 18:30, as planned",)
        return recorded

    def skip(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.STEP_SKIPPED, step, given)

    def repeat(self, step: PlannedStep, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.STEP_REPEAT, step, given)

    def check(self, step: PlannedStep, stage: Stage, reached: bool, given: dict) -> SimpleNamespace:
        return self._write(EntryKind.DRYNESS_CHECK, step, (stage, reached, given))

    def wish(self, step: PlannedStep, start: dt.datetime | None) -> SimpleNamespace:
        return self._write(EntryKind.WISH, step, start)

    def note(self, project: str, words: str) -> SimpleNamespace:
        return self._write(EntryKind.NOTE, None, words)

    def correct(self, entry: Entry, changes: dict) -> SimpleNamespace:
        return self._write(EntryKind.CORRECTION, None, changes)

    def undo(self) -> SimpleNamespace:
        if not self._before:
            raise BadInput("there is nothing to undo: the journal has no entry for it")
        subject = self.view.entries[-1]
        self._undone.append(self.view)
        self.view = self._before.pop()
        recorded = self._write(EntryKind.UNDO, None, subject)
        recorded.subject = subject
        return recorded

    def redo(self) -> SimpleNamespace:
        if not self._undone:
            raise BadInput("there is nothing to redo: the journal has no entry for it")
        self._before.append(self.view)
        self.view = self._undone.pop()
        recorded = self._write(EntryKind.REDO, None, None)
        recorded.subject = self.view.entries[-1]
        return recorded
