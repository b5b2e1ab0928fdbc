"""The chance to be ready by a date, and how often work days are missed."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import numpy as np
import pytest

from finplan.air.climate import normals_series
from finplan.air.series import AirSeries, constant
from finplan.drying.bands import Band
from finplan.journal.entries import Entry, EntryKind
from finplan.journal.progress import Done, Progress
from finplan.planning.build import build
from finplan.planning.chance import Way, chances, chances_of_each, ready_in
from finplan.planning.chance_words import of_ten, season
from finplan.planning.make import make_plan
from finplan.planning.missed import PRIOR_SHARE, Missed, missed_days
from finplan.planning.request import NoPlan
from finplan.trade.workshop import MonthlyNormals, WorkWindow
from tests.benchmarks.shops_at_work import shop as invented_shop
from tests.unit.planning.shops import (
    ALL_HOURS,
    EVENINGS,
    NORMALS,
    NOW,
    batch,
    bench,
    project,
    request,
    workshop,
)
from tests.unit.planning.test_forward_plans import by_key, facts_until

HOUR = dt.timedelta(hours=1)
DAY = dt.timedelta(days=1)
NEVER_MISSED = Missed(0, 10**9)
OFTEN_MISSED = Missed(10**6, 10**6)


@pytest.fixture
def habit(monkeypatch):
    """A function that fixes how often work days are missed."""

    def fixed(missed):
        monkeypatch.setattr("finplan.planning.worlds.missed_days", lambda _: missed)

    return fixed


def asked_with(windows=ALL_HOURS, **more):
    asked = request(shop=workshop(windows), **more)
    return asked, make_plan(asked)


def ready(plan):
    return plan.ready[0].safe


def sure(asked):
    """The request with no doubt about drying: the book's likely times, for certain."""
    bands = {
        (name, space): Band(1.0, 1e-9, 0.0, 0.0) for name in asked.finishes for space in asked.air
    }
    return replace(asked, bands=bands)


def test_with_nothing_in_doubt_every_run_is_the_plan_on_likely_times(habit):
    habit(NEVER_MISSED)
    asked, plan = asked_with(EVENINGS)
    likely = make_plan(replace(sure(asked), workshop=replace(asked.workshop, safe_quantile=0.5)))
    found = chances(sure(asked), plan, runs=10)
    assert set(found.ready_s["bench"]) == {ready(likely).timestamp()}


def test_the_chance_rises_with_the_date_and_repeats_with_the_seed(habit):
    habit(NEVER_MISSED)
    asked, plan = asked_with()
    found = chances(asked, plan, runs=60, seed=3)
    again = chances(asked, plan, runs=60, seed=3)
    other = chances(asked, plan, runs=60, seed=4)
    assert np.array_equal(found.ready_s["bench"], again.ready_s["bench"])
    assert not np.array_equal(found.ready_s["bench"], other.ready_s["bench"])
    early, middle, late = (found.ready("bench", share) for share in (0.1, 0.5, 0.9))
    assert early < middle < late
    assert found.share("bench", early - DAY) < 0.1
    # Safe is meant to hold four times in five; all coats of a finish share one draw.
    assert 0.65 <= found.share("bench", ready(plan)) <= 0.95


def test_plans_looked_at_together_come_out_as_each_by_itself(habit):
    habit(OFTEN_MISSED)
    asked, plan = asked_with(EVENINGS)
    put_off = tuple(replace(one, begins=NOW + 20 * DAY) for one in asked.projects)
    late = replace(asked, projects=put_off)
    late_plan = make_plan(late)
    soon, later = chances_of_each([(asked, plan), (late, late_plan)], runs=12, seed=5)
    for own, each in ((soon, (asked, plan)), (later, (late, late_plan))):
        alone = chances(*each, runs=12, seed=5)
        assert np.array_equal(own.ready_s["bench"], alone.ready_s["bench"])
    assert np.all(later.ready_s["bench"] > soon.ready_s["bench"])


def test_every_run_is_later_or_as_soon_when_days_are_missed(habit):
    asked, plan = asked_with(EVENINGS)
    habit(NEVER_MISSED)
    kept = chances(asked, plan, runs=30).ready_s["bench"]
    habit(OFTEN_MISSED)
    missed = chances(asked, plan, runs=30).ready_s["bench"]
    assert np.all(missed >= kept)
    assert missed.mean() > kept.mean() + 2 * 86400


def test_the_draws_of_one_finish_do_not_depend_on_what_else_is_asked(habit):
    habit(NEVER_MISSED)
    warm, plan = asked_with()
    cold = replace(warm, air={name: constant(15.0, 50.0) for name in warm.air})
    slower = chances(cold, make_plan(cold), runs=30).ready_s["bench"]
    assert np.all(slower > chances(warm, plan, runs=30).ready_s["bench"])


def test_the_weather_strays_only_where_nothing_is_known(habit):
    habit(NEVER_MISSED)
    asked, plan = asked_with()
    same = chances(sure(asked), plan, runs=12).ready_s["bench"]
    assert len(set(same)) == 1
    begin, end = (NOW - 20 * DAY).timestamp(), (NOW + 400 * DAY).timestamp()
    normals = normals_series(NORMALS, "Europe/Oslo", begin, end)
    unsure = replace(sure(asked), air=dict.fromkeys(asked.air, normals))
    assert len(set(chances(unsure, make_plan(unsure), runs=12).ready_s["bench"])) > 6


def test_years_that_were_read_stand_for_the_weather(habit):
    habit(NEVER_MISSED)
    begin, end = (NOW - 20 * DAY).timestamp(), (NOW + 400 * DAY).timestamp()
    normals = normals_series(NORMALS, "Europe/Oslo", begin, end)
    asked = sure(request(shop=workshop(ALL_HOURS)))
    asked = replace(asked, air=dict.fromkeys(asked.air, normals))
    at_s = (NOW - 5 * 366 * DAY).timestamp() + 3600.0 * np.arange(24 * 366 * 5)
    year = ((NOW.timestamp() - at_s) // (365.25 * 86400)).astype(int)
    read = AirSeries(
        at_s, 14.0 + 2.0 * year, np.full(len(at_s), 55.0), np.zeros(len(at_s), np.uint8)
    )
    found = chances(asked, make_plan(asked), {"shed": read}, runs=40)
    assert found.years == 5
    assert 2 <= len(set(found.ready_s["bench"])) <= 5


def test_no_run_that_ends_is_no_plan(habit):
    habit(NEVER_MISSED)
    asked, plan = asked_with()
    never = replace(asked, air={name: constant(-5.0, 50.0) for name in asked.air})
    with pytest.raises(NoPlan, match="no run leads to a plan"):
        chances(never, plan, runs=3)


def test_without_a_journal_one_day_in_ten_is_taken_as_missed():
    nothing = missed_days(request(shop=workshop(EVENINGS)))
    assert nothing == Missed(0, 0)
    assert nothing.share == pytest.approx(PRIOR_SHARE)
    assert nothing.say().startswith("assumption")


def shop_that_began(worked, now):
    """Sanding put off from evening to evening: what was recorded, and the hour it is."""
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(asked)
    done = {}
    for step, day in zip(plan.steps, worked, strict=False):
        start = NOW + day * DAY + 11 * HOUR
        entry = Entry(uuid.UUID(int=9), "bench", EntryKind.STEP_DONE, start, start)
        done[(step.batch, step.load, step.step)] = Done(start, start + HOUR, False, entry)
    return replace(asked, progress={"bench": Progress(done=done, loads={"slats": 1})}, now=now)


def test_evenings_without_a_record_count_as_missed():
    # Monday and Thursday worked, Tuesday and Wednesday let go, now Friday morning.
    seen = missed_days(shop_that_began((0, 3), NOW + 4 * DAY))
    assert seen == Missed(2, 2)
    assert PRIOR_SHARE < seen.share < 0.5
    assert "2 of 4 work days missed so far" in seen.say()


def test_days_without_work_hours_or_with_a_coat_still_wet_are_not_missed():
    # Friday and Monday worked: Saturday has hours, Sunday has none.
    assert missed_days(shop_that_began((4, 7), NOW + 8 * DAY)) == Missed(1, 2)
    asked = request(shop=workshop((WorkWindow("FREQ=DAILY", dt.time(18), 180),)))
    plan = make_plan(asked)
    facts = facts_until(plan, "coat-2")
    second = by_key(plan, "coat-2")
    now = second.end + HOUR
    assert missed_days(replace(asked, progress={"bench": facts}, now=now)).missed == 0


def test_words_never_promise_more_than_was_found():
    assert [of_ten(share) for share in (0.0, 0.02, 0.1, 0.84, 0.96, 1.0)] == [
        "none of 10",
        "fewer than 1 of 10",
        "1 of 10",
        "8 of 10",
        "more than 9 of 10",
        "10 of 10",
    ]


@pytest.mark.parametrize(
    ("january", "july", "said"), [(0, 18, "autumns"), (18, 6, "springs"), (9, 10, "years")]
)
def test_the_season_is_that_of_the_room(january, july, said):
    mean = (january, *(9.0,) * 5, july, *(9.0,) * 5)
    normals = MonthlyNormals(mean, (5.0,) * 12, (60.0,) * 12, "invented")
    assert season(dt.date(2026, 10, 20), normals) == said


@pytest.mark.parametrize("hours", ["hobby", "shop"])
@pytest.mark.parametrize("batches", [1, 2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_a_plan_carried_out_in_the_world_it_was_made_for_is_ready_when_planned(
    hours, batches, seed
):
    asked = invented_shop(batches, seed, hours)
    plan = make_plan(asked)
    (ready_s,) = ready_in(build(asked, 300), Way({}, plan))
    assert ready_s <= plan.ready[0].safe.timestamp()


def test_split_work_takes_the_hours_that_others_leave():
    """A plan with a step in two pieces is not held up by the first piece taking the second's."""
    two = project(
        batch("slats", parts=("slat",)), batch("frame", parts=("leg",)),
        parts=(bench(42), replace(bench(8), name="leg")), assembled_together=False,
    )  # fmt: skip
    asked = request(two, shop=workshop(EVENINGS, 20.0))
    plan = make_plan(asked)
    assert any(len(step.pieces) > 1 for step in plan.steps)
    (ready_s,) = ready_in(build(asked, 300), Way({}, plan))
    assert ready_s <= plan.ready[0].safe.timestamp()
