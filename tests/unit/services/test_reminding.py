"""How a person wants to be reminded, kept and read again, by this finplan and by others."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.services.reminding import REMINDERS, keep_settings, kept_settings
from finplan.tracking.reminder import ReminderSettings, Role
from finplan.trade.errors import BadInput


def keep_raw(session, value):
    with session.store.unit() as unit:
        unit.settings.put(REMINDERS, value)
        unit.commit()


def test_what_was_said_is_kept_and_the_rest_is_as_usual(session):
    assert kept_settings(session) == ReminderSettings()
    said = ReminderSettings(90, quiet_from=dt.time(21, 30), silent=frozenset({Role.RAGS}))
    keep_settings(session, said)
    assert kept_settings(session) == said
    keep_settings(session, ReminderSettings())
    assert kept_settings(session) == ReminderSettings()


def test_what_a_newer_finplan_keeps_is_passed_over(session):
    silent = ["rags", "moon is full", {"of": "another kind"}]
    keep_raw(session, {"silent": silent, "moon_lead_days": 3, "buy_lead_days": 2})
    kept = kept_settings(session)
    assert kept == ReminderSettings(buy_lead_days=2, silent=frozenset({Role.RAGS}))


@pytest.mark.parametrize(
    "kept",
    [
        [],
        {"quiet_from": "late"},
        {"quiet_from": 7},
        {"session_lead_minutes": "soon"},
        {"session_lead_minutes": -5},
        {"silent": "rags"},
    ],
)
def test_what_cannot_be_read_is_one_sentence(session, kept):
    keep_raw(session, kept)
    with pytest.raises(BadInput, match="how to be reminded, in the database"):
        kept_settings(session)
