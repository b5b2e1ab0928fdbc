"""The hour reminders are planned from holds still inside a work window."""

import dataclasses
import datetime as dt

from finplan.tracking.settled import settled_hour
from finplan.trade.workshop import WorkWindow
from tests.unit.tracking.bench import SHED

MONDAY = dt.datetime(2026, 10, 5, 16, 30, tzinfo=dt.UTC)
"""18:30 in the shop, when the evening's window opens."""
MINUTE = dt.timedelta(minutes=1)


def test_outside_the_hours_it_is_now():
    for now in (MONDAY - MINUTE, MONDAY + 180 * MINUTE, MONDAY + 300 * MINUTE):
        assert settled_hour(SHED, None, now) == now


def test_inside_a_window_it_is_its_beginning():
    for minutes in (0, 1, 100, 179):
        assert settled_hour(SHED, None, MONDAY + minutes * MINUTE) == MONDAY
        assert settled_hour(SHED, MONDAY - MINUTE, MONDAY + minutes * MINUTE) == MONDAY


def test_a_word_in_the_journal_since_then_counts():
    written = MONDAY + 40 * MINUTE
    assert settled_hour(SHED, written, MONDAY + 100 * MINUTE) == written


def test_a_journal_written_by_a_faster_clock_does_not_plan_from_the_future():
    now = MONDAY + 20 * MINUTE
    assert settled_hour(SHED, now + 10 * MINUTE, now) == now


def test_where_people_work_round_the_clock_the_day_is_the_window():
    always = (WorkWindow("FREQ=DAILY", dt.time(0), 1440),)
    person = dataclasses.replace(SHED.people[0], windows=always)
    shop = dataclasses.replace(SHED, people=(person,))
    assert settled_hour(shop, None, MONDAY) == dt.datetime(2026, 10, 4, 22, 0, tzinfo=dt.UTC)
