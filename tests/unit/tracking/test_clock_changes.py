"""Both clock changes, in several zones: elapsed hours stay hours, quiet hours follow the clock."""

import dataclasses
import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from finplan.planning.make import make_plan
from finplan.tracking.quiet import quiet_stretch
from finplan.tracking.reminder import IN_THE_SHOP, Role
from finplan.tracking.reminders import reminders_of
from finplan.trade.moments import short_moment
from finplan.trade.steps import StepKind
from tests.calendars.lint import faults
from tests.calendars.shop import exported, reminder
from tests.unit.planning.shops import EVENINGS, batch, project, request, workshop

TEN, SEVEN = dt.time(22), dt.time(7)
CHANGES = [
    ("Europe/Oslo", dt.date(2026, 3, 28), 8.0),
    ("Europe/Oslo", dt.date(2026, 10, 24), 10.0),
    ("America/New_York", dt.date(2026, 3, 7), 8.0),
    ("America/New_York", dt.date(2026, 10, 31), 10.0),
    ("Australia/Lord_Howe", dt.date(2026, 4, 4), 9.5),
    ("Australia/Lord_Howe", dt.date(2026, 10, 3), 8.5),
    ("Asia/Kolkata", dt.date(2026, 10, 24), 9.0),
]


@pytest.mark.parametrize(("zone", "evening", "hours"), CHANGES)
def test_the_quiet_hours_end_at_their_local_hour(zone, evening, hours):
    place = ZoneInfo(zone)
    midnight = dt.datetime.combine(evening, dt.time(23, 30), place).astimezone(dt.UTC)
    quiet = quiet_stretch(midnight, TEN, SEVEN, place)
    assert (quiet.end - quiet.start).total_seconds() / 3600 == hours
    assert short_moment(quiet.end, place).endswith("07:00")
    assert quiet_stretch(quiet.end, TEN, SEVEN, place) is None
    last = quiet.end - dt.timedelta(minutes=1)
    assert quiet_stretch(last, TEN, SEVEN, place) == quiet


@pytest.mark.parametrize(("zone", "evening", "hours"), CHANGES)
def test_a_window_of_a_day_is_a_day_in_every_calendar(zone, evening, hours):
    start = dt.datetime.combine(evening, dt.time(18, 30), ZoneInfo(zone)).astimezone(dt.UTC)
    item = reminder(start=start, end=start + dt.timedelta(hours=24), alarm_at=start)
    data = exported([item], now=start - dt.timedelta(days=1))
    assert faults(data) == []
    assert f"DTSTART:{start:%Y%m%dT%H%M%SZ}".encode() in data
    assert f"DTEND:{start + dt.timedelta(hours=24):%Y%m%dT%H%M%SZ}".encode() in data


def test_the_hour_that_comes_twice_is_two_instants():
    place = ZoneInfo("Europe/Oslo")
    first = dt.datetime(2026, 10, 25, 0, 30, tzinfo=dt.UTC)
    again = first + dt.timedelta(hours=1)
    assert short_moment(first, place) == short_moment(again, place) == "Sun 25 Oct 02:30"
    two = [
        exported([reminder(start=moment, end=moment + dt.timedelta(hours=2), alarm_at=None)])
        for moment in (first, again)
    ]
    assert b"DTSTART:20261025T003000Z" in two[0]
    assert b"DTSTART:20261025T013000Z" in two[1]


@pytest.mark.parametrize(("zone", "evening", "hours"), CHANGES)
def test_what_a_plan_tells_over_the_change_keeps_local_work_hours_and_elapsed_drying(
    zone, evening, hours
):
    place = ZoneInfo(zone)
    begin = dt.datetime.combine(evening - dt.timedelta(days=3), dt.time(6), place)
    shop = dataclasses.replace(workshop(EVENINGS), zone=zone)
    asked = request(project(batch()), shop=shop, now=begin.astimezone(dt.UTC))
    plan = make_plan(asked)
    found = reminders_of(plan, asked)
    change = dt.datetime.combine(evening, dt.time(23, 59), place)
    sessions = [one for one in found if one.role is Role.SESSION]
    assert any(one.start < change for one in sessions)
    assert any(one.start > change for one in sessions)
    for one in sessions:
        local, over = one.start.astimezone(place), one.end.astimezone(place)
        opens, closes = ("08:00", "17:00") if local.weekday() == 5 else ("18:30", "21:30")
        assert opens <= f"{local:%H:%M}" < f"{over:%H:%M}" <= closes
    ends = {step.id: step.end for step in plan.steps}
    coats = [step for step in plan.steps if step.kind is StepKind.COAT and step.waits_for]
    waits = {step.id: step.waits_for for step in coats}
    opening = [one for one in found if one.role is Role.RECOAT_OPENS]
    assert opening
    for one in opening:
        wait = waits[one.steps[0]]
        # 24 h at 23 °C and 50 %, as the finish says, whatever the clock on the wall did.
        late = (one.start - ends[wait.step]).total_seconds() / 3600
        assert 24.0 <= late < 24.1
    for one in found:
        if one.alarm_at is not None and one.role not in IN_THE_SHOP:
            assert quiet_stretch(one.alarm_at, TEN, SEVEN, place) is None
