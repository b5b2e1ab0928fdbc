"""Upkeep among what is due, and in calendars."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

import pytest

from finplan.air.series import AirSource
from finplan.library.load import upkeep_defaults
from finplan.tracking.due import DueState
from finplan.tracking.reminder import ReminderSettings, Role
from finplan.tracking.upkeep.cycle import outlook
from finplan.tracking.upkeep.due import upkeep_due, upkeep_reminders
from finplan.tracking.upkeep.pieces import InstalledPiece, Work
from finplan.tracking.upkeep.window import Window
from finplan.trade.errors import BadInput
from finplan.trade.numbers import Span

YEAR = Span(9.0, 16.0, "invented")
RAIL = InstalledPiece(
    name="jetty-rail",
    title="Rail of the jetty",
    place="boathouse",
    zone="Europe/Oslo",
    finish="penetrating oil",
    area_m2=1.5,
    installed=dt.date(2026, 5, 1),
    uid=uuid.UUID(int=11),
    renew_rule="FREQ=YEARLY",
    inspect_rule="FREQ=MONTHLY;INTERVAL=5",
    clean_rule="FREQ=MONTHLY;INTERVAL=8",
    invented=True,
)


def at(text):
    return dt.datetime.fromisoformat(text)


def seen(now, piece=RAIL):
    return outlook(piece, (), YEAR, upkeep_defaults(), at(now))


def due(now, within=dt.timedelta(0), piece=RAIL):
    return {item.step: item for item in upkeep_due(seen(now, piece), at(now), within)}


def test_nothing_is_due_before_its_day():
    assert due("2026-09-30T12:00Z") == {}


def test_what_comes_within_the_time_is_soon():
    (item,) = due("2026-09-30T12:00Z", dt.timedelta(days=2)).values()
    assert (item.state, item.step, item.project) == (DueState.SOON, "inspection", "jetty-rail")
    assert item.at == at("2026-10-01T07:00Z"), "nine in the morning, in summer time"


def test_on_its_day_it_is_due_now_and_later_overdue():
    assert due("2026-10-01T05:00Z")["inspection"].state is DueState.NOW
    late = due("2026-10-20T05:00Z")["inspection"]
    assert (late.state, late.at) == (DueState.OVERDUE, at("2026-10-01T07:00Z"))


def test_out_of_season_nothing_is_overdue_until_its_wished_day():
    adaptive = replace(RAIL, renew_rule="", season=(6,), installed=dt.date(2025, 1, 1))
    assert "renewal" not in due("2026-04-01T10:00Z", piece=adaptive)
    assert due("2026-06-01T10:00Z", piece=adaptive)["renewal"].state is DueState.OVERDUE


def test_looking_back_is_refused():
    with pytest.raises(BadInput, match="within"):
        upkeep_due(seen("2026-09-30T12:00Z"), at("2026-09-30T12:00Z"), dt.timedelta(days=-1))


def test_reminders_stand_on_whole_days_for_the_time_out_of_use():
    found = {
        one.key: one
        for one in upkeep_reminders(seen("2026-09-30T12:00Z"), 60.0, ReminderSettings())
    }
    assert set(found) == {f"upkeep/{work.value}" for work in Work}
    renewal = found["upkeep/renewal"]
    assert renewal.all_day and renewal.role is Role.UPKEEP
    assert (renewal.start, renewal.end) == (at("2027-05-01T00:00Z"), at("2027-05-04T00:00Z"))
    assert renewal.alarm_at == at("2027-04-30T07:00Z")
    assert "Out of use for about 3 days" in renewal.text
    assert "label" in renewal.text
    assert found["upkeep/inspection"].end - found["upkeep/inspection"].start == dt.timedelta(days=1)


WINDOW = Window(
    at("2027-05-03T06:00Z"),
    at("2027-05-04T06:00Z"),
    at("2027-05-04T16:00Z"),
    at("2027-05-06T16:00Z"),
    (AirSource.NORMALS,),
)


def test_the_best_time_is_the_renewal_s_alone():
    now, ahead = "2027-04-20T12:00Z", dt.timedelta(days=120)
    plain = due(now, ahead)
    items = {one.step: one for one in upkeep_due(seen(now), at(now), ahead, WINDOW)}
    renewal = items.pop("renewal")
    assert (renewal.at, renewal.until, renewal.load) == (WINDOW.start, WINDOW.end, 1)
    assert renewal.state is DueState.SOON
    assert items == {step: plain[step] for step in items}
    assert set(items) == {"inspection", "cleaning"}


def test_what_begins_as_the_time_looked_ahead_ends_is_told():
    now = at("2027-04-30T06:00Z")
    ahead = WINDOW.start - now
    told = upkeep_due(seen("2027-04-30T06:00Z"), now, ahead, WINDOW)
    assert "renewal" in {one.step for one in told}
    moment = dt.timedelta(seconds=1)
    later = upkeep_due(seen("2027-04-30T06:00Z"), now, ahead - moment, WINDOW)
    assert "renewal" not in {one.step for one in later}


def test_a_downtime_is_told_the_morning_before_it_begins():
    found = upkeep_reminders(seen("2027-04-20T12:00Z"), 60.0, ReminderSettings(), WINDOW)
    by_key = {one.key: one for one in found}
    renewal = by_key.pop("upkeep/renewal")
    assert (renewal.start, renewal.end, renewal.all_day) == (WINDOW.start, WINDOW.end, False)
    assert renewal.alarm_at == at("2027-05-02T07:00Z")
    assert "out of use from Mon 3 May 2027 08:00 to Thu 6 May 2027 18:00" in renewal.text
    assert all(one.all_day for one in by_key.values())


@pytest.mark.parametrize(("hours", "days"), [(0.5, 1), (24.0, 1), (24.5, 2), (48.0, 2)])
def test_a_renewal_takes_whole_days(hours, days):
    found = upkeep_reminders(seen("2026-09-30T12:00Z"), hours, ReminderSettings())
    (renewal,) = [one for one in found if one.key == "upkeep/renewal"]
    assert renewal.end - renewal.start == dt.timedelta(days=days)
    assert f"about {days} day{'s' * (days > 1)}" in renewal.text


def test_a_reminder_keeps_its_identity_when_its_day_moves():
    flat, wished = (
        {one.key: one.uid for one in upkeep_reminders(seen(now, piece), 60.0, ReminderSettings())}
        for now, piece in (
            ("2026-09-30T12:00Z", RAIL),
            ("2026-10-30T12:00Z", replace(RAIL, title="Rail", season=(7,))),
        )
    )
    assert flat == wished


def test_upkeep_can_be_silenced():
    silent = ReminderSettings(silent=frozenset({Role.UPKEEP}))
    assert list(upkeep_reminders(seen("2026-09-30T12:00Z"), 60.0, silent)) == []
