"""Pictures of a plan and of a drying coat: what is in them, the same bytes twice, odd names."""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.air.series import constant
from finplan.drying.clock import clock_for
from finplan.library.load import finishes
from finplan.planning.make import make_plan
from finplan.prints.drying_chart import DryingPicture, drying_chart
from finplan.prints.figures import Kind, kind_of
from finplan.prints.plan_chart import PlanPicture, plan_chart
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.quantities import Units
from finplan.trade.steps import StepKind
from tests.unit.planning.shops import EVENINGS, NOW, batch, project, request, workshop

ZONE = ZoneInfo("Europe/Oslo")
AIR = constant(15.0, 60.0)


@pytest.fixture(scope="module")
def plan():
    made = project(batch(), batch("legs", "varnished door"))
    return make_plan(request(made, shop=workshop(EVENINGS), air=AIR))


def texts(svg):
    return [
        "".join(node.itertext())
        for node in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    ]


def picture(plan, title="Bench", **more):
    return PlanPicture(plan, {"bench": title}, ZONE, {"shed": AIR}, **more)


def test_every_coat_of_the_plan_is_a_numbered_disc(plan):
    said = texts(plan_chart(picture(plan), Kind.SVG))
    for step in plan.steps:
        if step.kind is StepKind.COAT:
            letter = {"all": "", "first": "a", "second": "b"}[step.side.value]
            assert f"{step.coat}{letter}" in said
    coats = [step for step in plan.steps if step.kind is StepKind.COAT]
    numbers = {f"{n}{side}" for n in range(1, 5) for side in ("", "a", "b")}
    assert sum(text in numbers for text in said) == len(coats)


def test_the_ready_date_is_the_plan_s_safe_one(plan):
    safe = plan.ready[0].safe.astimezone(ZONE)
    wanted = f"ready {safe:%a} {safe.day} {safe:%b} {safe:%H:%M}"
    assert any(text.startswith(wanted) for text in texts(plan_chart(picture(plan), Kind.SVG)))


def test_the_same_plan_gives_the_same_bytes(plan):
    for kind in Kind:
        assert plan_chart(picture(plan), kind) == plan_chart(picture(plan), kind)


def test_a_png_is_a_png(plan):
    assert plan_chart(picture(plan), Kind.PNG).startswith(b"\x89PNG\r\n\x1a\n")


@pytest.mark.parametrize("title", ["50 $ & 20 $ <b>bench</b>", "\\frac{1}{", "長椅子", "x" * 5000])
def test_odd_titles_stay_text(plan, title):
    svg = plan_chart(picture(plan, title), Kind.SVG)
    said = texts(svg)
    assert any(text.startswith(title[:40]) for text in said)


def test_fahrenheit_is_drawn_where_asked(plan):
    metric = texts(plan_chart(picture(plan), Kind.SVG))
    imperial = texts(plan_chart(picture(plan, units=Units.IMPERIAL), Kind.SVG))
    assert "°C" in metric and "°F" in imperial and "°C" not in imperial


def test_a_picture_is_svg_or_png():
    assert kind_of("plan.SVG") is Kind.SVG
    with pytest.raises(BadInput, match=r"\.svg or \.png"):
        kind_of("plan.jpg")


def drying(finish="penetrating oil", stage=Stage.DRY_TO_RECOAT):
    clock = clock_for(finishes()[finish], AIR)
    return DryingPicture("Coat 1", clock, "shed", NOW, NOW + dt.timedelta(hours=9), ZONE, stage)


def test_the_drying_curve_names_both_times_and_the_stages_before():
    said = texts(drying_chart(drying(), Kind.SVG))
    clock = drying().clock
    for instant_s in (
        clock.likely(NOW.timestamp(), Stage.DRY_TO_RECOAT),
        clock.ready(NOW.timestamp(), Stage.DRY_TO_RECOAT),
    ):
        local = dt.datetime.fromtimestamp(instant_s, ZONE)
        assert any(f"{local.day} {local:%b} {local:%H:%M}" in text for text in said)
    assert {"set-to-touch", "dust-free", "tack-free", "dry-to-handle"} <= set(said)
    assert " now" in said


def test_no_curve_where_the_stage_never_comes():
    frozen = DryingPicture(
        "Coat 1",
        clock_for(finishes()["penetrating oil"], constant(-5.0, 60.0)),
        "shed",
        NOW,
        NOW,
        ZONE,
    )
    with pytest.raises(BadInput, match="not dry-to-recoat"):
        drying_chart(frozen, Kind.SVG)


def test_dates_never_run_into_one_another_however_long_the_plan(plan):
    far = replace(plan, now=NOW + dt.timedelta(days=400))
    for shown in (plan, far):
        said = texts(plan_chart(picture(shown), Kind.SVG))
        dates = [text for text in said if re.fullmatch(r"Mon \d+ [A-Z][a-z]{2}", text)]
        assert 2 <= len(dates) <= 20  # under the rows, and under the air
