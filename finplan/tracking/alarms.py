"""Which alarms are to ring at an hour: each once, none in the quiet hours, none lost in sleep."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from zoneinfo import ZoneInfo

from finplan.tracking.quiet import quiet_stretch
from finplan.tracking.reminder import IN_THE_SHOP, Reminder, ReminderSettings


def alarm_key(reminder: Reminder) -> str:
    """Return what is remembered of an alarm that rang: moved to another hour, it rings again."""
    at = reminder.alarm_at.isoformat() if reminder.alarm_at is not None else ""
    return f"{reminder.alarm_uid} {at}"


def alarms_to_ring(
    reminders: Iterable[Reminder],
    rung: Collection[str],
    now: dt.datetime,
    settings: ReminderSettings,
    zone: ZoneInfo,
) -> tuple[Reminder, ...]:
    """Return the reminders whose alarm has come, has not rung, and still is of use.

    What could not ring at its hour (the machine slept, the desktop was away) rings later, as
    long as the thing itself is not over. In the quiet hours only the work going on rings, and
    what would be over when they end.

    Args:
        reminders: all there are.
        rung: keys (``alarm_key``) of those that rang.
        now: the hour, timezone-aware.
        settings: with the quiet hours.
        zone: in which the quiet hours are.
    """
    quiet = quiet_stretch(now, settings.quiet_from, settings.quiet_until, zone)
    return tuple(
        reminder
        for reminder in reminders
        if reminder.alarm_at is not None
        and reminder.alarm_at <= now < reminder.end
        and alarm_key(reminder) not in rung
        and (quiet is None or reminder.role in IN_THE_SHOP or reminder.end <= quiet.end)
    )
