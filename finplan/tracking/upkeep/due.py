"""Upkeep among what is due, and among the reminders in calendars."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.drying.arrhenius import REFERENCE_C
from finplan.tracking.due import DueItem, DueState
from finplan.tracking.reminder import GOVERNS, Reminder, ReminderSettings, Role
from finplan.tracking.upkeep.cycle import Coming, Outlook
from finplan.tracking.upkeep.pieces import DROPS_FIRST, Work, calendar_name
from finplan.tracking.upkeep.window import say_window, why_window
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, instant_of
from finplan.trade.names import counted
from finplan.trade.quantities import Units, format_temperature

if TYPE_CHECKING:
    from finplan.tracking.upkeep.window import Window

DAY_BEGINS, DAY_ENDS = dt.time(9), dt.time(18)
"""Hours an upkeep day stands for where one is needed; our own choice."""


def upkeep_due(
    seen: Outlook, now: dt.datetime, within: dt.timedelta, window: Window | None = None
) -> tuple[DueItem, ...]:
    """Return what is due on a piece at ``now``, or comes ``within`` that time.

    A piece is overdue when its day has passed and no wished day is still to come.

    Args:
        seen: the piece and what comes next.
        now: the present, aware.
        within: how far ahead to look.
        window: the best time for the renewal, where it is known.

    Raises:
        BadInput: ``within`` is negative.
    """
    if within < dt.timedelta(0):
        raise BadInput("the time to look ahead is negative: give hours from 0", "within")
    zone = find_zone(seen.piece.zone)
    today = now.astimezone(zone).date()
    items = []
    for coming in seen.coming:
        best = window if coming.work is Work.RENEWAL else None
        on = best.start.astimezone(zone).date() if best else coming.on
        late = coming.on == today and coming.due < today
        day = coming.due if late and best is None else on
        start, end = (instant_of(day, time, zone) for time in (DAY_BEGINS, DAY_ENDS))
        if best is not None:
            start, end = best.start, best.end
        if start > now + within and on > today and not late:
            continue
        state = DueState.OVERDUE if late else DueState.NOW if on == today else DueState.SOON
        what = f"{coming.work.value}: {seen.piece.title}"
        if best is not None:
            what = f"{coming.work.value}: {say_window(best, seen.piece.title, seen.piece.zone)}"
        items.append(
            DueItem(
                what=what,
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
    seen: Outlook,
    out_hours: float,
    settings: ReminderSettings,
    window: Window | None = None,
    units: Units = Units.METRIC,
) -> Iterator[Reminder]:
    """Yield what to remind of on a piece: whole days, a renewal for as long as it is out of use.

    Args:
        seen: the piece and what comes next.
        out_hours: how long a renewal usually takes it out of use.
        settings: says whether upkeep is left out.
        window: the best time for the renewal, where it is known: the event is the downtime then.
        units: of the texts.
    """
    if Role.UPKEEP in settings.silent:
        return
    for coming in seen.coming:
        if coming.work is not Work.RENEWAL:
            yield _whole_days(seen, coming)
        elif window is None:
            days = max(1, math.ceil(out_hours / 24.0))
            yield _whole_days(seen, coming, days, _usual_words(days, units))
        else:
            yield _downtime(seen, coming, window)


def _usual_words(days: int, units: Units) -> str:
    """Return how long a renewal usually puts a piece out of use."""
    standard = format_temperature(REFERENCE_C, units)
    return f"Out of use for about {counted(days, 'day')}, at {standard} and 50 %."


def _whole_days(seen: Outlook, coming: Coming, days: int = 1, out_of_use: str = "") -> Reminder:
    """Return a reminder of some days; ``out_of_use`` says it of a renewal, '' of other work."""
    piece, zone = seen.piece, find_zone(seen.piece.zone)
    start = dt.datetime.combine(coming.on, dt.time.min, dt.UTC)
    lines = [f"{coming.sentence[:1].upper()}{coming.sentence[1:]}.", f"Place: {piece.place}."]
    if out_of_use:
        told = seen.advice if piece.renew_rule else (DROPS_FIRST, *seen.advice)
        lines += [out_of_use, *(f"{advice[:1].upper()}{advice[1:]}." for advice in told)]
    return Reminder(
        key=f"upkeep/{coming.work.value}",
        role=Role.UPKEEP,
        project=calendar_name(piece.name),
        project_uid=piece.uid,
        title=f"{piece.title}: {coming.work.value}",
        text="\n".join([*lines, "", GOVERNS]),
        start=start,
        end=start + dt.timedelta(days=days),
        alarm_at=instant_of(coming.on - dt.timedelta(days=1), DAY_BEGINS, zone),
        all_day=True,
    )


def _downtime(seen: Outlook, coming: Coming, window: Window) -> Reminder:
    """Return a renewal's reminder as the stretch the piece is out of use."""
    piece, zone = seen.piece, find_zone(seen.piece.zone)
    why = why_window(window, piece.zone)
    told = f"{say_window(window, piece.title, piece.zone)}.\n{why[:1].upper()}{why[1:]}."
    plain = _whole_days(seen, coming, out_of_use=told)
    before = window.start.astimezone(zone).date() - dt.timedelta(days=1)
    return replace(
        plain,
        title=f"{plain.title}, out of use",
        start=window.start,
        end=window.end,
        alarm_at=instant_of(before, DAY_BEGINS, zone),
        all_day=False,
    )
