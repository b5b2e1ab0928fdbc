"""The checker finds what is planted in a sound plan."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.fold import progress
from finplan.planning.check import faults
from finplan.planning.make import make_plan
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, Stretch, WorkWindow
from tests.unit.planning.shops import EVENINGS, batch, bench, project, request, workshop

HOUR = dt.timedelta(hours=1)
OSLO = ZoneInfo("Europe/Oslo")


@pytest.fixture(scope="module")
def asked():
    return request(
        project(batch(), batch("legs", "varnished door")), shop=workshop(EVENINGS, rack_m2=1.2)
    )


@pytest.fixture(scope="module")
def sound(asked):
    return make_plan(asked)


def moved(plan, step_id, by):
    def shift(step):
        pieces = tuple((start + by, end + by) for start, end in step.pieces)
        return replace(step, start=step.start + by, end=step.end + by, pieces=pieces)

    return replace(
        plan, steps=tuple(shift(step) if step.id == step_id else step for step in plan.steps)
    )


def test_a_sound_plan_has_no_faults(asked, sound):
    assert faults(asked, sound) == []


@pytest.mark.parametrize(
    ("step_id", "by", "fault"),
    [
        ("bench/slats/1/coat-2", -84 * HOUR, "is dry-to-recoat"),
        ("bench/slats/1/coat-2", -6 * HOUR, "outside the hours"),
        ("bench/slats/1/sand", -72 * HOUR, "in the past"),
        ("bench/slats/1/sand", 480 * HOUR, "starts before"),
        ("bench/legs/1/scuff-2", 96 * HOUR, "starts before"),
        ("bench/legs/1/release", -24 * HOUR, "is full-cure"),
        ("bench/slats/1/assemble", -48 * HOUR, "done to the whole before"),
        ("bench/slats/1/wipe-off-2", -HOUR / 4, "has soaked in"),
        ("bench/slats/1/wipe-off-2", HOUR / 2, "wiped later after"),
        ("bench/slats/1/wipe-off-2", 24 * HOUR, "wiped later after"),
    ],
)
def test_a_moved_step_is_found(asked, sound, step_id, by, fault):
    found = faults(asked, moved(sound, step_id, by))
    assert any(fault in one for one in found), found


def test_a_missing_step_is_found(asked, sound):
    fewer = tuple(step for step in sound.steps if step.id != "bench/slats/1/clean-3")
    assert any("clean-3 is missing" in one for one in faults(asked, replace(sound, steps=fewer)))


def test_two_steps_of_one_person_at_once_are_found(asked, sound):
    first, second = [step for step in sound.steps if step.person][:2]
    both = moved(sound, second.id, first.start - second.start)
    assert any("is busy with" in one for one in faults(asked, both))


def test_too_little_time_is_found(asked, sound):
    step = next(one for one in sound.steps if one.step == "sand")
    short = replace(
        step, end=step.start + HOUR / 12, pieces=((step.start, step.start + HOUR / 12),)
    )
    steps = tuple(short if one.id == step.id else one for one in sound.steps)
    assert any("less time" in one for one in faults(asked, replace(sound, steps=steps)))


def test_a_rack_too_full_is_found(asked, sound):
    small = replace(asked.workshop.spaces[0], rack_area_m2=1.0)
    shop = replace(asked.workshop, spaces=(small, *asked.workshop.spaces[1:]))
    plan = make_plan(replace(asked, workshop=workshop(EVENINGS, rack_m2=5.0)))
    found = faults(replace(asked, workshop=shop), plan)
    assert any("on a rack of 1 m²" in one for one in found)


def test_dust_on_a_wet_coat_is_found(asked, sound):
    apart = tuple(replace(space, dust_apart=True) for space in asked.workshop.spaces)
    loose = replace(asked, workshop=replace(asked.workshop, spaces=apart))
    assert any("dust on" in one for one in faults(asked, make_plan(loose)))


def test_air_that_is_not_fit_is_found(asked, sound):
    cold = {
        name: replace(air, temperature_c=air.temperature_c - 20) for name, air in asked.air.items()
    }
    assert any("air is not fit" in one for one in faults(replace(asked, air=cold), sound))


def test_pieces_put_together_while_those_of_another_batch_are_wet_are_found(asked, sound):
    legs = max(step.end for step in sound.steps if step.step == "coat-4-second")
    slats = next(step for step in sound.steps if step.id == "bench/slats/1/assemble")
    found = faults(asked, moved(sound, slats.id, legs + HOUR - slats.start))
    assert any("bench/legs/1/coat-4-second is dry-through" in one for one in found), found


def test_a_coat_dusted_off_in_an_earlier_session_is_found(asked, sound):
    coat = next(step for step in sound.steps if step.id == "bench/slats/1/coat-2")
    found = faults(asked, moved(sound, "bench/slats/1/clean-2", -24 * HOUR))
    assert f"bench/slats/1/clean-2: dusted off in another session than {coat.id}" in found


def test_dusting_off_may_stand_apart_where_no_session_holds_both():
    hours = (WorkWindow("FREQ=DAILY", dt.time(18), 60),)
    shop = workshop(people=(Person("Ada", hours),))
    asked = request(project(parts=(bench(4),)), shop=shop)
    plan = make_plan(asked)
    coat, clean = (next(s for s in plan.steps if s.step == key) for key in ("coat-2", "clean-2"))
    assert coat.start - clean.end > 12 * HOUR
    assert faults(asked, plan) == []


def changed(plan, step_id, **fields):
    steps = tuple(replace(one, **fields) if one.id == step_id else one for one in plan.steps)
    return replace(plan, steps=steps)


def step_of(plan, step_id):
    return next(one for one in plan.steps if one.id == step_id)


def test_a_step_planned_twice_or_not_at_all_is_found(asked, sound):
    sand = step_of(sound, "bench/slats/1/sand")
    twice = faults(asked, replace(sound, steps=(*sound.steps, sand)))
    assert "bench/slats: a step is planned twice" in twice
    without = tuple(one for one in sound.steps if one.batch != "legs")
    assert "bench/legs: nothing is planned" in faults(asked, replace(sound, steps=without))


def test_what_is_said_to_be_done_must_be_what_the_journal_says(asked, sound):
    said = changed(sound, "bench/slats/1/sand", done=True)
    assert any("the journal does not say so" in one for one in faults(asked, said))
    sand = step_of(sound, "bench/slats/1/sand")
    entry = Entry(
        uuid.UUID(int=1), "bench", EntryKind.STEP_DONE, sand.end, sand.end,
        batch="slats", load=1, loads=sand.loads, step="sand",
        details={"started": sand.start.isoformat()},
    )  # fmt: skip
    (made,) = asked.projects
    later = replace(asked, now=sand.end + HOUR / 4, progress={"bench": progress([entry], made)})
    plan = make_plan(later)
    assert faults(later, plan) == []
    found = faults(later, moved(plan, sand.id, -HOUR))
    assert f"{sand.id}: moved, though it is done" in found


def test_work_on_a_blocked_day_or_before_it_is_put_off_to_is_found(asked, sound):
    sand = step_of(sound, "bench/slats/1/sand")
    (made,) = asked.projects
    guests = replace(made, blocked=(Stretch(sand.start, sand.start + HOUR),))
    found = faults(replace(asked, projects=(guests,)), sound)
    assert f"{sand.id}: worked on while its project is blocked" in found
    before = replace(made, blocked=(Stretch(sand.start - HOUR, sand.start),))
    assert not [one for one in faults(replace(asked, projects=(before,)), sound) if sand.id in one]
    put_off = replace(asked, not_before={sand.id: sand.start + HOUR})
    assert f"{sand.id}: planned before the hour it is put off to" in faults(put_off, sound)
    assert faults(replace(asked, not_before={sand.id: sand.start}), sound) == []


def test_hours_that_do_not_add_up_are_found(asked, sound):
    sand = step_of(sound, "bench/slats/1/sand")
    torn = changed(sound, sand.id, start=sand.start - HOUR)
    assert f"{sand.id}: its pieces do not make up its start and end" in faults(asked, torn)
    cut = sand.start + dt.timedelta(minutes=5)
    crumbs = changed(sound, sand.id, pieces=((sand.start, cut), (cut, sand.end)))
    assert f"{sand.id}: a piece is too short" in faults(asked, crumbs)


def test_work_of_nobody_of_a_stranger_and_of_who_does_not_do_it_is_found(asked, sound):
    sand = step_of(sound, "bench/slats/1/sand")
    assert f"{sand.id}: nobody does it" in faults(asked, changed(sound, sand.id, person=""))
    found = faults(asked, changed(sound, sand.id, person="Bo"))
    assert "Bo is not in the workshop" in found
    able = tuple(
        replace(one, can=frozenset(StepKind) - {StepKind.SAND}) for one in asked.workshop.people
    )
    found = faults(replace(asked, workshop=replace(asked.workshop, people=able)), sound)
    assert f"{sand.id}: {sand.person} does not do sand" in found


def test_a_coat_over_an_unscuffed_one_whose_window_has_closed_is_found(asked, sound):
    assert step_of(sound, "bench/legs/1/scuff-2")
    unscuffed = replace(
        sound,
        steps=tuple(one for one in sound.steps if one.id != "bench/legs/1/scuff-2"),
        warnings=(),
    )
    found = faults(asked, unscuffed)
    assert any("after the window of bench/legs/1/coat-1" in one for one in found), found


def test_a_cure_may_begin_wet_but_not_end_before_it_is_over():
    asked = request(project(batch(cure_before_install=True)), shop=workshop(EVENINGS))
    plan = make_plan(asked)
    cure = step_of(plan, "bench/slats/1/cure")
    assert cure.end - cure.start > 24 * HOUR
    assert faults(asked, plan) == []
    cut = changed(plan, cure.id, end=cure.end - HOUR, pieces=((cure.start, cure.end - HOUR),))
    assert any(f"{cure.id}: before" in one for one in faults(asked, cut))


def test_a_surface_found_dry_is_dry():
    asked = request()
    first = make_plan(asked)
    coat = step_of(first, "bench/slats/1/coat-1")
    done = [
        Entry(
            uuid.UUID(int=n), "bench", EntryKind.STEP_DONE, one.end, one.end,
            batch="slats", load=1, loads=1, step=one.step,
            details={"started": one.start.isoformat()},
        )
        for n, one in enumerate((one for one in first.steps if one.end <= coat.end), 1)
    ]  # fmt: skip
    found = coat.end + 3 * HOUR
    check = Entry(
        uuid.UUID(int=99), "bench", EntryKind.DRYNESS_CHECK, found, found,
        batch="slats", load=1, loads=1, step="coat-1",
        details={"stage": "dry-to-recoat", "reached": True},
    )  # fmt: skip
    (made,) = asked.projects
    told = replace(asked, now=found, progress={"bench": progress([*done, check], made)})
    untold = replace(asked, now=found, progress={"bench": progress(done, made)})
    plan = make_plan(told)
    assert faults(told, plan) == []
    found = faults(untold, plan)
    assert "bench/slats/1/coat-2: before bench/slats/1/coat-1 is dry-to-recoat" in found


def test_faults_of_every_load_are_found():
    asked = request(shop=workshop(EVENINGS, rack_m2=0.7))
    plan = make_plan(asked)
    assert faults(asked, plan) == []
    loads = {one.load for one in plan.steps}
    assert loads >= {1, 2}
    for load in sorted(loads):
        name = f"bench/slats/{load}"
        coat, below = (step_of(plan, f"{name}/coat-{number}") for number in (2, 1))
        early = faults(asked, moved(plan, coat.id, below.end + HOUR - coat.start))
        assert f"{coat.id}: before {below.id} is dry-to-recoat" in early
        fewer = tuple(one for one in plan.steps if one.id != f"{name}/clean-3")
        assert f"{name}: clean-3 is missing" in faults(asked, replace(plan, steps=fewer))
    assembly = step_of(plan, "bench/slats/1/assemble")
    soon = moved(plan, assembly.id, -48 * HOUR)
    last = f"bench/slats/{max(loads)}/coat-4"
    assert f"{assembly.id}: before {last} is dry-through" in faults(asked, soon)


def test_work_on_a_day_off_is_found(asked, sound):
    sand = step_of(sound, "bench/slats/1/sand")
    off = tuple(
        replace(one, days_off=(sand.start.astimezone(OSLO).date(),))
        for one in asked.workshop.people
    )
    found = faults(replace(asked, workshop=replace(asked.workshop, people=off)), sound)
    assert f"{sand.id}: outside the hours of {sand.person}" in found
    later = tuple(
        replace(one, days_off=(sand.start.astimezone(OSLO).date() - dt.timedelta(days=1),))
        for one in asked.workshop.people
    )
    assert faults(replace(asked, workshop=replace(asked.workshop, people=later)), sound) == []


def test_a_whole_batch_waits_for_every_load_whatever_is_done_to_it_first():
    """With nothing to assemble the pieces of all loads are put in place, and cure, together."""
    table = batch(template="oiled worktop")
    asked = request(project(table), shop=workshop(EVENINGS, rack_m2=0.7))
    plan = make_plan(asked)
    assert faults(asked, plan) == []
    last = max(one.load for one in plan.steps)
    assert last > 1
    for key, stage in (("install", "dry-through"), ("release", "full-cure")):
        whole, coat = step_of(plan, f"bench/slats/1/{key}"), _last_coat(plan, last)
        soon = moved(plan, whole.id, coat.end - whole.start)
        assert f"{whole.id}: before {coat.id} is {stage}" in faults(asked, soon)
    sooner = moved(plan, whole.id, coat.start - whole.start)
    assert f"{whole.id}: done to the whole before {coat.id} is over" in faults(asked, sooner)


def test_each_batch_that_is_assembled_has_to_be_dry(asked, sound):
    """Loads of the same number in two batches are not taken for one another."""
    assembly = step_of(sound, "bench/slats/1/assemble")
    for name in ("slats", "legs"):
        coat = _last_coat(sound, 1, name)
        found = faults(asked, moved(sound, assembly.id, coat.end - assembly.start))
        assert f"{assembly.id}: before {coat.id} is dry-through" in found


def _last_coat(plan, load, name="slats"):
    own = [one for one in plan.steps if (one.batch, one.load) == (name, load)]
    return max((one for one in own if one.kind is StepKind.COAT), key=lambda one: one.end)
