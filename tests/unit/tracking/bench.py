"""A bench of two loads, two coats of an oil, planned by hand: what tracking is tried on."""

import datetime as dt
import uuid

from finplan.air.series import constant
from finplan.planning.plan import Method, Plan, PlannedStep, ProjectReady, WaitsFor
from finplan.planning.request import PlanRequest
from finplan.trade.cautions import Caution
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import COMMON_PRACTICE, Number, Span
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Side, Step, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

ZONE = "Europe/Oslo"
SATURDAY = dt.datetime(2026, 10, 3, 7, 0, tzinfo=dt.UTC)
"""09:00 in the shop."""


def span(low, high):
    return Span(low, high, COMMON_PRACTICE)


OIL = Finish(
    name="oil",
    title="Penetrating oil",
    chemistry=Chemistry.OXIDATIVE,
    about="invented for the tests",
    coats=span(2, 4),
    stages={
        Stage.DRY_TO_HANDLE: span(8, 12),
        Stage.DRY_TO_RECOAT: span(16, 24),
        Stage.FULL_CURE: span(168, 336),
    },
    spread_first_m2_per_l=span(8, 12),
    spread_later_m2_per_l=span(12, 16),
    coldest_c=Number(10, COMMON_PRACTICE),
    refuse_below_c=Number(5, COMMON_PRACTICE),
    warmest_c=Number(32, COMMON_PRACTICE),
    window_closes_hours=Number(72, COMMON_PRACTICE),
    scuff_past_window=True,
    wipe_off_minutes=span(10, 20),
    cautions=("oily-rags",),
)

STEPS = (
    Step("sand", StepKind.SAND, "Sand", grits=("P120", "P180"), cautions=("dust",)),
    Step("coat-1", StepKind.COAT, "First coat", coat=1, finish="oil", method="rag"),
    Step("wipe-1", StepKind.WIPE_OFF, "Wipe off", coat=1),
    Step(
        "coat-2",
        StepKind.COAT,
        "Second coat",
        coat=2,
        finish="oil",
        method="rag",
        waits_for=Stage.DRY_TO_RECOAT,
    ),
    Step("assemble", StepKind.ASSEMBLE, "Assemble", waits_for=Stage.DRY_TO_HANDLE),
    Step("release", StepKind.RELEASE, "Release to service", waits_for=Stage.FULL_CURE),
)

BENCH = Project(
    name="bench",
    title="Bench",
    workshop="shed",
    parts=(Part("slat", 40, 1200, 50, 22, "black locust"),),
    batches=(Batch("slats", ("slat",), "shed", STEPS),),
    uid=uuid.UUID("5f0c4c3e-0000-4000-8000-000000000001"),
    in_service_by=dt.date(2026, 11, 1),
)

CAUTIONS = {
    "dust": Caution("dust", "Fine dust: wear a mask.", frozenset(), COMMON_PRACTICE),
    "oily-rags": Caution(
        "oily-rags",
        "Oily rags heat up by themselves.",
        frozenset({StepKind.COAT, StepKind.WIPE_OFF}),
        COMMON_PRACTICE,
    ),
}

SHED = Workshop(
    name="shed",
    zone=ZONE,
    people=(
        Person(
            "me",
            (
                WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180),
                WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(8, 0), 540),
            ),
        ),
    ),
    spaces=(
        Space("shed", 6.0, MonthlyNormals((15.0,) * 12, (5.0,) * 12, (60.0,) * 12, "invented")),
    ),
)

HOUR = dt.timedelta(hours=1)


def after(hours):
    return SATURDAY + hours * HOUR


def planned(key, start_h, end_h, done=False, load=1, waits=None, closes_h=None, loads=1):
    step = next(step for step in STEPS if step.key == key)
    start, end = after(start_h), after(end_h)
    return PlannedStep(
        id=f"bench/slats/{load}/{key}",
        project="bench",
        batch="slats",
        load=load,
        loads=loads,
        step=key,
        kind=step.kind,
        coat=step.coat,
        side=Side.ALL,
        title=step.title,
        start=start,
        end=end,
        pieces=((start, end),),
        person="me",
        space="shed",
        area_m2=6.4,
        minutes=(end_h - start_h) * 60,
        waits_for=waits,
        window_closes=after(closes_h) if closes_h is not None else None,
        reason="",
        done=done,
    )


def wait(key, stage, likely_h, safe_h):
    return WaitsFor(f"bench/slats/1/{key}", stage, after(likely_h), after(safe_h))


def bench_plan(now_h=-14.0, done=(), shift_h=0.0):
    """Saturday: sand, coat, wipe. Monday evening: the second coat. ``shift_h`` moves the latter."""
    recoat = wait("coat-1", Stage.DRY_TO_RECOAT, 18.5, 26.5)
    handle = wait("coat-2", Stage.DRY_TO_HANDLE, 68 + shift_h, 71 + shift_h)
    cured = wait("coat-2", Stage.FULL_CURE, 300 + shift_h, 400 + shift_h)
    steps = [
        planned("sand", 0, 1.5, "sand" in done),
        planned("coat-1", 1.5, 2.5, "coat-1" in done, closes_h=74.5),
        planned("wipe-1", 2.75, 3.25, "wipe-1" in done),
        planned("coat-2", 57.5 + shift_h, 58.5 + shift_h, "coat-2" in done, waits=recoat),
        planned("assemble", 81.5 + shift_h, 83 + shift_h, "assemble" in done, waits=handle),
        planned("release", 400 + shift_h, 400 + shift_h, waits=cured),
    ]
    return Plan(
        now=after(now_h),
        method=Method.FORWARD,
        steps=tuple(steps),
        ready=(
            ProjectReady("bench", after(300 + shift_h), after(400 + shift_h), BENCH.in_service_by),
        ),
        bound=None,
        bound_by="",
        gap=None,
        warnings=(),
    )


def bench_request(now_h=-14.0):
    return PlanRequest(
        projects=(BENCH,),
        workshop=SHED,
        finishes={"oil": OIL},
        air={"shed": constant(23, 50, after(-1000).timestamp())},
        progress={},
        now=after(now_h),
    )
