"""Facts of the trade the main job must get right.

Source of every fact here: common practice, no source. They are what a woodworker checks a
finishing plan against: a penetrating oil on hardwood for a wet place, four coats on all six faces.
"""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace
from itertools import pairwise

import pytest

from finplan.air.climate import normals_series
from finplan.air.series import constant
from finplan.journal.progress import Progress
from finplan.library.load import finishes, templates
from finplan.planning.make import make_plan
from finplan.planning.request import PlanRequest
from finplan.services.samples import sample_named
from finplan.trade.cutlist import read_cut_list
from finplan.trade.parts import ALL_FACES, Part
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import expand
from finplan.trade.steps import Side, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

HOUR = dt.timedelta(hours=1)
QUARTER = dt.timedelta(minutes=15)
BEGINS = dt.datetime(2026, 10, 5, 6, 0, tzinfo=dt.UTC)
AT_ANY_HOUR = (WorkWindow("FREQ=DAILY", dt.time(0), 24 * 60),)
COLD_SHED = MonthlyNormals((10.0,) * 12, (8.0,) * 12, (65.0,) * 12, "invented for tests")


def steps():
    template = templates()["oiled outdoor bench"]
    return expand(template, finishes()[template.finish])


def plan_in(air):
    """The bench's plan in some air, made by somebody who is there at any hour."""
    slats = Part("slat", 8, 1500, 51, 25, "black locust")
    project = Project(
        "bench", "Bench", "yard", (slats,), (Batch("slats", ("slat",), "shed", steps()),),
        uuid.UUID(int=3),
    )  # fmt: skip
    shop = Workshop(
        "yard", "Europe/Berlin", (Person("maker", AT_ANY_HOUR),), (Space("shed", 6.0, COLD_SHED),)
    )
    return make_plan(
        PlanRequest(
            (project,), shop, finishes(), {"shed": air}, {"bench": Progress()}, BEGINS, seconds=0.0
        )
    )


def coats(plan):
    found = [step for step in plan.steps if step.kind is StepKind.COAT]
    return sorted(found, key=lambda step: step.coat)


def test_penetrating_oil_for_a_wet_place_goes_on_in_four_coats_on_all_faces_at_once():
    on = [step for step in steps() if step.kind is StepKind.COAT]
    assert [step.coat for step in on] == [1, 2, 3, 4]
    assert {step.side for step in on} == {Side.ALL}
    assert Part("slat", 1, 1500, 51, 25, "black locust").faces == ALL_FACES


def test_the_fourth_coat_goes_on_72_hours_after_the_first_at_room_temperature_never_sooner():
    on = coats(plan_in(constant(23.0, 50.0)))
    for before, after in pairwise(on):
        assert after.start >= before.end + 24 * HOUR
    since_first = on[3].start - on[0].end
    assert since_first >= 72 * HOUR
    # Each coat takes its own time, and work starts on a quarter hour.
    own = sum((coat.end - coat.start for coat in on[1:3]), dt.timedelta())
    assert since_first - own <= 72 * HOUR + 3 * QUARTER


def test_the_fourth_coat_goes_on_later_in_a_cold_shed():
    shed = normals_series(
        COLD_SHED,
        "Europe/Berlin",
        BEGINS.timestamp() - 86400 * 15,
        BEGINS.timestamp() + 86400 * 400,
    )
    warm, cold = coats(plan_in(constant(23.0, 50.0))), coats(plan_in(shed))
    assert cold[3].start - cold[0].end > 2 * (warm[3].start - warm[0].end)
    for early, late in zip(warm, cold, strict=True):
        assert late.start >= early.start


@pytest.mark.parametrize("name", sorted(templates()))
def test_holes_and_end_grain_are_sealed_before_the_first_coat(name):
    template = replace(templates()[name], seal_first=True)
    kinds = [(step.kind, step.coat) for step in expand(template, finishes()[template.finish])]
    seal = kinds.index((StepKind.SEAL, 0))
    assert seal < kinds.index((StepKind.COAT, 1))
    assert kinds[seal - 1][0] is StepKind.CLEAN


def test_the_bench_s_plan_seals_before_the_first_coat():
    plan = plan_in(constant(23.0, 50.0))
    (seal,) = [step for step in plan.steps if step.kind is StepKind.SEAL]
    assert seal.end <= coats(plan)[0].start
    assert "screw holes" in seal.title.lower() and "end grain" in seal.title.lower()


@pytest.mark.parametrize("name", sorted(templates()))
def test_the_dust_is_blown_off_and_wiped_after_any_dusty_work_and_before_the_next_coat(name):
    template = templates()[name]
    dusty = False
    for step in expand(template, finishes()[template.finish]):
        if step.kind in (StepKind.PREPARE, StepKind.SAND, StepKind.SCUFF):
            dusty = True
        elif step.kind is StepKind.CLEAN:
            assert "blow" in step.title.lower() and "wipe" in step.title.lower()
            dusty = False
        elif step.kind in (StepKind.SEAL, StepKind.COAT):
            assert not dusty, f"{name}: {step.key} goes on dust"


def test_every_coat_of_oil_has_its_dusting():
    made = steps()
    for coat in (1, 2, 3, 4):
        keys = [step.key for step in made]
        assert keys.index(f"clean-{coat}") < keys.index(f"coat-{coat}")


def test_penetrating_oil_is_ragged_on_not_brushed():
    oil = finishes()["penetrating oil"]
    assert oil.methods[0] == "by rag"
    assert "by brush" not in oil.methods
    assert {step.method for step in steps() if step.kind is StepKind.COAT} == {"by rag"}


def test_the_slats_of_the_bench_are_about_2_in_wide_and_at_least_seven_eighths_thick():
    file = sample_named("locust_bench").file.with_name("cut_list.csv")
    slats = [part for part in read_cut_list(file.read_bytes(), file.name) if "slat" in part.name]
    assert 40 <= sum(part.quantity for part in slats) < 50
    for part in slats:
        assert part.width_mm == pytest.approx(2 * 25.4, rel=0.1)
        assert part.thickness_mm >= 7 / 8 * 25.4
        assert part.holes, "screwed from above"
        assert part.wood == "black locust"
