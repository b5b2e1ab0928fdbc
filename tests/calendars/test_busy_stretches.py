"""Busy times out of a person's own calendar: the times, and nothing else."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from finplan.calendars.busy import busy_times
from finplan.trade.errors import BadInput
from tests.calendars.shop import exported

OSLO = ZoneInfo("Europe/Oslo")
START = dt.datetime(2026, 10, 19, tzinfo=dt.UTC)
END = dt.datetime(2026, 11, 3, tzinfo=dt.UTC)

ZONED = """BEGIN:VTIMEZONE
TZID:Europe/Oslo
BEGIN:STANDARD
DTSTART:19701025T030000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10
TZOFFSETFROM:+0200
TZOFFSETTO:+0100
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T020000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3
TZOFFSETFROM:+0100
TZOFFSETTO:+0200
END:DAYLIGHT
END:VTIMEZONE
"""


def calendar(*events, head=""):
    body = "".join(
        f"BEGIN:VEVENT\nUID:{number}\nDTSTAMP:20260101T000000Z\n{event}\nEND:VEVENT\n"
        for number, event in enumerate(events)
    )
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n{head}{body}END:VCALENDAR\n"
    return text.replace("\n", "\r\n").encode()


def hours(data):
    return [
        (f"{s.start:%d %H:%M}", f"{s.end:%d %H:%M}") for s in busy_times(data, START, END, OSLO)
    ]


def test_a_weekly_appointment_keeps_its_local_hour_over_the_clock_change():
    data = calendar(
        "SUMMARY:secret\nDTSTART;TZID=Europe/Oslo:20261001T190000\n"
        "DTEND;TZID=Europe/Oslo:20261001T210000\nRRULE:FREQ=WEEKLY",
        head=ZONED,
    )
    assert hours(data) == [("22 17:00", "22 19:00"), ("29 18:00", "29 20:00")]


def test_whole_days_and_hours_without_a_zone_are_read_in_the_shops_zone():
    data = calendar(
        "DTSTART;VALUE=DATE:20261020\nDTEND;VALUE=DATE:20261021",
        "DTSTART:20261026T190000\nDTEND:20261026T200000",
    )
    assert hours(data) == [("19 22:00", "20 22:00"), ("26 18:00", "26 19:00")]


def test_free_and_cancelled_time_is_not_busy():
    time = "DTSTART:20261020T170000Z\nDTEND:20261020T180000Z\n"
    assert hours(calendar(time + "TRANSP:TRANSPARENT", time + "STATUS:CANCELLED")) == []


def test_overlaps_are_one_stretch_and_the_ends_are_cut():
    data = calendar(
        "DTSTART:20261018T230000Z\nDTEND:20261019T020000Z",
        "DTSTART:20261019T010000Z\nDTEND:20261019T030000Z",
        "DTSTART:20261102T230000Z\nDTEND:20261104T000000Z",
    )
    assert hours(data) == [("19 00:00", "19 03:00"), ("02 23:00", "03 00:00")]


def test_only_times_are_kept():
    data = calendar("SUMMARY:dentist\nDTSTART:20261020T170000Z\nDTEND:20261020T180000Z")
    (stretch,) = busy_times(data, START, END, OSLO)
    assert stretch.note == ""
    assert "dentist" not in repr(stretch)


def test_alarms_of_whole_days_do_not_break_it():
    alarm = "BEGIN:VALARM\nACTION:DISPLAY\nDESCRIPTION:x\nTRIGGER:-PT15H\nEND:VALARM"
    data = calendar(f"DTSTART;VALUE=DATE:20261020\nDTEND;VALUE=DATE:20261021\n{alarm}")
    assert len(hours(data)) == 1


def test_our_own_sessions_take_time_and_our_reminders_do_not():
    begin = dt.datetime(2026, 10, 1, tzinfo=dt.UTC)
    stretches = busy_times(exported(), begin, END, OSLO)
    assert len(stretches) == 1


@pytest.mark.parametrize(
    "data",
    [b"", b"hello", b"BEGIN:VCALENDAR\r\n", b"\xff\xfe\x00", calendar("DTSTART:2026-13-45")],
)
def test_what_is_no_calendar_is_one_sentence(data):
    with pytest.raises(BadInput, match=r"mine\.ics(, line 1)?: is no calendar"):
        busy_times(data, START, END, OSLO, "mine.ics")


def test_an_appointment_every_second_is_refused():
    data = calendar(
        "DTSTART:20261020T170000Z\nDTEND:20261020T170001Z\nRRULE:FREQ=SECONDLY;COUNT=99999999"
    )
    with pytest.raises(BadInput, match="every minute"):
        busy_times(data, START, END, OSLO)


def test_what_is_no_calendar_is_told_by_its_first_wrong_line():
    for data, where in (
        (b"BEGIN:VCALENDAR\r\nnonsense\r\nEND:VCALENDAR\r\n", "mine.ics, line 2"),
        (b"", "mine.ics"),
    ):
        with pytest.raises(BadInput) as fault:
            busy_times(data, START, END, OSLO, "mine.ics")
        assert str(fault.value) == (
            f"{where}: is no calendar that can be read: export it again as .ics"
        )
