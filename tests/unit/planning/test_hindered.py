"""Why there is no plan, or none by a date: what is named, and that every way out leads out."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from finplan.air.adjust import heater
from finplan.air.series import AirSeries, constant
from finplan.journal.progress import Progress
from finplan.library.load import templates
from finplan.planning.check import faults
from finplan.planning.dress import MISSED
from finplan.planning.hindered import (
    Hindrance,
    in_full,
    in_words,
    together,
    untried,
    why_no_plan,
    why_too_late,
    why_window_missed,
)
from finplan.planning.hours import SLOT_S
from finplan.planning.make import make_plan
from finplan.planning.obstacles import Trial, any_plan, obstacles, steps_in
from finplan.planning.otherwise import fewer_coats, scuffed_if_late, with_batch
from finplan.planning.request import NoPlan
from finplan.planning.restrictions import Kind, Restriction
from finplan.planning.ways_out import Way
from finplan.trade.quantities import Units
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, WorkWindow
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

HOUR = dt.timedelta(hours=1)
OSLO = ZoneInfo("Europe/Oslo")


def starts_at(step_id):
    """Wanted is that a step starts when somebody wished it."""

    def kept(built, found):
        index = next(at for at, node in enumerate(built.network.nodes) if node.id == step_id)
        wish_s, place = built.network.nodes[index].wish_s, found.layout.placed.get(index)
        if wish_s is None or place is None:
            return False
        return abs(built.network.axis.starts[place.slots[0]] - wish_s) < SLOT_S

    return kept


def daily(minutes: int, **more) -> tuple[Person, ...]:
    return (Person("Ada", (WorkWindow("FREQ=DAILY", dt.time(18), minutes),), **more),)


def reasons(hindrances):
    return [[(one.kind, one.subject) for one in each.reasons] for each in hindrances]


def abouts(hindrance):
    return [way.about for way in hindrance.ways]


def test_a_coat_too_long_for_every_session_is_freed_by_longer_ones_or_smaller_loads():
    asked = request(project(parts=(bench(6),)), shop=workshop(people=daily(60)))
    (found,) = why_no_plan(asked)
    assert reasons([found]) == [[(Kind.HOURS, "Ada")]]
    assert "takes 1 h 15 min at a stretch with its wiping" in found.fact
    assert "no work window of Ada is longer than 1 h" in found.fact
    assert abouts(found) == ["each session of Ada 15 min longer", "slats in 2 loads"]
    longer = replace(asked, workshop=workshop(people=daily(75)))
    assert max(one.safe for one in make_plan(longer).ready) == found.ways[0].ready


def test_a_shed_that_stays_cold_is_freed_by_the_least_heat_that_does():
    asked = request(air=constant(2.0, 60.0))
    (found,) = why_no_plan(asked)
    assert reasons([found]) == [[(Kind.COLD, "shed")]]
    assert found.reasons[0].said == "shed stays under 5 °C in all of the next 365 days"
    assert "shed heated to 5 °C day and night" in abouts(found)
    with pytest.raises(NoPlan):
        make_plan(replace(asked, air={name: heater(air, 4.0) for name, air in asked.air.items()}))
    make_plan(replace(asked, air={name: heater(air, 5.0) for name, air in asked.air.items()}))


def test_two_things_that_each_leave_no_plan_are_both_named_with_their_own_ways():
    cold = constant(2.0, 60.0)
    asked = request(project(parts=(bench(6),)), shop=workshop(people=daily(60)), air=cold)
    found = why_no_plan(asked)
    assert reasons(found) == [[(Kind.COLD, "shed")], [(Kind.HOURS, "Ada")]]
    assert all(each.ways for each in found)
    assert [each.dated for each in found] == [False, True]
    heated, longer = found[0].ways[0], found[1].ways[0]
    assert heated.about == "shed heated to 5 °C day and night"
    assert longer.about == "each session of Ada 15 min longer"
    both = request(
        project(parts=(bench(6),)),
        shop=workshop(people=daily(75)),
        air=heater(cold, 5.0),
    )
    assert max(one.safe for one in make_plan(both).ready) == longer.ready
    first, second = in_words(found, OSLO)
    assert "Any one of these frees it: shed heated to 5 °C day and night." in first
    assert "With the first way of each above, any one of these frees it: each session" in second
    assert second.count("(ready ") == len(found[1].ways)


def test_what_frees_one_thing_but_not_the_rest_with_it_is_not_promised():
    told = Hindrance("no air is fit", (), (Way("heat", NOW),), dated=False)
    besides = Hindrance("no hours do", (), (Way("longer", NOW),), dated=False)
    *_, last = in_words((told, besides), OSLO)
    assert last.endswith("all of it together may not do.")
    assert not any("ready" in words for words in in_words((told, besides), OSLO))
    assert together((told, replace(besides, dated=True))) == []
    assert together((besides,)) == []


def test_hours_and_cold_that_only_together_leave_no_plan_make_one_set():
    at = NOW.timestamp() + 3600.0 * np.arange(24 * 400)
    night = (at / 3600.0 % 24) < 12
    swings = AirSeries(
        at, np.where(night, 2.0, 25.0), np.full(len(at), 40.0), np.zeros(len(at), np.uint8)
    )
    early = (Person("Ada", (WorkWindow("FREQ=DAILY", dt.time(4), 240),)),)
    (found,) = why_no_plan(request(shop=workshop(people=early), air=swings))
    assert reasons([found]) == [[(Kind.HOURS, "Ada"), (Kind.COLD, "shed")]]
    assert any("heated to" in about for about in abouts(found))


def test_a_rack_too_small_for_a_piece_is_freed_by_the_least_larger_one():
    (found,) = why_no_plan(request(shop=workshop(rack_m2=0.05)))
    assert reasons([found]) == [[(Kind.RACK, "shed")]]
    assert "takes 0.14 m² and the rack in 'shed' has 0.05 m²" in found.fact
    assert abouts(found) == ["a rack of 0.2 m² in shed"]


def test_work_nobody_does_is_freed_by_whoever_learns_it():
    able = frozenset(StepKind) - {StepKind.COAT}
    (found,) = why_no_plan(request(shop=workshop(people=daily(600, can=able))))
    assert reasons([found]) == [[(Kind.SKILL, "coat")]]
    assert found.reasons[0].said == "nobody can do work of the kind ‘coat’"
    assert abouts(found) == ["Ada doing work of the kind ‘coat’ too"]


def test_all_that_nobody_does_is_one_reason_and_learnt_together():
    only = frozenset({StepKind.COAT, StepKind.SAND})
    (found,) = why_no_plan(request(shop=workshop(people=daily(600, can=only))))
    ((reason,),) = reasons([found])
    assert reason[0] is Kind.SKILL
    assert "nobody can do work of the kinds ‘assemble’, ‘clean’, " in found.reasons[0].said
    (about,) = abouts(found)
    assert about.startswith("Ada doing work of the kinds ‘assemble’, ‘clean’, ")


def test_a_larger_rack_is_told_in_the_units_asked_for():
    (found,) = why_no_plan(request(shop=workshop(rack_m2=0.05), units=Units.IMPERIAL))
    assert abouts(found) == ["a rack of 2.2 ft² in shed"]


def test_people_without_hours_are_named_and_the_least_hours_that_do():
    (found,) = why_no_plan(request(shop=workshop(people=(Person("Ada", ()),))))
    assert reasons([found]) == [[(Kind.HOURS, "Ada")]]
    assert found.reasons[0].said == "Ada has no work hours"
    assert "of work by Ada every day" in abouts(found)[0]


def test_a_year_off_is_named_as_such():
    off = tuple(NOW.date() + dt.timedelta(days=day) for day in range(-1, 370))
    (found,) = why_no_plan(request(shop=workshop(people=daily(600, days_off=off))))
    assert reasons([found]) == [[(Kind.AWAY, "Ada")]]
    assert found.reasons[0].said == "Ada is off on 366 days until then"


def test_reasons_cut_short_say_so_and_still_leave_no_plan(hurried):
    hurried(2)
    asked = request(project(parts=(bench(6),)), shop=workshop(people=daily(60)))
    (found,) = why_no_plan(asked)
    assert not found.smallest
    assert (Kind.HOURS, "Ada") in reasons([found])[0]
    assert len(found.reasons) > 1
    (told,) = in_words((found,), OSLO)
    assert "not all of these reasons may be needed" in told
    kept = [Restriction(one.kind, one.subject) for one in found.reasons]
    assert not Trial(asked, any_plan).only(kept)
    assert why_no_plan(asked) == (found,)


def test_ways_cut_short_say_so_and_each_of_them_leads_out(hurried):
    asked = request(project(batch(template="waterborne table")), air=constant(6.0, 60.0))
    full = why_no_plan(asked, templates())[0]
    hurried(4)
    cut = why_no_plan(asked, templates())[0]
    assert cut.smallest
    assert cut.reasons == full.reasons
    assert full.all_tried
    assert not cut.all_tried
    assert len(cut.ways) < len(full.ways)
    assert untried(full) == []
    assert untried(cut) == ["Not every way out was tried, since there are so many steps."]
    (way,) = cut.ways
    assert in_full(way) == f"{way.about}, or less"
    degrees = float(way.about.removeprefix("shed heated to ").split(" ", 1)[0])
    warm = replace(asked, air={"shed": heater(asked.air["shed"], degrees)})
    assert max(one.safe for one in make_plan(warm).ready) == way.ready


def test_many_loads_leave_fewer_plans_to_try_with():
    few, many = request(project(parts=(bench(6),))), request(project(parts=(bench(600),)))
    assert steps_in(many) > 20 * steps_in(few)
    assert Trial(many, any_plan).most < Trial(few, any_plan).most


def test_what_can_be_planned_has_no_reasons_against_it():
    assert why_no_plan(request()) == ()
    assert why_too_late(request(), dt.date(2027, 6, 1)) is None


def test_a_date_missed_for_cold_names_it_and_what_would_meet_the_date():
    asked = request(air=constant(12.0, 60.0), shop=workshop(EVENINGS))
    by = NOW.date() + dt.timedelta(days=30)
    late = why_too_late(asked, by)
    assert reasons(late.hindrances) == [[(Kind.COLD, "shed")]]
    assert "12 °C on average until" in late.hindrances[0].reasons[0].said
    end = dt.datetime.combine(by + dt.timedelta(days=1), dt.time(), dt.UTC) - 2 * HOUR
    assert late.ready > end
    for way in (*late.hindrances[0].ways, *late.drops):
        assert way.ready <= end
    assert [way.about for way in late.hindrances[0].ways] == ["shed heated to 18 °C day and night"]
    assert late.drops == ()
    assert late.closest.about == "slats with 2 coats"


def test_two_loads_may_meet_a_date_where_many_do_not():
    asked = request(project(parts=(bench(29),)), shop=workshop(EVENINGS, rack_m2=20.0))
    split = with_batch(asked, "bench", replace(asked.projects[0].batches[0], least_loads=2))
    ready = max(one.safe for one in make_plan(split).ready)
    assert ready < max(one.safe for one in make_plan(asked).ready) - dt.timedelta(days=1)
    late = why_too_late(asked, ready.date())
    (found,) = late.hindrances
    assert Way("slats in 2 loads", ready) in found.ways


def test_what_to_drop_for_a_date_meets_it():
    asked = request(air=constant(12.0, 60.0), shop=workshop(EVENINGS))
    ready = max(one.safe for one in make_plan(asked).ready)
    late = why_too_late(asked, (ready - dt.timedelta(days=2)).date())
    assert "slats with 3 coats" in [way.about for way in late.drops]
    assert all(way.ready.date() <= late.by for way in late.drops)
    own = asked.projects[0].batches[0]
    fewer = fewer_coats(own.steps, asked.finishes["penetrating oil"], frozenset())
    plan = make_plan(with_batch(asked, "bench", replace(own, steps=fewer)))
    (drop,) = [way for way in late.drops if way.about == "slats with 3 coats"]
    assert max(one.safe for one in plan.ready) == drop.ready


def test_a_date_nothing_meets_says_what_the_drying_takes_and_what_comes_closest():
    late = why_too_late(request(shop=workshop(EVENINGS)), NOW.date() + dt.timedelta(days=3))
    (found,) = late.hindrances
    assert found.reasons == ()
    assert found.fact.startswith("the work and the drying alone take until")
    assert late.drops == ()
    assert late.closest.ready < late.ready


def test_what_is_dropped_is_within_the_finish_and_plans_hold():
    asked = request(project(batch(template="varnished door")), shop=workshop(EVENINGS))
    own = asked.projects[0].batches[0]
    varnish = asked.finishes["spar varnish"]
    coats = {step.coat for step in own.steps if step.kind is StepKind.COAT}
    steps = own.steps
    while (fewer := fewer_coats(steps, varnish, frozenset())) is not None:
        steps = fewer
    left = {step.coat for step in steps if step.kind is StepKind.COAT}
    assert len(left) == varnish.coats.low < len(coats)
    assert fewer_coats(own.steps, varnish, frozenset({f"coat-{max(coats)}-first"})) is None
    unscuffed = scuffed_if_late(own.steps, asked, frozenset())
    assert all(step.only_if_window_missed for step in unscuffed if step.kind is StepKind.SCUFF)
    for changed in (steps, unscuffed):
        leaner = with_batch(asked, "bench", replace(own, steps=changed))
        assert faults(leaner, make_plan(leaner)) == []


def test_two_wishes_for_one_hour_are_the_reason_for_each_other():
    asked = request(project(batch(), batch("legs")), shop=workshop(EVENINGS))
    at = next(step.start for step in make_plan(asked).steps if step.step == "prepare")
    keys = [("slats", 1, "prepare"), ("legs", 1, "prepare")]
    both = replace(asked, progress={"bench": Progress(wishes=dict.fromkeys(keys, at))})
    unkept = [
        step_id
        for step_id in ("bench/slats/1/prepare", "bench/legs/1/prepare")
        if next(one for one in make_plan(both).steps if one.id == step_id).start != at
    ]
    assert len(unkept) == 1
    own = Restriction(Kind.WISH, unkept[0])
    trial = Trial(both, starts_at(unkept[0]), fixed={own})
    (found,) = obstacles(trial)
    kinds = {one.kind for one in found.restrictions}
    assert kinds == {Kind.WISH}
    assert trial.without(found.restrictions)


def test_a_window_missed_for_want_of_hours_is_kept_by_a_day_more():
    own = batch(template="oiled worktop")
    bare = replace(own, steps=tuple(one for one in own.steps if one.kind is not StepKind.SCUFF))
    asked = request(project(bare), shop=workshop(SATURDAYS))
    plan = make_plan(asked)
    assert "Coat 1 of hardwax oil, by pad, second side" in plan.warnings[0]
    assert MISSED in plan.warnings[0]
    (found,) = why_window_missed(asked, "bench/slats/1/coat-1-second")
    assert reasons([found]) == [[(Kind.HOURS, "Ada")]]
    assert found.reasons[0].said == "Ada works 9 h at a stretch at most, once a week"
    (way,) = found.ways
    day = way.about.removeprefix("Ada at work on ").removesuffix(" as well")
    more = WorkWindow(f"FREQ=WEEKLY;BYDAY={day[:2].upper()}", dt.time(8), 540)
    again = make_plan(replace(asked, workshop=workshop((*SATURDAYS, more))))
    assert not any("Coat 1 of hardwax oil, by pad, second side" in one for one in again.warnings)
