"""Parts and projects that can't be."""

import dataclasses
import datetime as dt
import math
import uuid

import pytest

from finplan.trade.checks import check_fits, check_part, check_project, faces_of
from finplan.trade.errors import BadInput
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow
from finplan.trade.workshop_checks import check_window, check_workshop

NORMALS = MonthlyNormals((10.0,) * 12, (8.0,) * 12, (70.0,) * 12, "invented")
SHED = Space("shed", 4.0, NORMALS)
EVENINGS = WorkWindow("FREQ=WEEKLY;BYDAY=MO,WE", dt.time(18, 30), 180)
WORKSHOP = Workshop("boathouse", "Europe/Berlin", (Person("Ada", (EVENINGS,)),), (SHED,))
STEPS = (Step("sand", StepKind.SAND, "Sand"), Step("coat-1", StepKind.COAT, "Coat", 1))
SLAT = Part("slat", 10, 1200, 90, 19, "black locust", (Hole(5, 4, 10),))
LEG = Part("leg", 4, 450, 60, 60, "black locust")
PROJECT = Project(
    "bench", "Bench", "boathouse", (SLAT, LEG), (Batch("all", ("slat", "leg"), "shed", STEPS),),
    uuid.UUID(int=1),
)  # fmt: skip


def changed(thing, **values):
    return dataclasses.replace(thing, **values)


def test_good_ones_pass():
    check_part(SLAT)
    check_project(PROJECT)
    check_fits(PROJECT, WORKSHOP)
    check_workshop(WORKSHOP)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"quantity": 0}, "quantity: 0 pieces: give 1"),
        ({"quantity": -3}, "quantity: -3 pieces"),
        ({"length_mm": 0}, "length_mm: 0 mm: give a size above zero"),
        ({"width_mm": -1}, "width_mm: -1 mm"),
        ({"thickness_mm": math.nan}, "thickness_mm: nan mm"),
        ({"length_mm": math.inf}, "length_mm: inf mm"),
        ({"length_mm": 1e9}, "check the unit"),
        ({"name": ""}, "name: is empty"),
        ({"name": "x" * 121}, "121 letters are too many"),
        ({"name": "a\x1b[2J"}, "invisible character"),
        ({"wood": "a\x00"}, "wood: letter 2"),
        ({"faces": frozenset()}, "no face is finished"),
        ({"holes": (Hole(0),)}, "holes 1, diameter_mm: 0 mm"),
        ({"holes": (Hole(90),)}, "does not fit 90 mm"),
        ({"holes": (Hole(5, 0),)}, "count 0"),
        ({"holes": (Hole(5, 1, 5),)}, "not wider than the hole"),
        ({"holes": (Hole(5, 1, -1),)}, "countersink_diameter_mm: -1 mm"),
        ({"holes": (Hole(5, 1, 95),)}, "does not fit"),
        ({"holes": (Hole(5, 1, 40, 60),)}, "take a smaller countersink"),
        ({"holes": (Hole(5, 1, 10, 20),)}, "countersink angle 20°"),
        ({"holes": (Hole(5, depth_mm=25),)}, "more than the thickness"),
        ({"holes": (Hole(5, depth_mm=0),)}, "depth_mm: 0 mm"),
        ({"holes": (Hole(80, 100),)}, "more than the whole face"),
    ],
)
def test_parts_refused(values, said):
    with pytest.raises(BadInput, match=said):
        check_part(changed(SLAT, **values), "cuts.csv")


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"name": "my bench"}, "e.g. my-bench"),
        ({"title": " "}, "title: is empty"),
        ({"begins": dt.datetime(2026, 10, 5)}, "no time zone"),  # noqa: DTZ001
        ({"parts": (SLAT, changed(LEG, name="Slat"))}, "two are called 'Slat': rename one part"),
        ({"batches": (Batch("a", ("slat",), "shed", STEPS),)}, "part 'leg' is in no batch"),
        ({"batches": (Batch("a", ("slat", "lag"), "shed", STEPS),)}, "did you mean 'leg'"),
        (
            {
                "batches": (
                    Batch("a", ("slat", "leg"), "shed", STEPS),
                    Batch("b", ("leg",), "shed", STEPS),
                )
            },
            "part 'leg' is in batch 'a' already",
        ),
        ({"batches": (Batch("a", ("slat", "leg"), "shde", STEPS),)}, "did you mean 'shed'"),
        ({"batches": (Batch("a", ("slat", "leg"), "shed", STEPS, 0.0),)}, "rack_share: 0: give"),
        (
            {"batches": (changed(PROJECT.batches[0], least_loads=0),)},
            "least_loads: 0: give 1 to",
        ),
        ({"batches": (*PROJECT.batches, Batch("b", (), "shed", STEPS))}, "no part is in it"),
        ({"parts": (changed(SLAT, length_mm=9000, width_mm=800), LEG)}, "of the rack in 'shed'"),
        ({"batches": (Batch("a", ("slat", "slat"), "shed", STEPS),)}, "named twice"),
        ({"batches": (Batch("a/b", ("slat", "leg"), "shed", STEPS),)}, "no slash"),
        ({"batches": (Batch("a", ("slat", "leg"), "shed", ()),)}, "it has no steps"),
        ({"batches": (Batch("a", ("slat", "leg"), "shed", STEPS * 2),)}, "rename one step"),
        (
            {"batches": (Batch("a", ("slat", "leg"), "shed", (changed(STEPS[0], coat=-1),)),)},
            "steps 1 .*, coat: coat -1",
        ),
        ({"notes": "x\x07"}, "notes: letter 2"),
    ],
)
def test_projects_refused(values, said):
    with pytest.raises(BadInput, match=said):
        project = changed(PROJECT, **values)
        check_project(project, "bench.toml")
        check_fits(project, WORKSHOP, "bench.toml")


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"zone": "Berlin"}, "zone"),
        ({"spaces": ()}, "no space for wet work"),
        ({"spaces": (SHED, SHED)}, "two are called .shed.: rename one space"),
        ({"safe_quantile": 1.5}, "safe_quantile: 1.5"),
        ({"dust_settles_minutes": -1}, "dust_settles_minutes"),
        ({"spaces": (changed(SHED, rack_area_m2=0),)}, "rack_area_m2: 0 m²"),
        ({"spaces": (changed(SHED, rack_area_m2=math.nan),)}, "rack_area_m2: nan m²"),
    ],
)
def test_workshops_refused(values, said):
    with pytest.raises(BadInput, match=said):
        check_workshop(changed(WORKSHOP, **values))


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"mean_c": (10.0,) * 11}, "mean_c: 11 values"),
        ({"mean_c": (300.0,) * 12}, "mean_c: 300 in month 1"),
        ({"mean_rh_percent": (70.0,) * 11 + (140.0,)}, "mean_rh_percent: 140 in month 12"),
        ({"daily_swing_c": (-1.0,) * 12}, "daily_swing_c"),
    ],
)
def test_air_that_cannot_be(values, said):
    space = changed(SHED, normals=changed(NORMALS, **values))
    with pytest.raises(BadInput, match=said):
        check_workshop(changed(WORKSHOP, spaces=(space,)))


def test_busy_times():
    begin = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)
    from finplan.trade.workshop import Stretch

    person = Person("Ada", (EVENINGS,), busy=(Stretch(begin, begin),))
    with pytest.raises(BadInput, match="not after it begins"):
        check_workshop(changed(WORKSHOP, people=(person,)))


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=DAILY",
        "FREQ=WEEKLY;BYDAY=SA,SU",
        "freq=monthly;byday=1sa",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29",
        "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR",
        "FREQ=WEEKLY;BYDAY=MO;UNTIL=20301231T000000",
        "FREQ=MONTHLY;BYDAY=SA,SU;BYSETPOS=-1",
    ],
)
def test_rules_that_open(rule):
    check_window(WorkWindow(rule, dt.time(9), 120))


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never opens"),
        ("FREQ=DAILY;BYMONTH=2,4;BYMONTHDAY=31,-31", "never opens"),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20000101T000000", "never opens"),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20301231T000000Z", "write a local day"),
        ("FREQ=WEEKLY;BYDAY=XX", "BYDAY=XX: write days"),
        ("FREQ=WEEKLY;BYDAY=", "BYDAY=: write days"),
        ("FREQ=WEEKLY;BYDAY=1MO", "BYDAY=1MO: write days"),
        ("FREQ=SECONDLY", "no recurring rule"),
        ("every saturday", "no recurring rule"),
        ("", "no recurring rule"),
        ("FREQ=DAILY;INTERVAL=0", "INTERVAL=0: give 1 to 9999"),
        ("FREQ=DAILY;COUNT=x", "COUNT=X: give"),
        ("FREQ=DAILY;BYMONTH=13", "BYMONTH=13: give 1 to 12"),
        ("FREQ=DAILY;BYWEEKNO=53", "BYWEEKNO does not go with FREQ=DAILY"),
        ("FREQ=WEEKLY;BYMONTHDAY=3", "BYMONTHDAY does not go with FREQ=WEEKLY"),
        ("FREQ=MONTHLY;BYSETPOS=0", "BYSETPOS=0: give"),
        ("FREQ=MONTHLY;BYSETPOS=2", "add BYDAY or BYMONTHDAY"),
        ("FREQ=DAILY;WKST=XX", "WKST=XX"),
        ("FREQ=DAILY;UNTIL=soon", "UNTIL=SOON"),
        ("FREQ=DAILY;BYHOUR=9", "'BYHOUR' is no part"),
        ("FREQ=DAILY;BYDYA=MO", "did you mean 'BYDAY'"),
        ("FREQ=DAILY\nRRULE:FREQ=DAILY", "no recurring rule"),
        ("FREQ=DAILY;" * 30, "no recurring rule"),
    ],
)
def test_rules_that_do_not(rule, said):
    with pytest.raises(BadInput, match=said):
        check_window(WorkWindow(rule, dt.time(9), 120), "Ada")


@pytest.mark.parametrize("minutes", [0, -5, 1441])
def test_window_lengths(minutes):
    with pytest.raises(BadInput, match="lasts 1 to 1440"):
        check_window(WorkWindow("FREQ=DAILY", dt.time(9), minutes))


def test_faces_by_name():
    assert faces_of(["Top", "left_edge"]) == {Face.TOP, Face.LEFT_EDGE}
    with pytest.raises(BadInput, match="did you mean 'bottom'"):
        faces_of(["botom"])
