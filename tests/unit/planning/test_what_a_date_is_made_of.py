"""The date no plan can beat, taken apart: drying, work, and what is waited for between them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from finplan.air.series import AirSeries, constant
from finplan.planning.bound import alone, lower_bound
from finplan.planning.build import build
from finplan.planning.hours import SLOT_S
from finplan.planning.make import make_plan
from finplan.planning.path import Path, in_words, path_of
from tests.benchmarks.shops_at_work import days_ahead
from tests.benchmarks.shops_at_work import shop as invented_shop
from tests.unit.planning.shops import (
    ALL_HOURS,
    EVENINGS,
    NOW,
    bench,
    project,
    request,
    workshop,
)
from tests.unit.planning.test_forward_plans import facts_until

NOW_S = int(NOW.timestamp())
DAY_S = 86400


def path_in(asked):
    network = build(asked, 240).network
    early = alone(network)
    now_s = int(asked.now.timestamp())
    ready_s = max(early.ends[node] for each in network.finals for node in each)
    return path_of(network, early, now_s), ready_s - now_s


def whole(path):
    return path.drying + path.work + path.hours + path.air + path.held


@pytest.mark.parametrize("seed", range(12))
def test_the_parts_make_up_all_the_time_until_the_bound(seed):
    asked = invented_shop(1 + seed % 3, seed, "hobby")
    network = build(asked, days_ahead(3)).network
    early = alone(network)
    now_s = int(asked.now.timestamp())
    path = path_of(network, early, now_s)
    assert whole(path) == max(early.ends[n] for each in network.finals for n in each) - now_s
    assert min(path.drying, path.work, path.hours, path.air, path.held) >= 0


def test_with_all_hours_open_nothing_but_drying_and_work_is_left():
    path, total = path_in(request(shop=workshop(ALL_HOURS), air=constant(21.0, 50.0)))
    assert path.held == path.air == 0
    assert path.hours < 5 * SLOT_S  # work begins on the quarter hour
    assert path.drying > 5 * DAY_S
    assert whole(path) == total


def test_evenings_too_short_for_a_coat_are_no_drying():
    many = request(project(parts=(bench(40),)), shop=workshop(EVENINGS, 20.0))
    path, total = path_in(many)
    free, _ = path_in(replace(many, workshop=workshop(ALL_HOURS, 20.0)))
    assert path.hours > 5 * DAY_S
    assert path.drying < 1.5 * free.drying
    assert whole(path) == total


def test_cold_air_and_a_late_begin_are_told_apart():
    hours = NOW.timestamp() + 3600.0 * np.arange(-240, 24 * 240)
    fit = NOW.timestamp() + 10 * DAY_S
    cold = AirSeries(
        hours,
        np.where(hours < fit, 3.0, 20.0),
        np.full(len(hours), 50.0),
        np.zeros(len(hours), np.uint8),
    )
    path, _ = path_in(request(shop=workshop(ALL_HOURS), air=cold))
    assert path.air > 8 * DAY_S
    begins = NOW + dt.timedelta(days=5)
    path, total = path_in(request(project(begins=begins), shop=workshop(ALL_HOURS)))
    assert path.held == 5 * DAY_S
    assert whole(path) == total


def test_what_is_done_is_no_part_of_it():
    asked = request(shop=workshop(ALL_HOURS))
    plan = make_plan(asked)
    coat = next(step for step in plan.steps if step.step == "coat-4")
    done = replace(asked, progress={"bench": facts_until(plan, "coat-4")}, now=coat.end)
    path, total = path_in(done)
    assert whole(path) == total
    assert path.work < path_in(asked)[0].work


def test_the_plan_says_what_its_date_is_made_of():
    asked = request(project(parts=(bench(40),)), shop=workshop(EVENINGS, 20.0))
    assert lower_bound(build(asked, 240).network).by == "drying path"
    said = make_plan(asked).bound_said
    assert said.startswith("the drying alone takes")
    assert "waiting for work hours it fits into" in said


def test_in_words():
    assert in_words(Path(0, drying=9 * DAY_S), "") == "the drying alone takes 9 days"
    assert in_words(Path(0, work=7200, hours=DAY_S), "door") == (
        "of door the work takes 2 h and waiting for work hours it fits into 1 day"
    )
    assert in_words(Path(0, drying=DAY_S, work=900, air=DAY_S, held=60), "") == (
        "the drying alone takes 1 day, the work 15 min and waiting for air good enough 1 day"
    )
    assert in_words(Path(0), "") == "there is nothing left to wait for"
