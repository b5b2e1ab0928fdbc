"""What drying makes possible, and when it is too late: told at the right hour."""

import dataclasses
import datetime as dt

from finplan.tracking.reminder import GOVERNS, ReminderSettings, Role
from finplan.tracking.reminders import reminders_of
from finplan.trade.steps import StepKind
from tests.unit.tracking.bench import after, bench_plan, bench_request, planned

COATED = ("sand", "coat-1", "wipe-1")
LOUD = ReminderSettings(quiet_from=dt.time(0), quiet_until=dt.time(0))


def by_role(role, plan=None, settings=LOUD):
    found = reminders_of(plan or bench_plan(), bench_request(), settings)
    return [reminder for reminder in found if reminder.role is role]


def test_recoat_opens_at_the_safe_hour_and_says_both_and_until_when():
    (opens,) = by_role(Role.RECOAT_OPENS)
    assert (opens.start, opens.end, opens.alarm_at) == (after(26.5), after(74.5), after(26.5))
    assert "likely Sun 4 Oct 03:30, safe Sun 4 Oct 11:30" in opens.text
    assert "Planned for Mon 5 Oct 18:30, takes 1 h" in opens.text
    assert "until Tue 6 Oct 11:30" in opens.text
    assert opens.text.endswith(GOVERNS)


def test_recoat_opens_says_that_the_scuffing_is_recorded_in_place_of_a_window():
    plan = bench_plan(now_h=57, done=COATED)
    scuff = dataclasses.replace(
        planned("coat-2", 56, 57, done=True), kind=StepKind.SCUFF, id="bench/slats/1/scuff-2"
    )
    steps = [dataclasses.replace(step, window_closes=None) for step in plan.steps]
    (opens,) = by_role(Role.RECOAT_OPENS, dataclasses.replace(plan, steps=(*steps, scuff)))
    assert "The scuffing for it is recorded" in opens.text
    assert "until" not in opens.text.lower()
    plain = dataclasses.replace(plan, steps=tuple(steps))
    assert "scuffing" not in by_role(Role.RECOAT_OPENS, plain)[0].text


def test_recoat_opening_at_night_is_told_when_the_quiet_hours_end():
    quiet = ReminderSettings(quiet_from=dt.time(11, 0), quiet_until=dt.time(13, 0))
    assert by_role(Role.RECOAT_OPENS, settings=quiet)[0].alarm_at == after(28)


def test_recoat_closing_rings_before_the_last_work_window_that_still_does():
    (closes,) = by_role(Role.RECOAT_CLOSES)
    assert (closes.start, closes.end) == (after(74.25), after(74.5))
    monday_evening = dt.datetime(2026, 10, 5, 16, 30, tzinfo=dt.UTC)
    assert closes.alarm_at == monday_evening - dt.timedelta(hours=1)
    assert "last work window before that begins Mon 5 Oct 18:30" in closes.text


def test_recoat_closing_with_no_work_window_left_rings_a_day_ahead_and_says_so():
    request = bench_request()
    person = dataclasses.replace(
        request.workshop.people[0], days_off=tuple(dt.date(2026, 10, day) for day in range(2, 9))
    )
    shut = dataclasses.replace(
        request, workshop=dataclasses.replace(request.workshop, people=(person,))
    )
    found = reminders_of(bench_plan(), shut, LOUD)
    (closes,) = [reminder for reminder in found if reminder.role is Role.RECOAT_CLOSES]
    assert closes.alarm_at == after(50.5)
    assert "No work window is left" in closes.text


def test_nothing_is_said_of_a_recoat_that_is_done():
    plan = bench_plan(now_h=59, done=(*COATED, "coat-2"))
    for role in (Role.RECOAT_OPENS, Role.RECOAT_CLOSES, Role.CHECK, Role.WIPE_OFF):
        assert by_role(role, plan) == []


def test_a_dryness_check_is_wanted_between_likely_and_safe_once_the_coat_is_on():
    assert by_role(Role.CHECK) == []
    (check,) = by_role(Role.CHECK, bench_plan(now_h=4, done=COATED))
    assert (check.start, check.end) == (after(18.5), after(26.5))
    assert check.alarm_at == after(18.5)
    far = ReminderSettings(check_if_apart_minutes=9 * 60)
    assert by_role(Role.CHECK, bench_plan(now_h=4, done=COATED), far) == []


def test_a_wipe_off_runs_until_the_finish_gels_and_no_quiet_hour_moves_it():
    busy = ReminderSettings(quiet_from=dt.time(11, 0), quiet_until=dt.time(13, 0))
    (wipe,) = by_role(Role.WIPE_OFF, settings=busy)
    assert (wipe.start, wipe.end) == (after(2.75), after(2.5) + dt.timedelta(minutes=20))
    assert wipe.alarm_at == after(2.75)
    assert "Between 10 and 20 minutes" in wipe.text


def test_dry_to_assemble_and_cured_are_told_at_the_safe_hour():
    (assemble,) = by_role(Role.ASSEMBLE)
    assert (assemble.start, assemble.end) == (after(71), after(81.5))
    (cured,) = by_role(Role.CURED)
    assert cured.start == cured.alarm_at == after(400)
    assert "likely Thu 15 Oct 21:00, safe Tue 20 Oct 01:00" in cured.text
    assert "Wanted in service by Sun 1 Nov." in cured.text


def test_reminders_stand_in_order_with_identities_of_their_own():
    found = reminders_of(bench_plan(), bench_request())
    assert [r.start for r in found] == sorted(r.start for r in found)
    assert len({r.uid for r in found}) == len(found)
    moved = reminders_of(bench_plan(shift_h=30), bench_request())
    assert {r.uid for r in moved} == {r.uid for r in found}


def test_every_reminder_that_shows_a_drying_time_says_likely_or_safe():
    for reminder in reminders_of(bench_plan(now_h=4, done=COATED), bench_request()):
        if "dry-to" in reminder.text or "Cured" in reminder.text:
            assert "likely" in reminder.text
            assert "safe" in reminder.text


def test_nothing_that_is_over_is_told():
    plan = dataclasses.replace(bench_plan(), now=after(60))
    assert all(r.end > after(60) for r in reminders_of(plan, bench_request()))
