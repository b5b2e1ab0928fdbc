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
ROLES = {"": Role.PLAIN, "now ": Role.WATCH, "late! ": Role.BAD}


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
    return tuple((timer, f"{_pressing(timer, now)}{_left(timer, now)}") for timer in running)


def _pressing(timer: Timer, now: dt.datetime) -> str:
    if timer.latest is not None and timer.latest <= now:
        return "late! "
    return "now " if timer.rings <= now else ""


def _left(timer: Timer, now: dt.datetime) -> str:
    """Return how long it is until it rings, or once it rang until it is late."""
    return until(timer.latest if timer.latest and timer.rings <= now else timer.rings, now)


def timer_lines(
    running: tuple[Timer, ...], now: dt.datetime, zone: str, width: int
) -> tuple[Line, ...]:
    """Return a line for each timer: what, from when, until when at the latest."""
    lines = []
    for timer in running:
        word = _pressing(timer, now)
        role = ROLES[word]
        left = line((f"{MARK} {word}", role), (tidy(words_of(timer), 100), role))
        right = "" if word and timer.latest is None else _left(timer, now)
        if timer.latest is not None:
            right = f"{clock(timer.rings, zone)} to {clock(timer.latest, zone)}, {right}"
        lines.append(spread(left, line((right, role)), width))
    return tuple(lines)
