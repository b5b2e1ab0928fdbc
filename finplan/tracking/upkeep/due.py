"""Upkeep among what is due, and among the reminders in calendars."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator

from finplan.tracking.due import DueItem, DueState
from finplan.tracking.reminder import GOVERNS, Reminder, ReminderSettings, Role
from finplan.tracking.upkeep.cycle import Outlook, Work
from finplan.tracking.upkeep.days import instant_of
from finplan.tracking.upkeep.pieces import calendar_name
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone

DAY_BEGINS, DAY_ENDS = dt.time(9), dt.time(18)
"""Hours an upkeep day stands for where one is needed; our own choice."""


def upkeep_due(seen: Outlook, now: dt.datetime, within: dt.timedelta) -> tuple[DueItem, ...]:
    """Return what is due on a piece at ``now``, or comes ``within`` that time.

    A piece is overdue when its day has passed and no wished day is still to come.

    Raises:
        BadInput: ``within`` is negative.
    """
    if within < dt.timedelta(0):
        raise BadInput("the time to look ahead is negative: give hours from 0", "within")
    zone = find_zone(seen.piece.zone)
    today = now.astimezone(zone).date()
    items = []
    for coming in seen.coming:
        late = coming.on == today and coming.due < today
        day = coming.due if late else coming.on
        start, end = (instant_of(day, time, zone) for time in (DAY_BEGINS, DAY_ENDS))
        if start > now + within and coming.on > today:
            continue
        state = DueState.OVERDUE if late else DueState.NOW if coming.on == today else DueState.SOON
        items.append(
            DueItem(
                what=f"{coming.work.value}: {seen.piece.title}",
                project=seen.piece.name,
                batch="upkeep",
                load=1,
                step=coming.work.value,
                at=start,
                until=end,
                state=state,
            )
        )
    return tuple(items)


def upkeep_reminders(
    seen: Outlook, out_hours: float, settings: ReminderSettings
) -> Iterator[Reminder]:
    """Yield what to remind of on a piece: whole days, a renewal for as long as it is out of use.

    Args:
        seen: the piece and what comes next.
        out_hours: how long a renewal takes it out of use.
        settings: says whether upkeep is left out.
    """
    if Role.UPKEEP in settings.silent:
        return
    piece, zone = seen.piece, find_zone(seen.piece.zone)
    for coming in seen.coming:
        renewal = coming.work is Work.RENEWAL
        days = math.ceil(out_hours / 24.0) if renewal else 1
        start = dt.datetime.combine(coming.on, dt.time.min, dt.UTC)
        lines = [f"{coming.sentence[:1].upper()}{coming.sentence[1:]}.", f"Place: {piece.place}."]
        if renewal:
            unit = "day" if days == 1 else "days"
            lines.append(f"Out of use for about {days} {unit}, at 23 °C and 50 %.")
            lines += [f"{advice[:1].upper()}{advice[1:]}." for advice in seen.advice]
        morning = instant_of(coming.on - dt.timedelta(days=1), DAY_BEGINS, zone)
        yield Reminder(
            key=f"upkeep/{coming.work.value}",
            role=Role.UPKEEP,
            project=calendar_name(piece.name),
            project_uid=piece.uid,
            title=f"{piece.title}: {coming.work.value}",
            text="\n".join([*lines, "", GOVERNS]),
            start=start,
            end=start + dt.timedelta(days=max(1, days)),
            alarm_at=morning,
            all_day=True,
        )
