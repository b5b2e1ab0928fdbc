"""Moments as people write them."""

import datetime as dt
import math
import zoneinfo

import pytest

from finplan.trade.errors import BadInput
from finplan.trade.moments import (
    find_zone,
    format_duration,
    instant_or_none,
    parse_date,
    parse_moment,
    require_aware,
    say_moment,
)

BERLIN = "Europe/Berlin"
NOW = dt.datetime(2026, 11, 6, 17, 30, tzinfo=dt.UTC)  # Friday 18:30 in Berlin


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2026-10-05T18:00", "Mon 5 Oct 2026 18:00"),
        ("2026-10-05 18:00", "Mon 5 Oct 2026 18:00"),
        ("2026-10-05T18:00Z", "Mon 5 Oct 2026 20:00"),
        ("2026-10-05T18:00:30.5Z", "Mon 5 Oct 2026 20:00"),
        ("2026-10-05T18:00-05:00", "Tue 6 Oct 2026 01:00"),
        ("2026-10-05", "Mon 5 Oct 2026 00:00"),
        ("today 18:00", "Fri 6 Nov 2026 18:00"),
        ("Tomorrow 9:00", "Sat 7 Nov 2026 09:00"),
        ("yesterday 20:00", "Thu 5 Nov 2026 20:00"),
        ("fri", "Fri 13 Nov 2026 00:00"),
        ("fri 18:00", "Fri 13 Nov 2026 18:00"),
        ("fri 20:00", "Fri 6 Nov 2026 20:00"),
        ("sat", "Sat 7 Nov 2026 00:00"),
        ("thursday 8", "Thu 12 Nov 2026 08:00"),
        ("+36h", "Sun 8 Nov 2026 06:30"),
        ("-2h", "Fri 6 Nov 2026 16:30"),
        ("+1d 4h", "Sat 7 Nov 2026 22:30"),
        ("-10m", "Fri 6 Nov 2026 18:20"),
        ("- 1h 30 m", "Fri 6 Nov 2026 17:00"),
        ("now", "Fri 6 Nov 2026 18:30"),
        ("18:00", "Fri 6 Nov 2026 18:00"),
        ("6 pm", "Fri 6 Nov 2026 18:00"),
        ("12 am", "Fri 6 Nov 2026 00:00"),
        ("7 Nov 2026 18:00", "Sat 7 Nov 2026 18:00"),
        ("Sat 7 Nov 2026 18:00", "Sat 7 Nov 2026 18:00"),
        ("5 oct", "Tue 5 Oct 2027 00:00"),
        ("nov 7", "Sat 7 Nov 2026 00:00"),
        ("November 7, 2026 6:30 pm", "Sat 7 Nov 2026 18:30"),
        ("Sat, Nov. 7th 18:00", "Sat 7 Nov 2026 18:00"),
        ("oct 5", "Tue 5 Oct 2027 00:00"),
        ("mon 9", "Mon 9 Nov 2026 09:00"),
        ("mar 3", "Wed 3 Mar 2027 00:00"),
    ],
)
def test_understood(text, said):
    assert say_moment(parse_moment(text, NOW, BERLIN), BERLIN) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4/5", "4 May or 5 Apr: write 2026-05-04 or 2026-04-05"),
        ("4.5.2027", "write 2027-05-04 or 2027-04-05"),
        ("4/5 18:00", "can be 4 May or 5 Apr"),
        ("25/12", "may mean 25 Dec: write 2026-12-25"),
        ("feb 30", "there is no 30 Feb 2026"),
        ("Fri Nov 7 2026", "Sat 7 Nov 2026 is no Friday"),
        ("nov 32", "there is no 32 Nov"),
        ("2026-02-30", "there is no 30 Feb 2026: Feb 2026 has 28 days"),
        ("30 Feb 2028", "Feb 2028 has 29 days"),
        ("2026-13-01", "no month 13"),
        ("2026-10-05 25:00", "no time of day"),
        ("2026-10-05 18:60", "no time of day"),
        ("13 pm", "no time of day"),
        ("Sun 7 Nov 2026", "Sat 7 Nov 2026 is no Sunday"),
        ("tomorow", "did you mean 'tomorrow'"),
        ("18", "is no date or time"),
        ("", "is no date or time"),
        ("x" * 100, "is no date or time"),
        ("9999-01-01", "outside 1900 to 2200"),
        ("2026-10-05T18:00+99:00", "UTC offset"),
        ("+999999999h", "ten years"),
        ("+3", "no unit"),
    ],
)
def test_refused(text, said):
    with pytest.raises(BadInput, match=said) as caught:
        parse_moment(text, NOW, BERLIN, "--start")
    assert str(caught.value).startswith("--start: ")


def test_a_time_the_clock_change_skips_is_refused_with_the_one_to_write():
    with pytest.raises(BadInput, match=r"is skipped by the clock change .* write 03:30"):
        parse_moment("2026-03-29 02:30", NOW, BERLIN)


def test_of_a_time_that_comes_twice_the_first_is_taken():
    first = parse_moment("2026-10-25 02:30", NOW, BERLIN)
    assert first == dt.datetime(2026, 10, 25, 0, 30, tzinfo=dt.UTC)
    assert parse_moment("2026-10-25 02:30+01:00", NOW, BERLIN) - first == dt.timedelta(hours=1)


def test_a_day_whose_midnight_is_skipped_begins_later():
    # Chile springs forward at midnight: Sunday 6 September 2026 begins at 01:00.
    begins = parse_moment("2026-09-06", NOW, "America/Santiago")
    assert say_moment(begins, "America/Santiago") == "Sun 6 Sep 2026 01:00"


def test_hours_are_elapsed_hours_across_a_clock_change():
    before = parse_moment("2026-10-24 18:00", NOW, BERLIN)
    assert say_moment(parse_moment("+24h", before, BERLIN), BERLIN) == "Sun 25 Oct 2026 17:00"


def test_dates():
    assert parse_date("fri", NOW, BERLIN) == dt.date(2026, 11, 13)
    assert parse_date("2026-11-07", NOW, BERLIN) == dt.date(2026, 11, 7)
    assert parse_date("+3d", NOW, BERLIN) == dt.date(2026, 11, 9)
    with pytest.raises(BadInput, match="date alone"):
        parse_date("fri 18:00", NOW, BERLIN)


def test_naive_times_are_refused():
    with pytest.raises(BadInput, match="has no time zone"):
        require_aware(dt.datetime(2026, 10, 5, 18))  # noqa: DTZ001
    aware = dt.datetime(2026, 10, 5, 18, tzinfo=zoneinfo.ZoneInfo(BERLIN))
    assert require_aware(aware).isoformat() == "2026-10-05T16:00:00+00:00"


@pytest.mark.parametrize(
    "name", ["Europe/Berlinn", "", "../etc/passwd", "America", "\0", "x" * 300]
)
def test_zones_that_are_none(name):
    with pytest.raises(BadInput, match="is no time zone"):
        find_zone(name)


def test_a_near_zone_is_offered():
    with pytest.raises(BadInput, match="did you mean 'Europe/Berlin'"):
        find_zone("europe/berlin")


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (0, "0 min"),
        (0.75, "45 min"),
        (1.5, "1 h 30 min"),
        (52, "2 d 4 h"),
        (24, "1 d"),
        (28.6, "1 d 5 h"),
        (23.999, "1 d"),
        (-3, "-3 h"),
    ],
)
def test_durations(hours, said):
    assert format_duration(hours) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("fri", "Fri 6 Nov 2026 00:00"),
        ("fri 18:00", "Fri 6 Nov 2026 18:00"),
        ("fri 20:00", "Fri 30 Oct 2026 20:00"),
        ("sat", "Sat 31 Oct 2026 00:00"),
        ("thursday 8", "Thu 5 Nov 2026 08:00"),
        ("5 oct", "Mon 5 Oct 2026 00:00"),
        ("6 nov 18:00", "Fri 6 Nov 2026 18:00"),
        ("7 nov 18:00", "Fri 7 Nov 2025 18:00"),
        ("today 18:00", "Fri 6 Nov 2026 18:00"),
        ("+36h", "Sun 8 Nov 2026 06:30"),
    ],
)
def test_what_happened_lies_behind(text, said):
    assert say_moment(parse_moment(text, NOW, BERLIN, past=True), BERLIN) == said


def test_what_never_comes_is_no_instant():
    assert instant_or_none(0.0) == dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    for never in (math.inf, 1e13, 1e300):
        assert instant_or_none(never) is None
