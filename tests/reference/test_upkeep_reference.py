"""Upkeep intervals against the Wood Handbook; recurring days against other libraries."""

from __future__ import annotations

import datetime as dt
from itertools import islice
from zoneinfo import ZoneInfo

import pytest

from finplan.library.load import finishes, upkeep_defaults
from finplan.tracking.upkeep.days import recurring_days
from finplan.trade.moments import instant_of
from finplan.trade.upkeep import Exposure, renewal_months

YEARS = {
    "clear water repellent": (1.0, 3.0),
    "tinted deck finish": (2.0, 3.0),
    "semitransparent stain": (2.0, 8.0),
    "spar varnish": (1.0, 2.0),
}
"""Years between renewals on an upright surface. Wood Handbook FPL-GTR-190 (2010), ch. 16, table
16-5: water-repellent preservative 1 to 3, tinted clear deck finish 2 to 3, semitransparent stain
4 to 8 on rough wood, and 2 to 4 in one coat on smooth wood (p. 375); clear varnish in direct sun
1 to 2 (p. 376)."""


@pytest.mark.parametrize(("name", "years"), YEARS.items())
def test_default_intervals_lie_in_the_handbook_s_ranges(name, years):
    months = renewal_months(finishes()[name], (), upkeep_defaults())
    assert years[0] * 12.0 <= months.low <= months.high <= years[1] * 12.0


def test_a_deck_lying_flat_and_trodden_comes_to_a_year_or_less():
    """Decks are refinished every 1 to 3 years (Wood Handbook text on decks), sooner when trodden:
    the multipliers must not say longer than an upright wall's interval."""
    deck = finishes()["tinted deck finish"]
    wall = renewal_months(deck, (), upkeep_defaults())
    flat = renewal_months(deck, (Exposure.FLAT,), upkeep_defaults())
    assert 12.0 <= flat.low <= flat.high <= 36.0
    assert flat.high < wall.high


RULES = (
    ("FREQ=MONTHLY;BYDAY=-1SA", dt.date(2026, 1, 31)),
    ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", dt.date(2024, 2, 29)),
    ("FREQ=YEARLY;BYMONTH=3,10;BYDAY=-1SU", dt.date(2026, 3, 29)),
    ("FREQ=WEEKLY;INTERVAL=13;BYDAY=FR", dt.date(2026, 1, 2)),
    ("FREQ=YEARLY;BYMONTH=5;BYDAY=1SA", dt.date(2026, 5, 2)),
    ("FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=-1", dt.date(2026, 4, 30)),
)
"""Last Saturdays, 29 February, the Sundays of both clock changes, quarters, half years."""


def by_recurring_ical_events(rule, first, time, zone):
    import recurring_ical_events
    from icalendar import Calendar

    start = dt.datetime.combine(first, time)
    text = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//test//EN\r\nBEGIN:VEVENT\r\nUID:one\r\n"
        "DTSTAMP:20260101T000000Z\r\n"
        f"DTSTART;TZID={zone.key}:{start:%Y%m%dT%H%M%S}\r\nDURATION:PT15M\r\nRRULE:{rule}\r\n"
        "END:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    events = recurring_ical_events.of(Calendar.from_ical(text)).between(
        dt.datetime(first.year, first.month, first.day, tzinfo=dt.UTC) - dt.timedelta(days=1),
        dt.datetime(first.year + 20, 1, 1, tzinfo=dt.UTC),
    )
    return sorted(event["DTSTART"].dt.astimezone(dt.UTC) for event in events)


@pytest.mark.parametrize(("rule", "first"), RULES)
@pytest.mark.parametrize("zone", ["Europe/Oslo", "America/New_York", "Australia/Sydney"])
def test_twenty_years_of_instants_as_another_library_has_them(rule, first, zone):
    """recurring-ical-events 3 (on icalendar 7 and x-wr-timezone), at nine in the morning."""
    where = ZoneInfo(zone)
    theirs = by_recurring_ical_events(rule, first, dt.time(9), where)
    days = [first, *islice(recurring_days(rule, first), len(theirs) - 1)]
    ours = [instant_of(day, dt.time(9), where) for day in days]
    assert ours == theirs
    assert {moment.astimezone(where).hour for moment in ours} == {9}
    assert len(theirs) >= 5


@pytest.mark.parametrize(("rule", "first"), RULES)
def test_twenty_years_of_days_as_dateutil_has_them(rule, first):
    """python-dateutil 2.9, asked for the days after the first."""
    from dateutil.rrule import rrulestr

    start = dt.datetime.combine(first, dt.time())
    end = start.replace(year=first.year + 20, day=min(first.day, 28))
    theirs = [moment.date() for moment in rrulestr(rule, dtstart=start).between(start, end)]
    assert list(islice(recurring_days(rule, first), len(theirs))) == theirs
