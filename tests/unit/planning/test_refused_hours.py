"""Why a step cannot start at a wished hour: one case for each thing that may stand against it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from finplan.air.series import constant
from finplan.planning.ask import why_not, wished
from finplan.planning.make import make_plan
from finplan.trade.errors import BadInput
from finplan.trade.steps import StepKind
from finplan.trade.workshop import Person, Stretch
from tests.unit.planning.shops import (
    ALL_HOURS,
    EVENINGS,
    NOW,
    SATURDAYS,
    batch,
    bench,
    cold_until_friday,
    project,
    request,
    workshop,
)
from tests.unit.planning.test_forward_plans import by_key, facts_until

HOUR = dt.timedelta(hours=1)
DAY = dt.timedelta(days=1)


def asked_about(asked, key, at):
    """The answer for a step at an instant, or so long after its planned start."""
    plan = make_plan(asked)
    step = by_key(plan, key)
    return why_not(asked, plan, step.id, step.start + at if isinstance(at, dt.timedelta) else at)


def refused(asked, key, at):
    answer = asked_about(asked, key, at)
    assert not answer.possible
    assert answer.short.startswith("it cannot start then: ") or not answer.short
    return answer.short or answer.sentence


def test_in_the_past_and_too_far_ahead():
    asked = request(shop=workshop(ALL_HOURS))
    assert refused(asked, "coat-1", NOW - DAY) == "it cannot start then: that is past."
    told = refused(asked, "coat-1", NOW + 500 * DAY)
    assert told == "it cannot start then: plans are made for 365 days ahead."


def test_outside_the_hours_of_everybody_the_next_are_told():
    told = refused(request(shop=workshop(EVENINGS)), "coat-2", 8 * HOUR)
    assert "nobody has work hours then; the next are at" in told


def test_outside_the_hours_of_who_can_do_it():
    ada = Person("Ada", EVENINGS, can=frozenset(StepKind) - {StepKind.ASSEMBLE})
    bo = Person("Bo", SATURDAYS)
    asked = request(shop=workshop(people=(ada, bo)))
    plan = make_plan(asked)
    step = by_key(plan, "assemble") if any(s.step == "assemble" for s in plan.steps) else None
    assert step is not None
    monday = next(s.start for s in plan.steps if s.person == "Ada") + 28 * DAY
    told = why_not(asked, plan, step.id, monday).short
    assert told.startswith("it cannot start then: Bo has no work hours then; the next are at Sat")


def test_a_wait_not_over_tells_both_times():
    told = refused(request(shop=workshop(ALL_HOURS)), "coat-2", -3 * HOUR)
    assert (
        "it waits until “Coat 1 of penetrating oil, by rag” (slats) is dry to recoat: safe" in told
    )


def test_work_that_follows_tells_when_the_work_before_it_is_over():
    many = project(parts=(bench(40),))
    asked = request(many, shop=workshop(ALL_HOURS, 20.0))
    plan = make_plan(asked)
    over = by_key(plan, "prepare").end.astimezone(asked.told_in)
    told = refused(asked, "sand", dt.timedelta(minutes=-30))
    assert told.endswith(f"(slats), which is over {over:%a} {over.day} {over:%b %H:%M}.")
    assert "it follows “" in told


def test_an_hour_somebody_wished_for_other_work():
    two = project(batch("slats"), batch("more"), assembled_together=False)
    asked = request(two, shop=workshop(EVENINGS))
    sands = [step for step in make_plan(asked).steps if step.step == "prepare"]
    at = sands[0].start + DAY
    pinned = wished(asked, sands[0].id, at)
    answer = why_not(pinned, make_plan(pinned), sands[1].id, at)
    assert not answer.possible
    assert answer.short == (
        f"it cannot start then: it does not go with the wish for “{sands[0].title}” "
        f"({sands[0].batch}) at Tue 6 Oct 18:30; without that it could."
    )


def test_a_busy_time_is_no_work_time():
    plan = make_plan(request(shop=workshop(ALL_HOURS)))
    start = by_key(plan, "coat-2").start
    away = Person("Ada", ALL_HOURS, busy=(Stretch(start + 20 * HOUR, start + 24 * HOUR),))
    told = refused(request(shop=workshop(people=(away,))), "coat-2", start + 22 * HOUR)
    assert "nobody has work hours then; the next are at" in told


def test_air_that_is_too_cold():
    told = refused(
        request(shop=workshop(ALL_HOURS), air=cold_until_friday()), "seal", NOW + 2 * DAY
    )
    assert "it is too cold" in told or "too near the dew point" in told


def test_a_session_too_short_for_what_belongs_to_it():
    many = request(project(parts=(bench(40),)), shop=workshop(EVENINGS, 20.0))
    told = refused(many, "coat-2", _an_evening_after(make_plan(many), "coat-2"))
    assert "are too short for it with the dusting off before it and the wiping after it" in told


def _an_evening_after(plan, key):
    start = by_key(plan, key).start
    days = (start + number * DAY for number in range(1, 8))
    monday = next(day for day in days if day.weekday() == 0)
    return monday.replace(hour=16, minute=45)


def test_a_window_that_would_close():
    door = request(
        project(batch(template="varnished door")),
        shop=workshop(EVENINGS),
        air=constant(21.0, 60.0),
    )
    told = refused(door, "clean-1", 48 * HOUR)
    assert "it cannot start then: if begun at Wed 7 Oct 21:00, the recoat window of" in told
    assert "would close" in told
    assert told.endswith("could go on.")


def test_done_already_and_not_work():
    asked = request(shop=workshop(ALL_HOURS))
    plan = make_plan(asked)
    later = replace(
        asked, progress={"bench": facts_until(plan, "coat-1")}, now=by_key(plan, "coat-1").end
    )
    with pytest.raises(BadInput, match="is done already"):
        asked_about(later, "coat-1", HOUR)
    with pytest.raises(BadInput, match="comes by itself"):
        asked_about(asked, "release", HOUR)
    with pytest.raises(BadInput, match="no step"):
        why_not(asked, plan, "bench/slats/1/coat-9", NOW + DAY)


def test_what_may_be_says_what_it_costs():
    asked = request(shop=workshop(EVENINGS))
    plan = make_plan(asked)
    late = asked_about(asked, "coat-2", 7 * DAY)
    assert late.possible
    ready = {one.project: one.safe for one in late.plan.ready}["bench"]
    assert ready > plan.ready[0].safe
    assert "bench is then safely ready" in late.sentence and "later)" in late.sentence
    same = asked_about(asked, "install", DAY)
    assert same.possible
    assert same.sentence == "it can start then; nothing is ready later for it."


def test_hours_are_told_in_the_zone_asked_for():
    asked = request(shop=workshop(EVENINGS), zone="America/New_York")
    told = refused(asked, "coat-2", 8 * HOUR)
    assert "the next are at" in told and "12:30" in told
    assert "18:30" not in by_key(make_plan(asked), "coat-2").reason


def test_across_a_change_of_the_clocks():
    sunday = dt.datetime(2026, 10, 24, 16, 0, tzinfo=dt.UTC)
    asked = request(shop=workshop(EVENINGS), now=sunday)
    told = refused(asked, "prepare", dt.datetime(2026, 10, 25, 1, 30, tzinfo=dt.UTC))
    assert "the next are at Mon 26 Oct 18:30" in told


def test_wiping_is_asked_for_with_its_coat():
    asked = request(shop=workshop(ALL_HOURS))
    assert refused(asked, "wipe-off-1", 5 * DAY) == (
        "it cannot start then: it is done soon after “Coat 1 of penetrating oil, by rag” (slats), "
        "in the same session: ask for an hour of that."
    )


def test_work_behind_dusting_off_tells_when_the_work_before_that_is_over():
    asked = request(shop=workshop(ALL_HOURS))
    plan = make_plan(asked)
    over = by_key(plan, "sand").end.astimezone(asked.told_in)
    told = refused(asked, "seal", by_key(plan, "sand").start)
    assert f"it follows “Sand P80, P120” (slats), which is over {over:%a} {over.day}" in told
    assert told.endswith(f"{over:%H:%M}.")


def test_two_wishes_that_do_not_go_together_are_told_so():
    asked = request(shop=workshop(ALL_HOURS))
    plan = make_plan(asked)
    coat, seal = by_key(plan, "coat-1"), by_key(plan, "seal")
    pinned = wished(asked, coat.id, coat.start + 3 * DAY)
    after = coat.start + 4 * DAY
    answer = why_not(pinned, make_plan(pinned), seal.id, after)
    assert not answer.possible
    at = (coat.start + 3 * DAY).astimezone(asked.told_in)
    assert answer.short == (
        "it cannot start then: it does not go with the wish for “Coat 1 of penetrating oil, by "
        f"rag” (slats) at {at:%a} {at.day} {at:%b %H:%M}; without that it could."
    )
    assert why_not(asked, plan, seal.id, after).possible


def test_a_wish_gone_by_is_past():
    asked = request(shop=workshop(ALL_HOURS))
    coat = by_key(make_plan(asked), "coat-1")
    late = replace(wished(asked, coat.id, coat.start + DAY), now=NOW + 9 * DAY)
    (told,) = [words for words in make_plan(late).warnings if "at the wished" in words]
    assert told.endswith(": that is past")


def test_scuffing_wished_where_the_plan_with_the_wish_has_no_need_of_it():
    two = project(
        batch("slats", template="oiled worktop"),
        batch("two", template="shellac box"),
        parts=(bench(12),),
        assembled_together=False,
    )
    asked = request(two, shop=workshop(ALL_HOURS, rack_m2=1.5), air=constant(18.0, 55.0))
    plan = make_plan(asked)
    scuff = next(step for step in plan.steps if step.id == "bench/slats/1/scuff-2")
    at = scuff.start - 3 * HOUR
    assert all(step.id != scuff.id for step in make_plan(wished(asked, scuff.id, at)).steps)
    answer = why_not(asked, plan, scuff.id, at)
    assert not answer.possible
    assert answer.short.startswith("it cannot start then: ")
