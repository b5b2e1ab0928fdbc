"""Short timers as the interface tells of them: lines, and what the desktop is told."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import TYPE_CHECKING

from finplan.planning.plan import PlannedStep
from finplan.tracking.timers import Timer, TimerKind
from finplan.tracking.timers import timers as timers_of
from finplan.trade.finishes import Finish
from finplan.tui.models.paint import Line, Role, line, spread, tidy
from finplan.tui.models.times import clock, until
from finplan.tui.models.view import View
from finplan.tui.models.words import GOVERNS, load_of, short_title

if TYPE_CHECKING:
    from finplan.alerts.rung import Alarm

MARK = "◷"


def timers(view: View, now: dt.datetime) -> tuple[Timer, ...]:
    """Return the timers that run at ``now``, the one that rings first on top."""
    return timers_of(view.steps, partial(_finish_of, view), now)


def _finish_of(view: View, step: PlannedStep) -> Finish | None:
    own = view.as_made(step)
    return view.planned.finishes.get(own.finish or "") if own and view.planned else None


def words_of(timer: Timer) -> str:
    """Return what is to be done."""
    if timer.kind is TimerKind.WIPE_OFF:
        return f"wipe off {load_of(timer.step)}, {short_title(timer.step)}"
    if timer.kind is TimerKind.POT_LIFE:
        return f"pot life of {timer.finish.title} ends"
    return f"rags of {timer.finish.name}: under water in a closed metal can, or flat outdoors"


def alarms(running: tuple[Timer, ...], now: dt.datetime) -> tuple[Alarm, ...]:
    """Return what a desktop notice is raised for beside the reminders: a pot life that ended.

    Wiping off and rags have reminders of their own, which ring the notices.
    """
    from finplan.alerts.rung import Alarm

    return tuple(
        Alarm(
            f"{timer.key} {timer.rings.isoformat()}",
            tidy(words_of(timer), 100),
            f"What is left in the pot has begun to set: mix no more into it. {GOVERNS}",
        )
        for timer in running
        if timer.kind is TimerKind.POT_LIFE and timer.rings <= now
    )


def timer_words(running: tuple[Timer, ...], now: dt.datetime) -> tuple[tuple[Timer, str], ...]:
    """Return each timer with what changes as time goes; equal answers need no drawing."""
    return tuple((timer, until(timer.latest or timer.rings, now)) for timer in running)


def timer_lines(
    running: tuple[Timer, ...], now: dt.datetime, zone: str, width: int
) -> tuple[Line, ...]:
    """Return a line for each timer: what, from when, until when at the latest."""
    lines = []
    for timer in running:
        due = timer.rings <= now
        late = timer.latest is not None and timer.latest <= now
        role = Role.BAD if late else Role.WATCH if due else Role.PLAIN
        word = "late! " if late else "now " if due else ""
        left = line((f"{MARK} {word}", role), (tidy(words_of(timer), 100), role))
        right = "" if due and timer.latest is None else until(timer.rings, now)
        if timer.latest is not None:
            span = f"{clock(timer.rings, zone)} to {clock(timer.latest, zone)}"
            right = f"{span}, {until(timer.latest if due else timer.rings, now)}"
        lines.append(spread(left, line((right, role)), width))
    return tuple(lines)
