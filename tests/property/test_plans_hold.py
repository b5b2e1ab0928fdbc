"""Every plan passes the independent checker; done steps never move; order changes nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.air.series import AirSeries
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.planning.check import faults
from finplan.planning.make import make_plan
from finplan.planning.request import NoPlan
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, WorkWindow
from tests.unit.planning.shops import (
    ALL_HOURS,
    EVENINGS,
    NOW,
    batch,
    bench,
    project,
    request,
    workshop,
)

TEMPLATES = (
    "oiled outdoor bench",
    "oiled worktop",
    "varnished door",
    "waterborne table",
    "shellac box",
    "stained cladding",
    "two-component counter",
)
SHORT = (WorkWindow("FREQ=WEEKLY;BYDAY=TU,SA", dt.time(17, 40), 150),)


def swinging_air(mean_c: float, swing_c: float, humidity: float) -> AirSeries:
    """A year of hours with cold nights, one month before NOW and on."""
    at = (NOW - dt.timedelta(days=30)).timestamp() + 3600.0 * np.arange(24 * 400)
    temperature = mean_c + swing_c / 2 * np.sin(2 * np.pi * (at / 86400.0 - 0.35))
    damp = np.clip(humidity - 2.0 * (temperature - mean_c), 20.0, 95.0)
    return AirSeries(at, temperature, damp, np.zeros(len(at), np.uint8))


@st.composite
def requests(draw):
    windows = st.sampled_from([ALL_HOURS, EVENINGS, SHORT])
    people = [Person("Ada", draw(windows))]
    if draw(st.booleans()):
        can = draw(st.sampled_from([None, frozenset(StepKind) - {StepKind.COAT}]))
        people.append(Person("Bo", draw(windows), can=can))
    air = swinging_air(draw(st.floats(13, 25)), draw(st.floats(0, 12)), draw(st.floats(35, 65)))
    projects = []
    for name in ("bench", "door")[: draw(st.integers(1, 2))]:
        batches = [
            batch(
                f"batch-{number}",
                draw(st.sampled_from(TEMPLATES)),
                space=draw(st.sampled_from(["shed", "loft"])),
            )
            for number in range(draw(st.integers(1, 2)))
        ]
        projects.append(project(*batches, name=name, parts=(bench(draw(st.integers(1, 9))),)))
    shop = workshop(people=tuple(people), rack_m2=draw(st.floats(0.4, 3.0)))
    return request(*projects, shop=shop, air=air)


def planned(asked):
    try:
        return make_plan(asked)
    except NoPlan:
        return None


def carried_out(asked, plan, share):
    """The request after the first steps of its plan have happened."""
    count = round(share * len(plan.steps))
    happened = plan.steps[:count]
    now = max((step.end for step in happened), default=asked.now)
    progress = {}
    for one in asked.projects:
        done, loads = {}, {}
        for step in plan.steps:
            if step.project == one.name and step.end <= now:
                entry = Entry(uuid.UUID(int=1), one.name, EntryKind.STEP_DONE, step.end, step.end)
                done[(step.batch, step.load, step.step)] = Done(step.start, step.end, False, entry)
                loads[step.batch] = step.loads
        progress[one.name] = Progress(done=done, loads=loads)
    return replace(asked, now=now, progress=progress)


@settings(max_examples=30)
@given(requests(), st.floats(0, 1))
def test_plans_hold_before_and_after_work_has_begun(asked, share):
    plan = planned(asked)
    if plan is None:
        return
    assert faults(asked, plan) == []
    later = carried_out(asked, plan, share)
    again = planned(later)
    if again is None:
        return
    assert faults(later, again) == []
    before = {step.id: step for step in plan.steps}
    for step in again.steps:
        if step.done:
            assert (step.start, step.end) == (before[step.id].start, before[step.id].end)


@settings(max_examples=12)
@given(requests(), st.randoms(use_true_random=False))
def test_the_order_of_the_input_changes_no_plan(asked, chance):
    projects = []
    for one in asked.projects:
        batches = list(one.batches)
        chance.shuffle(batches)
        projects.append(replace(one, batches=tuple(batches)))
    chance.shuffle(projects)
    assert planned(asked) == planned(replace(asked, projects=tuple(projects)))


@settings(max_examples=12)
@given(requests(), st.randoms(use_true_random=False))
def test_the_order_of_parts_spaces_windows_and_finishes_changes_no_plan(asked, chance):
    def shuffled(values):
        values = list(values)
        chance.shuffle(values)
        return tuple(values)

    projects = [
        replace(
            one,
            parts=shuffled(one.parts),
            batches=tuple(replace(each, parts=shuffled(each.parts)) for each in one.batches),
        )
        for one in asked.projects
    ]
    shop = replace(
        asked.workshop,
        spaces=shuffled(asked.workshop.spaces),
        people=tuple(replace(one, windows=shuffled(one.windows)) for one in asked.workshop.people),
    )
    finishes = dict(shuffled(asked.finishes.items()))
    again = replace(asked, projects=tuple(projects), workshop=shop, finishes=finishes)
    assert planned(again) == planned(asked)


@settings(max_examples=8)
@given(requests())
def test_the_order_of_people_changes_no_plan(asked):
    people = tuple(reversed(asked.workshop.people))
    again = replace(asked, workshop=replace(asked.workshop, people=people))
    assert planned(again) == planned(asked)


@settings(max_examples=6)
@given(requests(), st.integers(5, 40))
def test_plans_backwards_from_a_date_hold(asked, days):
    plan = planned(asked)
    if plan is None:
        return
    by = max(one.safe for one in plan.ready).date() + dt.timedelta(days=days)
    back = make_plan(replace(asked, ready_by=by))
    assert back.deadline.met
    assert max(one.safe for one in back.ready).date() <= by
    assert faults(asked, back) == []
    works = [step.start for step in back.steps if step.person]
    assert min(works) == back.deadline.begin


@settings(max_examples=12)
@given(requests(), st.integers(0, 40), st.floats(-3, 9))
def test_a_wish_is_kept_or_refused_with_a_reason(asked, number, days):
    plan = planned(asked)
    if plan is None:
        return
    work = [step for step in plan.steps if step.person]
    step = work[number % len(work)]
    wished = step.start + dt.timedelta(days=days)
    progress = dict(asked.progress)
    progress[step.project] = Progress(wishes={(step.batch, step.load, step.step): wished})
    asked = replace(asked, progress=progress)
    again = planned(asked)
    if again is None:
        return
    assert faults(asked, again) == []
    now = next((one for one in again.steps if one.id == step.id), None)
    if now is not None and abs(now.start - wished) >= dt.timedelta(minutes=15):
        assert any("cannot be at the wished" in warning for warning in again.warnings)
