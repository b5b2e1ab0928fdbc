"""An invented workshop at a lake: its people, its finishes, and two projects."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import COMMON_PRACTICE, Number, Span
from finplan.trade.parts import Hole, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Side, Step, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

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
