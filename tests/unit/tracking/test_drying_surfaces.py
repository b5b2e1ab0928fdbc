"""What is drying, and how far it is."""

import dataclasses

import pytest

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.tracking.drying_now import drying_now
from finplan.trade.finishes import Stage
from tests.unit.tracking.bench import after, bench_plan, bench_request, planned

COATED = ("sand", "coat-1", "wipe-1")


def test_the_wet_surface_shows_its_share_of_the_way_to_the_next_coat():
    (drying,) = drying_now(bench_plan(done=COATED), bench_request(), after(14.5))
    assert drying.step == "bench/slats/1/coat-1"
    assert drying.goal is Stage.DRY_TO_RECOAT
    assert drying.safe_share == pytest.approx(12 / 24, abs=0.01)
    assert drying.likely_share == pytest.approx(12 / (16 * 24) ** 0.5, abs=0.01)
    assert drying.safe_stage is Stage.DRY_TO_HANDLE
    assert drying.next_step == "bench/slats/1/coat-2"


def test_stage_times_are_likely_before_safe_and_in_order():
    (drying,) = drying_now(bench_plan(done=COATED), bench_request(), after(14.5))
    assert [time.stage for time in drying.stages] == [
        Stage.DRY_TO_HANDLE,
        Stage.DRY_TO_RECOAT,
        Stage.FULL_CURE,
    ]
    assert all(time.likely < time.safe for time in drying.stages)
    safe = [time.safe for time in drying.stages]
    assert safe == sorted(safe)
    assert abs((safe[1] - after(26.5)).total_seconds()) < 60


def test_only_the_uppermost_coat_is_shown_and_nothing_before_the_first():
    assert drying_now(bench_plan(), bench_request(), after(1)) == ()
    (drying,) = drying_now(bench_plan(done=(*COATED, "coat-2")), bench_request(), after(60))
    assert drying.coat == 2


def test_a_surface_fully_cured_is_not_drying():
    assert drying_now(bench_plan(done=COATED), bench_request(), after(2000)) == ()


def test_a_coat_that_was_skipped_left_no_surface():
    entry = Entry(
        bench_request().projects[0].uid, "bench", EntryKind.STEP_SKIPPED, after(2), after(2)
    )
    skipped = Done(after(2), after(2), True, entry)
    request = dataclasses.replace(
        bench_request(), progress={"bench": Progress(done={("slats", 1, "coat-1"): skipped})}
    )
    assert drying_now(bench_plan(done=COATED), request, after(14)) == ()


def test_each_load_dries_until_the_whole_batch_is_released():
    plan = bench_plan(done=(*COATED, "coat-2"))
    second = [
        dataclasses.replace(planned(key, start, end, True, load=2), loads=2)
        for key, start, end in (("coat-1", 4, 5), ("wipe-1", 5, 5.5), ("coat-2", 59, 60))
    ]
    plan = dataclasses.replace(plan, steps=(*plan.steps, *second))
    found = drying_now(plan, bench_request(), after(62))
    assert [(drying.load, drying.goal) for drying in found] == [
        (1, Stage.DRY_TO_HANDLE),
        (2, Stage.DRY_TO_HANDLE),
    ]
    assert {drying.next_step for drying in found} == {"bench/slats/1/assemble"}
