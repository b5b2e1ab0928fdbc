"""The hour to plan from for what is told to people, so that it holds still while they work."""

from __future__ import annotations

import datetime as dt

from finplan.planning.hours import axis_of
from finplan.trade.moments import find_zone, instant_of
from finplan.trade.workshop import Workshop

_LOOK_BACK = dt.timedelta(hours=24)
_QUARTER = dt.timedelta(minutes=15)


def settled_hour(
    workshop: Workshop, last_written: dt.datetime | None, now: dt.datetime
) -> dt.datetime:
    """Return the hour that reminders are planned from.

    A plan made at ``now`` never asks for anything in the past, so work that is going on but not
    recorded yet would slide along, and ring again and again. Inside a work window the plan is
    therefore that of the window's beginning, or of the last word in the journal if that is later;
    outside, that of ``now``: what was missed moves to the next window and is told anew.

    Args:
        workshop: whose hours count.
        last_written: when the journal was last written to, None for never.
        now: the present instant, timezone-aware.
    """
    zone = find_zone(workshop.zone)
    axis = axis_of(workshop.people, zone, now - _LOOK_BACK, now + _QUARTER)
    slot = axis.first_at_or_after(now.timestamp())
    if slot == len(axis) or axis.starts[slot] > now.timestamp():
        slot -= 1
    if slot < 0 or axis.end_s(slot) <= now.timestamp():
        return now
    while slot > 0 and axis.end_s(slot - 1) == axis.starts[slot]:
        slot -= 1
    # Where people may work round the clock, the day is the window.
    midnight = instant_of(now.astimezone(zone).date(), dt.time.min, zone)
    begins = max(dt.datetime.fromtimestamp(axis.starts[slot], dt.UTC), midnight)
    if last_written is None or last_written <= begins:
        return begins
    return min(last_written, now)
