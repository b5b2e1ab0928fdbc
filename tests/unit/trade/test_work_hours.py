"""Work hours in words."""

import datetime as dt

import pytest

from finplan.trade.errors import BadInput
from finplan.trade.work_hours import parse_hours, say_hours
from finplan.trade.workshop import WorkWindow


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tue thu 18:30-21:30, sat 8-17", "Tue, Thu 18:30–21:30; Sat 08:00–17:00"),
        (
            "Tuesday and Thursday 6:30pm - 9:30 pm; SAT 8 to 17",
            "Tue, Thu 18:30–21:30; Sat 08:00–17:00",
        ),
        ("mon-fri 9-12 13-17", "Mon–Fri 09:00–12:00; Mon–Fri 13:00–17:00"),
        ("fri–mon 20:00–24:00", "Mon, Fri, Sat, Sun 20:00–24:00"),
        ("every day 7.30-8.15", "every day 07:30–08:15"),
        ("mo,we,fr 8h-9h", "Mon, Wed, Fri 08:00–09:00"),
        ("saturdays 12am-12pm", "Sat 00:00–12:00"),
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
    assert say_hours((monthly,)) == "FREQ=MONTHLY;BYDAY=1SA 08:00–09:00"
    assert say_hours(()) == "no hours"
