"""Reminders and ledgers made by hand: what the calendar tests export."""

import datetime as dt
import uuid

from finplan.calendars.ics import Profile, calendar_bytes
from finplan.calendars.ledger import update_ledger
from finplan.tracking.reminder import Reminder, Role

PLAN = uuid.UUID("5f0c4c3e-0000-4000-8000-00000000000b")
NOW = dt.datetime(2026, 10, 1, 12, 0, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)


def reminder(key="session/slats/1/sand", start_h=43.0, hours=2.0, lead_h=1.0, **changes):
    start = NOW + start_h * HOUR
    fields = {
        "key": key,
        "role": Role.SESSION,
        "project": "bench",
        "project_uid": PLAN,
        "title": "Bench: Sand, First coat (2 h)",
        "text": "09:00 Sand: slats; P120, P180; 6.4 m²; 1 h\n\nMind:\n- dust – wear a mask; always",
        "start": start,
        "end": start + hours * HOUR,
        "alarm_at": start - lead_h * HOUR if lead_h is not None else None,
        "busy": True,
    }
    return Reminder(**{**fields, **changes})


def all_day(key="buy/oil", days=3, **changes):
    start = dt.datetime(2026, 10, 1, tzinfo=dt.UTC) + dt.timedelta(days=days)
    return reminder(
        key,
        role=Role.BUY,
        title="Bench: buy penetrating oil",
        start=start,
        end=start + dt.timedelta(days=1),
        alarm_at=start - 15 * HOUR,
        all_day=True,
        busy=False,
        **changes,
    )


def task(key="task/slats/1/coat-2", **changes):
    return reminder(
        key,
        role=Role.TASK,
        project="tasks/bench",
        title="Bench: Second coat (slats)",
        lead_h=None,
        busy=False,
        **changes,
    )


def some_reminders():
    return (
        reminder(),
        reminder(
            "recoat-closes/slats/1/coat-2",
            start_h=115,
            hours=0.25,
            role=Role.RECOAT_CLOSES,
            title="Bench: last call for Second coat, the recoat window closes",
            busy=False,
        ),
        all_day(),
    )


def ledger_of(reminders, rows=(), now=NOW):
    return update_ledger(rows, reminders, ("bench", "tasks/bench"), now)


def exported(reminders=None, profile=Profile.FEED, now=NOW, name="Finishing"):
    chosen = some_reminders() if reminders is None else reminders
    return calendar_bytes(ledger_of(chosen, now=now).rows, name, profile, now)
