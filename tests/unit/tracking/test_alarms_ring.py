"""Which alarms ring at an hour: once, late after sleep, again when moved, never in quiet hours."""

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.tracking.alarms import alarm_key, alarms_to_ring
from finplan.tracking.quiet import quiet_stretch
from finplan.tracking.reminder import ReminderSettings, Role
from finplan.trade.workshop import Stretch
from tests.calendars.shop import HOUR, NOW, reminder

OSLO = ZoneInfo("Europe/Oslo")
SETTINGS = ReminderSettings()
SECOND = dt.timedelta(seconds=1)


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


def test_the_quiet_hours_have_their_first_instant_and_not_their_last():
    first = dt.datetime(2026, 10, 1, 22, 0, tzinfo=OSLO).astimezone(dt.UTC)
    last = dt.datetime(2026, 10, 2, 7, 0, tzinfo=OSLO).astimezone(dt.UTC)
    quiet = (SETTINGS.quiet_from, SETTINGS.quiet_until, OSLO)
    assert quiet_stretch(first, *quiet) == Stretch(first, last)
    assert quiet_stretch(first - SECOND, *quiet) is None
    assert quiet_stretch(last - SECOND, *quiet) == Stretch(first, last)
    assert quiet_stretch(last, *quiet) is None


def test_what_is_over_as_the_quiet_hours_end_rings_in_them():
    night = dt.datetime(2026, 10, 1, 21, 0, tzinfo=dt.UTC)
    dawn = dt.datetime(2026, 10, 2, 5, 0, tzinfo=dt.UTC)
    to_dawn = (dawn - NOW) / HOUR - 5.0
    assert ringing(reminder(start_h=5, hours=to_dawn, lead_h=1), night)
    assert not ringing(reminder(start_h=5, hours=to_dawn + 0.1, lead_h=1), night)


def test_work_going_on_rings_at_any_hour():
    night = dt.datetime(2026, 10, 1, 21, 0, tzinfo=dt.UTC)
    wipe = reminder(start_h=9, hours=40, lead_h=0, role=Role.WIPE_OFF)
    assert ringing(wipe, night)


def test_a_silent_reminder_never_rings():
    assert not ringing(reminder(lead_h=None), NOW + 43.5 * HOUR)
