"""The forward plan: waits, windows, loads, turning, wiping, facts, wishes."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace
from itertools import pairwise

import pytest

from finplan.air.series import constant
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.library.load import templates
from finplan.planning.build import build
from finplan.planning.check import faults
from finplan.planning.forward import forward, missed_windows
from finplan.planning.make import make_plan
from finplan.planning.plan import Method
from finplan.planning.request import NoPlan
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_date
from finplan.trade.steps import WAITING_KINDS, StepKind
from finplan.trade.workshop import Person, Stretch, WorkWindow
from tests.benchmarks.shops_at_work import days_ahead, shop
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

HOUR = dt.timedelta(hours=1)


def coats(plan, batch_name="slats"):
    return [step for step in plan.steps if step.kind is StepKind.COAT and step.batch == batch_name]


def by_key(plan, key, load=1):
    return next(step for step in plan.steps if step.step == key and step.load == load)


def done_fact(step):
    entry = Entry(uuid.UUID(int=7), "bench", EntryKind.STEP_DONE, step.end, step.end)
    return Done(step.start, step.end, False, entry)


def facts_until(plan, key):
    """The journal of a plan carried out as far as a step."""
    known = {}
    for step in plan.steps:
        known[(step.batch, step.load, step.step)] = done_fact(step)
        if step.step == key:
            break
    return Progress(done=known, loads={step.batch: step.loads for step in plan.steps})


def test_penetrating_oil_waits_a_day_between_coats_at_room_conditions():
    plan = make_plan(request(project(batch(template="oiled outdoor bench"))))
    on = coats(plan)
    assert len(on) == 4
    for before, after in pairwise(on):
        assert after.waits_for is not None
        assert after.waits_for.safe == before.end + 24 * HOUR
        assert after.start - before.end == 24 * HOUR
    lengths = sum((step.end - step.start for step in on[:3]), dt.timedelta())
    assert on[3].start - on[0].start == 72 * HOUR + lengths


def test_a_cold_shed_puts_the_fourth_coat_later():
    warm = coats(make_plan(request()))
    cold = coats(make_plan(request(air=constant(12.0, 60.0))))
    assert cold[3].start - cold[0].start > 1.5 * (warm[3].start - warm[0].start)


@pytest.mark.parametrize("template", sorted(templates()))
def test_every_schedule_plans_into_evenings(template):
    plan = make_plan(request(project(batch(template=template)), shop=workshop(EVENINGS)))
    assert (plan.method is Method.OPTIMAL) == (plan.gap == 0)
    assert plan.bound <= plan.ready[0].safe
    assert plan.ready[0].likely <= plan.ready[0].safe
    assert all(step.reason.endswith(".") for step in plan.steps)
    for step in plan.steps:
        if step.person:
            for start, _ in step.pieces:
                local = start.astimezone(dt.timezone(2 * HOUR))
                assert local.weekday() != 6


def test_the_order_of_the_input_changes_nothing():
    first, second = batch("slats"), batch("worktop", "oiled worktop", ("board",))
    parts = (bench(), replace(bench(), name="board", width_mm=600.0, quantity=1))
    other = project(batch("legs"), name="table")
    one = request(project(first, second, parts=parts), other, shop=workshop(EVENINGS))
    two = request(other, project(second, first, parts=parts[::-1]), shop=workshop(EVENINGS))
    assert make_plan(one) == make_plan(two)


def test_a_batch_is_cut_into_loads_that_fit_on_the_rack():
    one_slat = 1.2 * 0.09 * batch().rack_share
    plan = make_plan(request(shop=workshop(rack_m2=one_slat * 3.5)))
    assert {step.loads for step in plan.steps} == {3}
    areas = [by_key(plan, "coat-1", load).area_m2 for load in (1, 2, 3)]
    assert sum(areas) == pytest.approx(8 * 2 * (1.2 * 0.09 + 1.2 * 0.019 + 0.09 * 0.019))
    assert len([step for step in plan.steps if step.kind is StepKind.ASSEMBLE]) == 1


def test_a_batch_is_cut_into_more_loads_if_asked():
    plan = make_plan(request(project(replace(batch(), least_loads=2))))
    assert {step.loads for step in plan.steps} == {2}
    first, second = (by_key(plan, "coat-1", load).area_m2 for load in (1, 2))
    assert first == pytest.approx(second) == pytest.approx(4 * 2 * (0.108 + 0.0228 + 0.00171))


def test_a_part_larger_than_the_rack_is_refused_with_its_sizes():
    with pytest.raises(NoPlan, match=r"'slat' \(1200 mm × 90 mm × 19 mm\) takes .* has 0.1 m²"):
        make_plan(request(shop=workshop(rack_m2=0.1)))


def test_a_window_that_never_opens_is_refused():
    windows = (WorkWindow("FREQ=WEEKLY;BYDAY=SU;UNTIL=20200101", dt.time(8), 60),)
    with pytest.raises(NoPlan, match="no work window of Ada opens in the next 365 days"):
        make_plan(request(shop=workshop(windows)))


def test_a_step_longer_than_every_window_is_refused():
    windows = (WorkWindow("FREQ=DAILY", dt.time(18), 30),)
    with pytest.raises(NoPlan, match="no work window of Ada is longer than 30 min"):
        make_plan(request(project(batch(), parts=(bench(40),)), shop=workshop(windows, 20.0)))


def test_air_that_is_never_good_is_refused():
    with pytest.raises(NoPlan, match="no work hour in which the air in 'shed' is good enough"):
        make_plan(request(air=constant(2.0, 50.0)))


def test_a_rule_that_cannot_be_read_is_bad_input():
    windows = (WorkWindow("FREQ=SOMETIMES", dt.time(18), 30),)
    with pytest.raises(BadInput, match="'FREQ=SOMETIMES' cannot be read"):
        make_plan(request(shop=workshop(windows)))


def test_wiping_off_falls_into_the_minutes_the_finish_asks_for():
    plan = make_plan(request(shop=workshop(EVENINGS)))
    for coat in coats(plan):
        wipe = by_key(plan, f"wipe-off-{coat.coat}")
        assert 15 <= (wipe.start - coat.end).total_seconds() / 60 <= 30


def test_the_second_side_waits_until_the_first_can_be_handled():
    plan = make_plan(request(project(batch(template="oiled worktop"))))
    first, turn, second = (by_key(plan, key) for key in ("coat-1-first", "turn-1", "coat-1-second"))
    assert first.end < turn.start < second.start
    assert turn.waits_for is not None
    assert turn.waits_for.step == first.id
    assert turn.start >= turn.waits_for.safe


def test_a_missed_window_brings_the_scuffing_in():
    door = request(project(batch(template="oiled worktop")), shop=workshop(EVENINGS))
    plan = make_plan(door)
    scuff = [step for step in plan.steps if step.kind is StepKind.SCUFF]
    assert scuff
    assert any("scuffed first" in warning for warning in plan.warnings)
    kept = make_plan(replace(door, workshop=workshop(ALL_HOURS)))
    assert not [step for step in kept.steps if step.kind is StepKind.SCUFF]


def test_what_is_done_never_moves():
    before = make_plan(request(shop=workshop(EVENINGS)))
    progress = facts_until(before, "coat-2")
    later = by_key(before, "coat-2").end + 3 * HOUR
    after = make_plan(request(shop=workshop(EVENINGS), progress={"bench": progress}, now=later))
    for key in progress.done:
        old, new = by_key(before, key[2]), by_key(after, key[2])
        assert (new.start, new.end, new.done) == (old.start, old.end, True)
    assert all(step.start >= later for step in after.steps if not step.done)
    assert by_key(after, "coat-3").start >= by_key(after, "coat-2").end + 24 * HOUR


def test_only_a_project_with_work_left_is_told_to_be_late():
    asked = request(project(in_service_by=NOW.date()), shop=workshop(EVENINGS))
    plan = make_plan(asked)
    (told,) = plan.warnings
    assert told.startswith(f"bench is to be in service by {say_date(NOW.date())} and is safely")
    progress = {"bench": facts_until(plan, plan.steps[-1].step)}
    assert not make_plan(replace(asked, progress=progress, now=plan.steps[-1].end)).warnings


def test_a_wish_that_is_allowed_is_kept():
    free = make_plan(request())
    wished = by_key(free, "coat-2").start + 5 * HOUR
    progress = Progress(wishes={("slats", 1, "coat-2"): wished})
    plan = make_plan(request(progress={"bench": progress}))
    assert by_key(plan, "coat-2").start == wished
    assert not plan.warnings


def test_a_wish_that_is_too_early_is_refused_with_the_reason():
    free = make_plan(request())
    wished = by_key(free, "coat-2").start - 5 * HOUR
    progress = Progress(wishes={("slats", 1, "coat-2"): wished})
    plan = make_plan(request(progress={"bench": progress}))
    assert by_key(plan, "coat-2").start == by_key(free, "coat-2").start
    assert "cannot be at the wished" in plan.warnings[0]
    assert "dry to recoat" in plan.warnings[0]


def test_days_off_and_busy_hours_are_kept_free():
    off = replace(Person("Ada", ALL_HOURS), days_off=(dt.date(2026, 10, 6),))
    plan = make_plan(request(shop=workshop(people=(off,))))
    zone = dt.timezone(2 * HOUR)
    assert all(
        start.astimezone(zone).date() != dt.date(2026, 10, 6)
        for step in plan.steps
        if step.person
        for start, _ in step.pieces
    )


def test_only_those_who_can_do_a_step_get_it():
    sander = Person("Bo", ALL_HOURS, can=frozenset({StepKind.SAND, StepKind.PREPARE}))
    painter = Person("Cy", ALL_HOURS, can=frozenset(StepKind) - {StepKind.SAND, StepKind.PREPARE})
    plan = make_plan(request(shop=workshop(people=(painter, sander))))
    for step in plan.steps:
        if step.person:
            assert step.person == ("Bo" if step.kind in sander.can else "Cy")


def test_no_work_before_the_project_begins():
    begins = NOW + dt.timedelta(days=9)
    plan = make_plan(request(project(begins=begins)))
    assert plan.steps[0].start == begins


def test_the_clock_change_moves_no_drying():
    eve = dt.datetime(2026, 10, 24, 6, 0, tzinfo=dt.UTC)  # clocks go back in the night after
    on = coats(make_plan(request(now=eve)))
    assert on[1].start - on[0].end == 24 * HOUR


def test_assembly_waits_until_the_pieces_of_every_batch_are_dry_through():
    quick = batch("frame", template="shellac box", install=False, release=False)
    slow = batch("legs", template="varnished door", assemble=False, install=False, release=False)
    plan = make_plan(request(project(quick, slow)))
    last = max(step.end for step in plan.steps if step.kind is StepKind.COAT)
    put_together = next(step for step in plan.steps if step.kind is StepKind.ASSEMBLE)
    assert put_together.batch == "frame"
    assert put_together.start >= last + 24 * HOUR  # dry through in 24 h at room conditions


@pytest.mark.parametrize("last", ["prepare", "sand", "coat-1", "coat-4", "assemble", "install"])
def test_a_project_plans_on_from_wherever_it_stands(last):
    asked = request(shop=workshop(EVENINGS))
    before = make_plan(asked)
    progress = facts_until(before, last)
    now = max(done.ended for done in progress.done.values())
    later = make_plan(replace(asked, progress={"bench": progress}, now=now))
    assert later.ready[0].safe == before.ready[0].safe
    assert [step.id for step in later.steps] == [step.id for step in before.steps]


def test_a_finished_project_has_a_plan_of_facts():
    asked = request(shop=workshop(EVENINGS))
    progress = facts_until(make_plan(asked), "release")
    now = max(done.ended for done in progress.done.values())
    plan = make_plan(replace(asked, progress={"bench": progress}, now=now, seconds=1.0))
    assert all(step.done for step in plan.steps)


def test_nothing_to_plan_is_an_empty_plan():
    assert make_plan(replace(request(), projects=())).steps == ()


def test_a_batch_without_steps_is_bad_input():
    with pytest.raises(BadInput, match="the batch has no steps"):
        make_plan(request(project(replace(batch(), steps=()))))


def test_a_workshop_without_people_is_refused():
    with pytest.raises(NoPlan, match="nobody in the workshop does 'prepare'"):
        make_plan(request(shop=replace(workshop(), people=())))


@pytest.mark.parametrize("template", sorted(templates()))
def test_dust_is_wiped_off_in_the_session_of_the_coat(template):
    plan = make_plan(request(project(batch(template=template)), shop=workshop(EVENINGS)))
    for clean in plan.steps:
        if clean.kind is StepKind.CLEAN:
            coat = next(step for step in plan.steps if step.start >= clean.end)
            assert coat.kind in (StepKind.COAT, StepKind.SEAL)
            assert coat.start - clean.end <= 3 * HOUR


def test_a_scuffing_recorded_in_an_instant_stays_in_the_plan_and_a_skipped_one_does_not():
    first = make_plan(request(project(batch(template="oiled worktop")), shop=workshop(EVENINGS)))
    known = facts_until(first, "wipe-off-1-second")
    ended = max(done.ended for done in known.done.values()) + 200 * HOUR
    for skipped in (False, True):
        entry = Entry(uuid.UUID(int=8), "bench", EntryKind.STEP_DONE, ended, ended)
        done = {**known.done, ("slats", 1, "scuff-2"): Done(ended, ended, skipped, entry)}
        facts = {"bench": replace(known, done=done)}
        made = project(batch(template="oiled worktop"))
        plan = make_plan(request(made, shop=workshop(EVENINGS), progress=facts, now=ended + HOUR))
        shown = [step for step in plan.steps if step.step == "scuff-2" and step.done]
        assert len(shown) == (0 if skipped else 1)
        for coat in ("coat-1-first", "coat-1-second"):  # no window closes on what is scuffed
            assert (by_key(plan, coat).window_closes is not None) == skipped


def test_a_cure_that_is_over_keeps_its_date_though_nobody_wrote_it_down():
    before = make_plan(request())
    release = before.steps[-1]
    assert release.kind is StepKind.RELEASE
    last_work = [step for step in before.steps if step.kind is not StepKind.RELEASE][-1]
    progress = {"bench": facts_until(before, last_work.step)}
    later = release.end + dt.timedelta(days=30)
    after = make_plan(request(progress=progress, now=later))
    assert after.steps[-1].end == release.end
    assert after.ready[0].safe == before.ready[0].safe
    assert faults(request(progress=progress, now=later), after) == []


def blocked_for(plan, days=3):
    """The days from the middle of a plan's work on."""
    step = plan.steps[len(plan.steps) // 2]
    return (Stretch(step.start, step.start + dt.timedelta(days=days), "guests"),)


def test_no_work_is_done_while_a_project_is_blocked():
    free = make_plan(request(project()))
    kept = project(blocked=blocked_for(free))
    plan = make_plan(request(kept))
    (guests,) = kept.blocked
    worked = [step for step in plan.steps if step.kind not in WAITING_KINDS]
    assert all(
        end <= guests.start or guests.end <= start for step in worked for start, end in step.pieces
    )
    assert plan.ready[0].safe > free.ready[0].safe
    assert any("blocked then (guests)" in warning for warning in plan.warnings)
    assert not any("does not hold" in warning for warning in plan.warnings)


def test_the_checker_sees_work_in_a_blocked_stretch():
    free = make_plan(request(project()))
    kept = request(project(blocked=blocked_for(free)))
    assert any("while its project is blocked" in fault for fault in faults(kept, free))


def test_the_optimiser_keeps_clear_of_blocked_stretches_too():
    free = make_plan(request(project()))
    kept = project(blocked=blocked_for(free))
    plan = make_plan(request(kept, seconds=1.0))
    assert not faults(request(kept), plan)


def test_in_a_crowded_shop_no_coat_misses_a_window_that_nothing_mends():
    network = build(shop(50, 0, "hobby"), days_ahead(50)).network
    blocks = [block for chain in network.chains for block in chain.blocks]
    unmended = [
        window
        for block in blocks
        if not any(network.nodes[node].optional for node in block.nodes)
        for window in block.windows
    ]
    assert len(unmended) > 20
    assert missed_windows(network, forward(network, passes=2)) == frozenset()


def test_a_project_begun_before_its_hour_goes_on_at_once():
    asked = request(project(begins=NOW + dt.timedelta(days=5)), shop=workshop(ALL_HOURS))
    whole = make_plan(request(shop=workshop(ALL_HOURS)))
    coat = by_key(whole, "coat-1")
    begun = {"bench": facts_until(whole, "coat-1")}
    held = make_plan(asked)
    assert held.steps[0].start >= NOW + dt.timedelta(days=5)
    going = replace(asked, now=coat.end, progress=begun)
    plan = make_plan(going)
    wiped = by_key(plan, "wipe-off-1")
    assert wiped.start - coat.end <= HOUR / 2
    assert "not to begin before" not in wiped.reason
    assert faults(going, plan) == []
