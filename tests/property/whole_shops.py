"""Whole invented shops for the laws of the planner: people, hours, rooms, air, projects, journal.

``FINPLAN_TIMES_AS_MANY`` multiplies how many are tried: 50 is a night's work.
"""

from __future__ import annotations

import datetime as dt
import os
import uuid
from dataclasses import replace

import numpy as np
from hypothesis import Phase, settings
from hypothesis import strategies as st

from finplan.air.series import AirSeries
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Check, Done, Progress
from finplan.library.load import finishes, templates
from finplan.planning.make import make_plan
from finplan.planning.request import NoPlan, PlanRequest
from finplan.trade.finishes import Stage
from finplan.trade.numbers import Number
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import Scuffing, Sides, expand
from finplan.trade.steps import WET_KINDS, StepKind
from finplan.trade.workshop import Person, Space, Stretch, Workshop, WorkWindow
from tests.unit.planning.shops import ALL_HOURS, EVENINGS, NORMALS

MINUTE, HOUR, DAY = dt.timedelta(minutes=1), dt.timedelta(hours=1), dt.timedelta(days=1)
ZONES = (
    "Europe/Oslo",
    "America/St_Johns",  # half an hour off the others
    "Asia/Kathmandu",  # a quarter of one
    "Australia/Lord_Howe",  # whose clocks go forward by half an hour
)
MOMENTS = (
    dt.datetime(2026, 10, 5, 6, 0, tzinfo=dt.UTC),
    dt.datetime(2026, 3, 27, 17, 10, tzinfo=dt.UTC),  # two days before clocks go forward
    dt.datetime(2026, 6, 30, 23, 52, 41, tzinfo=dt.UTC),
)
HOURS = (
    EVENINGS,
    ALL_HOURS,
    (WorkWindow("FREQ=WEEKLY;BYDAY=TU,SA", dt.time(17, 40), 150),),
    (WorkWindow("FREQ=WEEKLY;BYDAY=MO,WE,FR", dt.time(7), 480),),
    (WorkWindow("FREQ=DAILY", dt.time(22, 30), 200),),  # past midnight
    (
        WorkWindow("FREQ=WEEKLY;BYDAY=SA,SU", dt.time(8, 5), 115),
        WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(9, 30), 300),
        WorkWindow("FREQ=WEEKLY;INTERVAL=2;BYDAY=TH", dt.time(18), 240),
    ),
)
HARDLY = (
    None,
    frozenset(StepKind) - WET_KINDS,
    frozenset(StepKind) - {StepKind.SAND, StepKind.SCUFF},
    frozenset({StepKind.PREPARE, StepKind.SAND, StepKind.SCUFF, StepKind.CLEAN}),
)


def examples(few: int) -> settings:
    """So many examples of a law, or as many times more as are asked for.

    They are not made smaller when one fails: a search takes seconds, and shops are small.
    """
    many = few * int(os.environ.get("FINPLAN_TIMES_AS_MANY", "1"))
    return settings(max_examples=many, phases=[Phase.explicit, Phase.reuse, Phase.generate])


def air(
    now: dt.datetime, mean_c: float, swing_c: float, weather_c: float, humidity: float
) -> AirSeries:
    """Hours from a month before on, for a year and more: cold nights, and weather of some days."""
    at = (now - 30 * DAY).timestamp() // 3600 * 3600 + 3600.0 * np.arange(24 * 430)
    days = at / 86400.0
    temperature = mean_c + swing_c / 2 * np.sin(2 * np.pi * (days - 0.35))
    temperature += weather_c / 2 * np.sin(2 * np.pi * days / 6.3)
    damp = np.clip(humidity - 2.0 * (temperature - mean_c), 20.0, 95.0)
    return AirSeries(at, temperature, damp, np.zeros(len(at), np.uint8))


def airs(now):
    """The air of one room, from a cold shed to a warm house."""
    return st.builds(
        air,
        st.just(now),
        st.floats(10, 24),
        st.sampled_from([0.0, 6.0, 11.0]),
        st.sampled_from([0.0, 7.0]),
        st.floats(35, 68),
    )


@st.composite
def schedules(draw):
    """The steps of a template, with another finish, coats, sides and scuffing."""
    template = templates()[draw(st.sampled_from(sorted(templates())))]
    finish = finishes()[draw(st.sampled_from([template.finish, *sorted(finishes())]))]
    template = replace(
        template,
        finish=finish.name,
        method=finish.methods[0],
        coats=Number(float(draw(st.integers(1, 4))), "drawn"),
        sides=draw(st.sampled_from(Sides)),
        scuffing=draw(st.sampled_from(Scuffing)),
        scuff_grit="P220",
        seal_first=draw(st.booleans()),
    )
    return expand(template, finish)


@st.composite
def people(draw, now, most):
    """One or two of different hours and skills; together they can do everything."""
    found = []
    for name in ("Ada", "Bo")[: draw(st.integers(1, most))]:
        days = draw(st.lists(st.integers(0, 12), max_size=2))
        busy = [
            Stretch(now + at * HOUR, now + (at + length) * HOUR + 10 * MINUTE)
            for at, length in draw(
                st.lists(st.tuples(st.integers(-5, 200), st.integers(1, 30)), max_size=2)
            )
        ]
        found.append(
            Person(
                name,
                draw(st.sampled_from(HOURS)),
                days_off=tuple((now + at * DAY).date() for at in days),
                busy=tuple(busy),
                can=draw(st.sampled_from(HARDLY)) if found else None,
            )
        )
    return tuple(found)


@st.composite
def whole_shops(draw, *, most_batches=4, most_people=2, most_spaces=2, most_slats=9, wishes=True):
    """A request of up to two projects; some wish for an hour, begin later or are interrupted."""
    now = draw(st.sampled_from(MOMENTS))
    spaces = tuple(
        Space(name, draw(st.sampled_from([0.5, 0.9, 1.6, 4.0])), NORMALS, draw(st.booleans()))
        for name in ("shed", "loft")[: draw(st.integers(1, most_spaces))]
    )
    shop = Workshop(
        "shed",
        draw(st.sampled_from(ZONES)),
        draw(people(now, most_people)),
        spaces,
        dust_settles_minutes=draw(st.sampled_from([60, 0, 20])),
        shortest_piece_minutes=draw(st.sampled_from([30, 15, 50])),
    )
    batches = draw(st.integers(1, most_batches))
    first = draw(st.integers(1, batches))
    projects, progress = [], {}
    for name, count in (("bench", first), ("door", batches - first)):
        if count:
            one = draw(_projects(name, count, now, shop, most_slats))
            projects.append(one)
            progress[name] = draw(_wished(one, now)) if wishes else Progress()
    steps = [step for one in projects for batch in one.batches for step in batch.steps]
    used = {step.finish for step in steps if step.finish is not None}
    return PlanRequest(
        projects=tuple(projects),
        workshop=shop,
        finishes={name: finishes()[name] for name in sorted(used)},
        air={space.name: draw(airs(now)) for space in spaces},
        progress=progress,
        now=now,
    )


@st.composite
def _projects(draw, name, batches, now, shop, most_slats):
    parts = tuple(
        Part(kind, draw(st.integers(1, most_slats)), length, 90, thickness, "oak")
        for kind, length, thickness in (("slat", 1200, 19), ("rail", 600, 40))
    )
    made = [
        Batch(
            f"batch-{number}",
            draw(st.sampled_from([("slat",), ("rail",), ("slat", "rail")])),
            draw(st.sampled_from(shop.spaces)).name,
            draw(schedules()),
            rack_share=draw(st.sampled_from([1.3, 0.4])),
            least_loads=draw(st.sampled_from([1, 1, 2])),
        )
        for number in range(batches)
    ]
    blocked = ()
    if draw(st.integers(0, 4)) == 0:
        begins = now + draw(st.integers(0, 9)) * DAY
        blocked = (Stretch(begins, begins + draw(st.integers(1, 60)) * HOUR),)
    return Project(
        name,
        name.title(),
        shop.name,
        parts,
        tuple(made),
        uuid.UUID(int=1),
        begins=draw(st.sampled_from([None, None, now + 30 * HOUR])),
        assembled_together=draw(st.booleans()),
        blocked=blocked,
    )


@st.composite
def _wished(draw, project, now):
    wishes = {}
    if draw(st.integers(0, 3)) == 0:
        batch = draw(st.sampled_from(project.batches))
        step = draw(st.sampled_from(batch.steps))
        wishes[batch.name, 1, step.key] = now + draw(st.integers(0, 240)) * HOUR
    return Progress(wishes=wishes)


def planned(asked):
    """The plan of a request; None where there is none."""
    try:
        return make_plan(asked)
    except NoPlan:
        return None


def carried_out(asked, plan, share, behind=dt.timedelta()):
    """The request after the first steps of its plan have happened.

    Args:
        asked: the request.
        plan: its plan.
        share: of the steps, in order, that have happened.
        behind: how much later they ended than planned.
    """
    count = round(share * len(plan.steps))
    happened = plan.steps[:count]
    now = max((step.end + behind for step in happened), default=asked.now)
    progress = {}
    for one in asked.projects:
        before = asked.progress.get(one.name, Progress())
        done, loads = dict(before.done), dict(before.loads)
        for step in plan.steps:
            if step.project == one.name and step.end + behind <= now and not step.done:
                entry = Entry(uuid.UUID(int=1), one.name, EntryKind.STEP_DONE, now, now)
                # No step of a load begins before the one before it is over.
                begun = (
                    step.start if step.person and step.start == step.end else step.start + behind
                )
                done[step.batch, step.load, step.step] = Done(
                    begun, step.end + behind, False, entry
                )
                loads[step.batch] = step.loads
        progress[one.name] = replace(before, done=done, loads=loads)
    return replace(asked, now=max(now, asked.now), progress=progress)


@st.composite
def facts(draw, asked, plan):
    """What the journal may say some way through a plan: late work, checks, spoiled pieces."""
    behind = draw(st.sampled_from([0, 0, 7, 95, 1500])) * MINUTE
    later = carried_out(asked, plan, draw(st.floats(0, 1)), behind)
    progress = {}
    for name, one in later.progress.items():
        checks = []
        wet = [key for key, done in one.done.items() if key[2].startswith(("coat", "seal"))]
        if wet and draw(st.booleans()):
            stage = draw(
                st.sampled_from([Stage.DUST_FREE, Stage.DRY_TO_HANDLE, Stage.DRY_TO_RECOAT])
            )
            batch, load, step = draw(st.sampled_from(sorted(wet)))
            checks.append(Check(batch, load, step, later.now, stage, draw(st.booleans())))
        spoiled = {}
        if draw(st.integers(0, 3)) == 0:
            project = next(each for each in later.projects if each.name == name)
            part = draw(st.sampled_from(project.parts))
            if part.quantity > 2:
                spoiled[part.name] = 1
        progress[name] = replace(one, checks=tuple(checks), spoiled=spoiled)
    return replace(later, progress=progress)


@st.composite
def shops_at_work(draw, **sizes):
    """A shop in which work may have begun."""
    asked = draw(whole_shops(**sizes))
    plan = planned(asked) if draw(st.integers(0, 2)) == 0 else None
    return asked if plan is None else draw(facts(asked, plan))


def hours(plan):
    """By step: every stretch it is worked on."""
    return {step.id: step.pieces for step in plan.steps}
