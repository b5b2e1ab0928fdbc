"""Fields of forms that take a day: they read what the rest of the program reads."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.trade.errors import BadInput
from finplan.tui.models.forms import answer, day_reader
from finplan.tui.models.measures import Measures
from finplan.tui.models.start import new_form
from tests.tui.demo_trade import NOW, ZONE

TODAY = NOW.date()


def ready_by(text):
    form = new_form(
        {},
        (),
        (),
        from_list=False,
        workshops=("workshop",),
        now=NOW,
        zone=ZONE,
        measures=Measures(),
    )
    read = answer(form, {"in_service_by": text})
    key = "in_service_by"
    return read.values.get(key), read.echoes.get(key, ""), read.faults.get(key, "")


@pytest.mark.parametrize(
    ("text", "day", "echo"),
    [
        ("2026-11-15", dt.date(2026, 11, 15), "= Sun 15 Nov 2026"),
        ("15 Nov", dt.date(2026, 11, 15), "= Sun 15 Nov 2026"),
        ("today 18:00", TODAY, "= Wed 14 Oct 2026"),
        ("tomorrow", TODAY + dt.timedelta(days=1), "= Thu 15 Oct 2026"),
        ("fri", dt.date(2026, 10, 16), "= Fri 16 Oct 2026"),
        ("+36h", TODAY + dt.timedelta(days=2), "= Fri 16 Oct 2026"),
        ("", None, "no date"),
    ],
)
def test_ready_by_takes_the_days_the_program_takes_elsewhere(text, day, echo):
    assert ready_by(text) == (day, echo, "")


def test_a_day_with_two_readings_is_refused_with_both():
    _, _, fault = ready_by("4/5")
    assert "4 May or 5 Apr" in fault
    assert "2026-05-04 or 2026-04-05" in fault


@pytest.mark.parametrize(
    ("text", "fault"), [("yesterday", "past"), ("30 February", "no 30 Feb"), ("soon", "no date")]
)
def test_a_day_past_or_none_at_all_is_refused(text, fault):
    assert fault in ready_by(text)[2]


def test_a_day_that_has_to_be_past_is_not_taken_from_ahead():
    read = day_reader(NOW, ZONE, latest=TODAY)
    assert read("today")[0] == TODAY
    with pytest.raises(BadInput, match="lies ahead"):
        read("tomorrow")
    with pytest.raises(BadInput, match="no day given"):
        read(" ")
