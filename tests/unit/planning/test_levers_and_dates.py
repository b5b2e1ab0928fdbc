"""Levers, and plans backwards from a date."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from finplan.air.adjust import fan, warmer
from finplan.air.series import constant
from finplan.library.load import finishes, templates
from finplan.planning.check import faults
from finplan.planning.hindered import why_too_late
from finplan.planning.lever_finishes import other_finishes
from finplan.planning.levers import levers, on_points, untried_in_words
from finplan.planning.make import make_plan
from finplan.planning.otherwise import ready_last_first
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.steps import Side, StepKind
from tests.unit.planning.shops import (
    EVENINGS,
    NOW,
    SATURDAYS,
    batch,
    bench,
    project,
    request,
    workshop,
)
from tests.unit.planning.test_forward_plans import facts_until

HOUR = dt.timedelta(hours=1)


def ready(plan):
    return max(one.safe for one in plan.ready)


def pulled_on(asked, templates=None):
    return levers(asked, make_plan(asked), templates).levers


def test_warmth_is_the_lever_in_a_cold_shed():
    asked = request(air=constant(12.0, 60.0), shop=workshop(EVENINGS))
    pulled = pulled_on(asked)
    gains = {lever.name: lever.gain for lever in pulled}
    assert gains["warmth in shed"] > dt.timedelta(days=3)
    assert gains["rack"] == dt.timedelta(0)
    assert [lever.gain for lever in pulled] == sorted(gains.values(), reverse=True)


def test_each_gain_is_what_planning_again_gives():
    asked = request(air=constant(15.0, 60.0), shop=workshop(EVENINGS))
    warm = next(lever for lever in pulled_on(asked) if lever.name == "warmth in shed")
    air = {name: warmer(air, 5.0) for name, air in asked.air.items()}
    again = make_plan(replace(asked, air=air))
    assert warm.ready == ready(again)
    assert warm.gain == ready(make_plan(asked)) - ready(again)


def test_points_spare_the_turning():
    steps = on_points(batch(template="varnished door").steps)
    assert not [step for step in steps if step.kind is StepKind.TURN]
    assert {step.side for step in steps if step.kind is StepKind.COAT} == {Side.ALL}
    door = request(project(batch(template="varnished door")), shop=workshop(EVENINGS))
    assert any(
        lever.name == "points under slats" and lever.gain > 24 * HOUR for lever in pulled_on(door)
    )


def test_smaller_loads_let_a_coat_fit_an_evening():
    windows = (*EVENINGS, *SATURDAYS)
    many = request(project(batch(), parts=(bench(40),)), shop=workshop(windows, 20.0))
    gain = next(one.gain for one in pulled_on(many) if one.about == "slats in 2 loads")
    assert gain > 24 * HOUR
    cut = replace(batch(), least_loads=2)
    again = make_plan(request(project(cut, parts=(bench(40),)), shop=workshop(windows, 20.0)))
    assert gain == ready(make_plan(many)) - ready(again)


def test_warming_keeps_the_water_in_the_air():
    warm = warmer(constant(10.0, 80.0), 5.0)
    assert warm.temperature_c[0] == 15.0
    assert warm.humidity_percent[0] == pytest.approx(80 * 1228.0 / 1705.4, rel=0.005)


def test_a_date_puts_the_start_off_and_tells_the_days_to_spare():
    asked = request(shop=workshop(EVENINGS))
    soon = make_plan(asked)
    by = ready(soon).date() + dt.timedelta(days=12)
    plan = make_plan(replace(asked, ready_by=by))
    assert faults(asked, plan) == []
    assert ready(plan).date() <= by
    assert plan.steps[0].start > soon.steps[0].start + dt.timedelta(days=8)
    assert "days to spare; begun a day after that it is ready" in plan.deadline.said
    assert f"To be safely ready by {by:%a} {by.day} {by:%b %Y} work" in plan.deadline.said
    begins = asked.now + dt.timedelta(days=plan.deadline.spare_days + 1)
    day_later = make_plan(replace(asked, projects=(replace(asked.projects[0], begins=begins),)))
    assert ready(day_later).date() > by
    assert say_moment(ready(day_later), "Europe/Oslo") in plan.deadline.said


@pytest.mark.parametrize("hour", [6, 18])
def test_begun_on_the_day_after_the_last_it_is_too_late(hour):
    made = project(parts=(bench(12),))
    asked = request(made, now=NOW.replace(hour=hour), shop=workshop(EVENINGS))
    zone = ZoneInfo("Europe/Oslo")
    first = ready(make_plan(asked)).astimezone(zone).date()
    for by in (first + dt.timedelta(days=days) for days in range(7)):
        deadline = make_plan(replace(asked, ready_by=by)).deadline
        assert deadline.met
        begin = deadline.begin.astimezone(zone)
        in_time = make_plan(replace(asked, now=max(asked.now, deadline.begin)))
        assert ready(in_time).astimezone(zone).date() <= by
        midnight = dt.datetime.combine(begin.date() + dt.timedelta(days=1), dt.time(), zone)
        assert ready(make_plan(replace(asked, now=midnight))).astimezone(zone).date() > by


def test_a_date_gone_by_is_refused():
    with pytest.raises(BadInput, match="Fri 2 Oct 2026 is past"):
        make_plan(request(ready_by=dt.date(2026, 10, 2)))


def test_a_date_that_cannot_be_kept_is_said():
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(replace(asked, ready_by=dt.date(2026, 10, 9)))
    assert plan.deadline.said.startswith("It cannot be safely ready by Fri 9 Oct 2026")
    assert ready(plan) == ready(make_plan(asked))


def test_a_fan_from_a_warm_room_gains_what_the_mixed_air_gives():
    cold, warm = constant(12.0, 60.0), constant(24.0, 40.0)
    asked = replace(request(shop=workshop(EVENINGS)), air={"shed": cold, "loft": warm})
    lever = next(one for one in pulled_on(asked) if one.name == "fan into shed")
    assert lever.about == "a fan that blows air from loft into shed, half and half"
    mixed = replace(asked, air={"shed": fan(cold, warm), "loft": warm})
    assert lever.ready == ready(make_plan(mixed))
    assert lever.gain > 24 * HOUR
    same = replace(asked, air={"shed": cold, "loft": cold})
    still = next(one for one in pulled_on(same) if one.name == "fan into shed")
    assert still.gain == dt.timedelta(0)


def test_more_hours_rack_or_rooms_never_come_out_as_a_loss():
    parts = (bench(12), replace(bench(5), name="leg"))
    batches = (batch("slats"), batch("legs", "varnished door", ("leg",)))
    asked = request(project(*batches, parts=parts), shop=workshop(EVENINGS, 1.2))
    gains = {one.name: one.gain for one in pulled_on(asked)}
    for name in ("rack", "sanding elsewhere", "a helper", "one more session a week"):
        assert gains[name] >= dt.timedelta(0), name


@pytest.fixture
def quick_and_slow():
    parts = (bench(6), replace(bench(6), name="leg"))
    batches = (batch("quick", "shellac box"), batch("slow", "varnished door", ("leg",)))
    made = project(*batches, parts=parts, assembled_together=False)
    return request(made, shop=workshop(EVENINGS))


def test_levers_cut_short_say_so_and_begin_with_the_shop_and_the_batch_ready_last(
    quick_and_slow, hurried
):
    plan = make_plan(quick_and_slow)
    full = levers(quick_and_slow, plan, templates())
    assert full.untried == ()
    assert untried_in_words(full) == ""
    order = [one.name for _, one in ready_last_first(quick_and_slow, plan)]
    assert order == ["slow", "quick"]
    of_the_shop = [one for one in full.levers if not one.name.endswith(("slow", "quick"))]
    tried = len(of_the_shop) + 3
    hurried(tried)
    cut = levers(quick_and_slow, plan, templates())
    assert cut == levers(quick_and_slow, plan, templates())
    assert set(of_the_shop) < set(cut.levers) < set(full.levers)
    assert not any(one.name.endswith("quick") for one in cut.levers)
    assert any(one.name == "points under slow" for one in cut.levers)
    said = untried_in_words(cut)
    assert f"not every lever was pulled: {len(cut.untried)} were not" in said
    assert "quick in 2 loads" in cut.untried


def test_levers_not_asked_for_are_not_planned(quick_and_slow, hurried):
    plan = make_plan(quick_and_slow)
    full = levers(quick_and_slow, plan, templates())
    wanted = {one for one in full.levers if one.name.startswith(("points", "finish"))}
    others = tuple({one.name.split(" ")[0] for one in full.levers} - {"points", "finish"})
    some = levers(quick_and_slow, plan, templates(), passed_over=others)
    assert set(some.levers) == wanted
    hurried(1)
    assert len(levers(quick_and_slow, plan, templates(), passed_over=others).untried) > 1


def test_what_to_drop_cut_short_says_so_and_still_tries_all_of_it_together(quick_and_slow, hurried):
    by = (ready(make_plan(quick_and_slow)) - dt.timedelta(days=1)).date()
    far = NOW.date() + dt.timedelta(days=2)
    full = why_too_late(quick_and_slow, by, templates())
    assert full.all_drops_tried
    assert full.drops
    hurried(2)
    cut = why_too_late(quick_and_slow, far, templates())
    assert not cut.all_drops_tried
    assert cut == why_too_late(quick_and_slow, far, templates())
    hurried(1)
    one_by_one = why_too_late(quick_and_slow, far).closest
    assert one_by_one.about == "all that can be left out, together"


def test_another_finish_comes_with_its_own_steps_and_cost():
    known = finishes()
    priced = {
        **known,
        "penetrating oil": replace(known["penetrating oil"], price_per_l=20.0),
        "spar varnish": replace(known["spar varnish"], price_per_l=40.0),
    }
    asked = replace(request(shop=workshop(EVENINGS)), finishes=priced)
    assert not any(one.name == "finish on slats" for one in pulled_on(asked))
    lever = next(one for one in pulled_on(asked, templates()) if one.name == "finish on slats")
    assert "instead of" in lever.about
    assert "coats as is usual for it" in lever.about
    varnish = next(
        one
        for one in other_finishes(asked, asked.projects[0].batches[0], templates())
        if one.finish.name == "spar varnish"
    )
    kinds = [step.kind for step in varnish.steps]
    assert StepKind.WIPE_OFF not in kinds
    assert StepKind.TURN not in kinds
    cost = varnish.cost(asked.projects[0], asked.projects[0].batches[0])
    dearer = replace(varnish, finish=replace(varnish.finish, price_per_l=50.0))
    assert dearer.cost(asked.projects[0], asked.projects[0].batches[0]) > cost


def test_an_indoor_finish_never_stands_in_outdoors():
    outdoors = batch()
    asked = request(project(outdoors))
    found = list(other_finishes(asked, outdoors, templates()))
    assert found
    assert all(one.finish.outdoors for one in found)


def beside_a_long_one():
    """A small bench, and beside it a bench whose sanding fills the evenings of many weeks."""
    long = project(batch(), name="aaa", parts=(bench(60),))
    short = project(batch(), name="short", parts=(bench(2),))
    return request(long, short, shop=workshop(EVENINGS, 30.0))


def test_a_date_of_one_project_does_not_wait_for_the_others():
    asked = beside_a_long_one()
    together = {one.project: one.safe for one in make_plan(asked).ready}
    by = together["short"].date() + dt.timedelta(days=1)
    assert together["aaa"].date() > by
    plan = make_plan(replace(asked, ready_by=by, dated=("short",)))
    assert plan.deadline.met
    assert faults(asked, plan) == []
    assert next(one.safe for one in plan.ready if one.project == "short").date() <= by
    assert not make_plan(replace(asked, ready_by=by)).deadline.met


def test_what_a_date_is_of_goes_before_the_others():
    asked = beside_a_long_one()
    alone = ready(make_plan(request(asked.projects[1], shop=asked.workshop)))
    assert next(one.safe for one in make_plan(asked).ready if one.project == "short") > alone
    plan = make_plan(replace(asked, ready_by=alone.date(), dated=("short",)))
    assert plan.deadline.met
    assert next(one.safe for one in plan.ready if one.project == "short") == alone
    late = why_too_late(
        replace(asked, dated=("short",)), alone.date() - dt.timedelta(days=2), templates()
    )
    assert late.ready == alone


def test_a_date_of_work_that_has_begun_puts_nothing_off():
    asked = request(shop=workshop(EVENINGS))
    first = make_plan(asked).steps[0]
    begun = facts_until(make_plan(asked), first.step)
    by = NOW.date() + dt.timedelta(days=90)
    plan = make_plan(replace(asked, progress={"bench": begun}, now=first.end, ready_by=by))
    assert (plan.deadline.met, plan.deadline.spare_days) == (True, 0)
    assert "nothing is put off" in plan.deadline.said
