"""Which alarms ring at an hour: once, late after sleep, again when moved, never in quiet hours."""

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.tracking.alarms import alarm_key, alarms_to_ring
from finplan.tracking.reminder import ReminderSettings, Role
from tests.calendars.shop import HOUR, NOW, reminder

OSLO = ZoneInfo("Europe/Oslo")
SETTINGS = ReminderSettings()


def ringing(item, at, rung=()):
    return alarms_to_ring([item], rung, at, SETTINGS, OSLO) == (item,)


def test_an_alarm_rings_from_its_hour_until_the_thing_is_over():
    item = reminder(start_h=5, hours=2, lead_h=1)
    assert not ringing(item, NOW + 3.9 * HOUR)
    assert ringing(item, NOW + 4 * HOUR)
    assert ringing(item, NOW + 6.9 * HOUR), "the machine slept until then"
    assert not ringing(item, NOW + 7 * HOUR)


def test_it_rings_once_and_again_when_it_was_moved():
    item = reminder(start_h=5, hours=2, lead_h=1)
    rung = {alarm_key(item)}
    assert not ringing(item, NOW + 4 * HOUR, rung)
    moved = reminder(start_h=5.5, hours=2, lead_h=1)
    assert ringing(moved, NOW + 5 * HOUR, rung)


def test_a_late_alarm_waits_for_the_end_of_the_quiet_hours_if_that_is_soon_enough():
    night = dt.datetime(2026, 10, 1, 21, 0, tzinfo=dt.UTC)
    long_one = reminder(start_h=5, hours=40, lead_h=1)
    assert not ringing(long_one, night)
    assert ringing(long_one, dt.datetime(2026, 10, 2, 5, 0, tzinfo=dt.UTC))
    over_by_dawn = reminder(start_h=5, hours=10, lead_h=1)
    assert ringing(over_by_dawn, night)


def test_work_going_on_rings_at_any_hour():
    night = dt.datetime(2026, 10, 1, 21, 0, tzinfo=dt.UTC)
    wipe = reminder(start_h=9, hours=40, lead_h=0, role=Role.WIPE_OFF)
    assert ringing(wipe, night)


def test_a_silent_reminder_never_rings():
    assert not ringing(reminder(lead_h=None), NOW + 43.5 * HOUR)
