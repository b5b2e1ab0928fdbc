"""Work hours in words."""

import datetime as dt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.trade.errors import BadInput
from finplan.trade.work_hours import parse_hours, say_hours
from finplan.trade.workshop import WorkWindow

EVENINGS = "Tue and Thu evenings 18:30 to 21:30; Sat 08:00 to 17:00"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tue thu 18:30-21:30, sat 8-17", EVENINGS),
        (
            "Tuesday and Thursday 6:30pm - 9:30 pm; SAT 8 to 17",
            EVENINGS,
        ),
        ("weekday evenings 6:30-9:30", "weekday evenings 18:30 to 21:30"),
        ("weekend mornings 9 to 12", "weekend mornings 09:00 to 12:00"),
        ("weekends 9-5pm", "weekends 09:00 to 17:00"),
        ("Mon to Thu afternoons 12-5", "Mon to Thu afternoons 12:00 to 17:00"),
        (
            "sat morning 8-12, afternoon 1-5",
            "Sat mornings 08:00 to 12:00; Sat afternoons 13:00 to 17:00",
        ),
        (" No  hours", "no hours"),
        (
            "mon-fri 9-12 13-17",
            "weekday mornings 09:00 to 12:00; weekday afternoons 13:00 to 17:00",
        ),
        ("fri–mon 20:00–24:00", "Mon, Fri, Sat and Sun evenings 20:00 to 24:00"),
        ("every day 7.30-8.15", "every day 07:30 to 08:15"),
        ("mo,we,fr 8h-9h", "Mon, Wed and Fri mornings 08:00 to 09:00"),
        ("saturdays 12am-12pm", "Sat mornings 00:00 to 12:00"),
    ],
)
def test_understood(text, said):
    windows = parse_hours(text)
    assert say_hours(windows) == said
    assert parse_hours(say_hours(windows)) == windows


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "names no work hours"),
        ("x" * 400, "names no work hours"),
        ("sat", "no days and hours"),
        ("8-17", "is on no day"),
        ("tusday 8-17", "'tusday' is no weekday"),
        ("evenings 6-9", "is on no day"),
        ("sat evenings 9-6", "ends before it begins"),
        ("t 8-17", "'t' is no weekday"),
        ("sat 17-8", "ends before it begins"),
        ("sat 22-25", "no time of day"),
        ("sat 8:70-9", "no time of day"),
        ("sat 13pm-2pm", "no time of day"),
        ("sat 8-17 and more", "no days and hours"),
        ("\x1b[31m 8-9", "no days and hours"),
    ],
)
def test_refused(text, fault):
    with pytest.raises(BadInput, match=fault) as caught:
        parse_hours(text, "--hours")
    assert str(caught.value).startswith("--hours")


def test_other_rules_are_told_as_they_stand():
    monthly = WorkWindow("FREQ=MONTHLY;BYDAY=1SA", dt.time(8), 60)
    assert say_hours((monthly,)) == "FREQ=MONTHLY;BYDAY=1SA 08:00 to 09:00"
    assert say_hours(()) == "no hours"


HOURS = st.tuples(st.integers(0, 24 * 60 - 1), st.integers(1, 24 * 60)).filter(
    lambda span: sum(span) <= 24 * 60
)
DAYS = st.sets(st.sampled_from(("MO", "TU", "WE", "TH", "FR", "SA", "SU")), min_size=1, max_size=6)


@given(st.lists(st.tuples(DAYS, HOURS), min_size=1, max_size=4))
def test_all_that_is_said_is_read_back(week):
    order = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
    windows = tuple(
        WorkWindow(
            f"FREQ=WEEKLY;BYDAY={','.join(day for day in order if day in days)}",
            dt.time(*divmod(starts, 60)),
            minutes,
        )
        for days, (starts, minutes) in week
    )
    assume(len(say_hours(windows)) <= 300)
    assert parse_hours(say_hours(windows)) == windows
