"""A new plan keeps what it can of the plan before."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

from finplan.journal.progress import Progress
from finplan.planning.changes import changes
from finplan.planning.check import faults
from finplan.planning.kept import kept
from finplan.planning.make import make_plan
from finplan.trade.plain import from_json, to_json
from tests.unit.planning.shops import EVENINGS, batch, bench, project, request, workshop
from tests.unit.planning.test_forward_plans import by_key, done_fact

OSLO = ZoneInfo("Europe/Oslo")
HOUR = dt.timedelta(hours=1)
DAY = dt.timedelta(days=1)


def two_batches(**more):
    parts = (bench(6), replace(bench(6), name="leg"))
    made = project(batch("slats"), batch("legs", "varnished door", ("leg",)), parts=parts)
    return request(made, shop=workshop(EVENINGS, 8.0), **more)


def after_facts(asked, plan, until, late=dt.timedelta(0)):
    """The request once all that ends by ``until`` is done, the last step of it late."""
    steps = [step for step in plan.steps if step.end <= until]
    done = {(step.batch, step.load, step.step): done_fact(step) for step in steps}
    key = max(done, key=lambda one: done[one].ended)
    done[key] = replace(done[key], started=done[key].started + late, ended=done[key].ended + late)
    facts = Progress(done=done, loads={step.batch: step.loads for step in plan.steps})
    return replace(asked, progress={"bench": facts}, now=done[key].ended)


def open_hours(plan):
    return {step.id: step.start for step in plan.steps if not step.done}


def test_done_as_planned_nothing_moves():
    asked = two_batches()
    plan = make_plan(asked)
    later = after_facts(asked, plan, by_key(plan, "coat-1").end)
    again = make_plan(replace(later, before=kept(plan)))
    assert changes(kept(plan), again, OSLO) == ()


def test_a_late_coat_moves_its_own_load_and_leaves_the_other():
    asked = two_batches()
    plan = make_plan(asked)
    coat = by_key(plan, "coat-1")
    later = after_facts(asked, plan, coat.end, late=50 * HOUR)
    again = make_plan(replace(later, before=kept(plan)))
    assert faults(later, again) == []
    was, now = open_hours(plan), open_hours(again)
    other = [one for one in now if "/legs/" in one and was[one] >= later.now + DAY]
    kept_hours = sum(now[one] == was[one] for one in other)
    fresh = open_hours(make_plan(later))
    assert kept_hours >= sum(fresh[one] == was[one] for one in other)
    told = [
        one for one in changes(kept(plan), again, OSLO) if one.step == by_key(again, "coat-2").id
    ]
    assert "because “Coat 1" in told[0].sentence
    assert "later" in told[0].because


def test_a_plan_found_by_a_longer_search_is_not_lost():
    asked = two_batches()
    fresh = make_plan(asked)
    searched = make_plan(replace(asked, seconds=2.0, workers=1))
    again = make_plan(replace(asked, before=kept(searched)))
    assert again.ready == searched.ready
    if searched.ready != fresh.ready:
        assert open_hours(again) == open_hours(searched)


def test_an_evening_gone_by_without_a_record_is_the_reason():
    asked = two_batches()
    plan = make_plan(asked)
    first = plan.steps[0]
    again = make_plan(replace(asked, now=first.start + 12 * HOUR, before=kept(plan)))
    told = changes(kept(plan), again, OSLO)
    assert any(one.because == "nothing is recorded of it" for one in told)


def test_a_kept_plan_survives_the_store():
    short = replace(kept(make_plan(two_batches())), moved=("a sentence.",))
    assert from_json(type(short), to_json(short), "plan") == short
