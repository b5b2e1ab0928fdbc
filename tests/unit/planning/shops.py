"""Small invented shops and projects for the planner's tests."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import numpy as np

from finplan.air.series import AirSeries, constant
from finplan.journal.progress import Progress
from finplan.library.load import finishes, templates
from finplan.planning.request import PlanRequest
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import expand
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

NOW = dt.datetime(2026, 10, 5, 6, 0, tzinfo=dt.UTC)
NORMALS = MonthlyNormals((10.0,) * 12, (8.0,) * 12, (70.0,) * 12, "invented for tests")
ALL_HOURS = (WorkWindow("FREQ=DAILY", dt.time(0), 1440),)
SATURDAYS = (WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(8), 540),)
EVENINGS = (WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180), *SATURDAYS)


def bench(slats: int = 8) -> Part:
    return Part("slat", slats, 1200, 90, 19, "black locust")


def steps_of(template: str, **changes):
    chosen = replace(templates()[template], **changes)
    return expand(chosen, finishes()[chosen.finish])


def batch(name="slats", template="oiled outdoor bench", parts=("slat",), space="shed", **changes):
    return Batch(name, parts, space, steps_of(template, **changes))


def project(*batches, name="bench", parts=None, **more) -> Project:
    made = batches or (batch(),)
    pieces = parts or (bench(),)
    return Project(name, name.title(), "shed", pieces, made, uuid.UUID(int=1), **more)


def workshop(windows=ALL_HOURS, rack_m2=4.0, people=None, **more) -> Workshop:
    return Workshop(
        "shed",
        "Europe/Oslo",
        people or (Person("Ada", windows),),
        (Space("shed", rack_m2, NORMALS), Space("loft", rack_m2, NORMALS)),
        **more,
    )


def cold_until_friday() -> AirSeries:
    """Air of 3 °C until Friday noon, and of 20 °C from then on."""
    hours = NOW.timestamp() + 3600.0 * np.arange(-240, 24 * 120)
    friday = dt.datetime(2026, 10, 9, 12, 0, tzinfo=dt.UTC).timestamp()
    return AirSeries(
        hours,
        np.where(hours < friday, 3.0, 20.0),
        np.full(len(hours), 50.0),
        np.zeros(len(hours), np.uint8),
    )


def request(*projects, shop=None, air: AirSeries | None = None, **more) -> PlanRequest:
    steady = air or constant(23.0, 50.0)
    made = projects or (project(),)
    return PlanRequest(
        projects=made,
        workshop=shop or workshop(),
        finishes=finishes(),
        air={"shed": steady, "loft": steady},
        progress=more.pop("progress", {one.name: Progress() for one in made}),
        now=more.pop("now", NOW),
        **more,
    )
