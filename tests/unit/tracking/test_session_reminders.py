"""Work sessions as reminders: one each, all its steps in the text, quiet hours kept."""

import dataclasses
import datetime as dt

import pytest

from finplan.tracking.reminder import (
    GOVERNS,
    ReminderNotes,
    ReminderSettings,
    Role,
)
from finplan.tracking.reminders import reminders_of
from finplan.trade.errors import BadInput
from tests.unit.tracking.bench import CAUTIONS, after, bench_plan, bench_request

NOTES = ReminderNotes(
    litres={"bench/slats/1/coat-1": 0.64},
    cautions=CAUTIONS,
)


def by_role(role, plan=None, settings=None):
    found = reminders_of(plan or bench_plan(), bench_request(), settings, NOTES)
    return [reminder for reminder in found if reminder.role is role]


def test_steps_that_follow_one_another_are_one_session():
    first, second, third = by_role(Role.SESSION)
    assert (first.start, first.end) == (after(0), after(3.25))
    assert first.steps == (
        "bench/slats/1/sand",
        "bench/slats/1/coat-1",
        "bench/slats/1/wipe-1",
    )
    assert second.steps == ("bench/slats/1/coat-2",)
    assert third.steps == ("bench/slats/1/assemble",)


def test_the_text_holds_steps_litres_grits_cautions_and_what_governs():
    text = by_role(Role.SESSION)[0].text
    assert "09:00 Sand: slats; P120, P180; 6.4 m²; 1 h 30 min" in text
    assert "10:30 First coat: slats; Penetrating oil; 640 ml; rag; 6.4 m²; 1 h" in text
    assert "- Fine dust: wear a mask." in text
    assert "- Oily rags heat up by themselves." in text
    assert text.endswith(GOVERNS)


def test_a_session_that_waits_says_likely_and_safe():
    text = by_role(Role.SESSION)[1].text
    assert "dry-to-recoat: likely Sun 4 Oct 03:30, safe Sun 4 Oct 11:30" in text


def test_a_session_half_done_keeps_its_identity_and_shows_what_is_left():
    before = by_role(Role.SESSION)[0]
    half = by_role(Role.SESSION, bench_plan(now_h=1.6, done=("sand",)))[0]
    assert half.uid == before.uid
    assert half.start == after(1.5)
    assert "Sand: slats" not in half.text
    done = bench_plan(now_h=4, done=("sand", "coat-1", "wipe-1"))
    assert before.uid not in {reminder.uid for reminder in by_role(Role.SESSION, done)}


def test_identity_stays_when_the_session_moves():
    moved = by_role(Role.SESSION, bench_plan(shift_h=24))
    assert [r.uid for r in moved] == [r.uid for r in by_role(Role.SESSION)]
    assert moved[1].start == by_role(Role.SESSION)[1].start + dt.timedelta(hours=24)


def test_the_alarm_comes_ahead_by_the_users_lead_time():
    early = ReminderSettings(session_lead_minutes=90)
    assert by_role(Role.SESSION, settings=early)[0].alarm_at == after(-1.5)


def test_quiet_hours_ring_a_session_the_evening_before():
    quiet = ReminderSettings(quiet_from=dt.time(21, 0), quiet_until=dt.time(8, 30))
    rung = by_role(Role.SESSION, settings=quiet)[0].alarm_at
    assert rung == dt.datetime(2026, 10, 2, 18, 59, tzinfo=dt.UTC)


def test_oily_rags_are_told_of_as_the_session_ends():
    rags = by_role(Role.RAGS)
    assert [r.start for r in rags] == [after(3.25), after(58.5)]
    assert rags[0].alarm_at == rags[0].start
    assert "burn" in rags[0].text


def test_rags_are_told_of_though_the_session_is_recorded_as_done():
    done = bench_plan(now_h=3.3, done=("sand", "coat-1", "wipe-1"))
    assert by_role(Role.RAGS, done)[0].start == after(3.25)
    later = bench_plan(now_h=4, done=("sand", "coat-1", "wipe-1"))
    assert [r.start for r in by_role(Role.RAGS, later)] == [after(58.5)]


def bought(**changes):
    plan = dataclasses.replace(bench_plan(**changes), now=after(-200))
    return [r for r in reminders_of(plan, bench_request(), None, NOTES) if r.role is Role.BUY]


def test_finish_is_to_be_bought_days_before_it_is_first_needed():
    (buy,) = bought()
    assert buy.all_day
    assert buy.start == dt.datetime(2026, 9, 29, tzinfo=dt.UTC)
    assert buy.end == dt.datetime(2026, 10, 4, tzinfo=dt.UTC), "the day of use is the last"
    assert buy.alarm_at == dt.datetime(2026, 9, 28, 7, 0, tzinfo=dt.UTC)
    assert "first needed Sat 3 Oct 10:30" in buy.text


def test_a_project_begun_within_the_lead_time_still_says_what_to_buy():
    (buy,) = by_role(Role.BUY)
    assert buy.start < bench_plan().now < buy.end


def test_nothing_to_buy_once_the_finish_is_in_use():
    assert len(bought()) == 1
    assert bought(done=("sand", "coat-1")) == []


def test_work_that_is_done_is_told_of_though_nobody_is_left_in_the_workshop():
    keys = ("sand", "coat-1", "wipe-1", "coat-2", "assemble")
    asked = bench_request()
    empty = dataclasses.replace(asked.workshop, people=())
    asked = dataclasses.replace(asked, workshop=empty)
    found = reminders_of(bench_plan(now_h=84, done=keys), asked, None, NOTES)
    assert {one.role for one in found}.isdisjoint({Role.SESSION, Role.BUY})


def test_roles_that_are_silenced_are_left_out():
    silent = ReminderSettings(silent=frozenset({Role.RAGS}))
    assert by_role(Role.RAGS, settings=silent) == []
    assert by_role(Role.SESSION, settings=silent) != []


def test_lead_times_below_zero_are_refused():
    with pytest.raises(BadInput, match="below zero"):
        ReminderSettings(session_lead_minutes=-1)
