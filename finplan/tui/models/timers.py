"""Short timers that run in the shop: wiping off, pot life, oily rags.

They follow from the journal and the finishes alone, so they survive a restart.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.planning.plan import PlannedStep
from finplan.trade.finishes import Finish
from finplan.trade.steps import WET_KINDS, StepKind
from finplan.tui.models.paint import Line, Role, line, spread, tidy
from finplan.tui.models.times import clock, until
from finplan.tui.models.view import View
from finplan.tui.models.words import GOVERNS, load_of, short_title

if TYPE_CHECKING:
    from finplan.alerts.rung import Alarm

RAGS_SHOWN = dt.timedelta(hours=3)
"""How long after an oil coat the rags are called to mind (common practice, no source)."""

OILY_RAGS = "oily rags"
"""The library's caution that finishes with self-heating rags carry."""

POT = "pot:"
MARK = "◷"


@dataclass(frozen=True, slots=True)
class Timer:
    """``words`` become due at ``rings``; ``latest`` is the last good moment, if there is one."""

    key: str
    words: str
    rings: dt.datetime
    latest: dt.datetime | None


def timers(view: View, now: dt.datetime) -> tuple[Timer, ...]:
    """Return the timers that run at ``now``, the one that rings first on top."""
    found = [timer for step in view.steps for timer in _of_step(view, step, now)]
    return tuple(sorted(found, key=lambda timer: (timer.rings, timer.key)))


def _of_step(view: View, step: PlannedStep, now: dt.datetime) -> Iterator[Timer]:
    if view.planned is None or not step.done or step.kind not in WET_KINDS:
        return
    if not dt.timedelta(0) <= now - step.end < dt.timedelta(days=1):
        return
    own = view.as_made(step)
    finish = view.planned.finishes.get((own and own.finish) or "")
    if finish is None:
        return
    if finish.wipe_off_minutes and _wipes_next(view, step):
        span = finish.wipe_off_minutes
        yield Timer(
            f"wipe:{step.id}",
            f"wipe off {load_of(step)}, {short_title(step)}",
            step.end + dt.timedelta(minutes=span.low),
            step.end + dt.timedelta(minutes=span.high),
        )
    yield from _pot_and_rags(step, finish, now)


def _pot_and_rags(step: PlannedStep, finish: Finish, now: dt.datetime) -> Iterator[Timer]:
    if finish.pot_life_hours is not None:
        ends = step.start + dt.timedelta(hours=finish.pot_life_hours.value)
        if now < ends + dt.timedelta(hours=1):
            yield Timer(f"{POT}{step.id}", f"pot life of {finish.title} ends", ends, None)
    if OILY_RAGS in finish.cautions and now - step.end < RAGS_SHOWN:
        words = f"rags of {finish.name}: under water in a closed metal can, or flat outdoors"
        yield Timer(f"rags:{step.id}", words, step.end, None)


def _wipes_next(view: View, step: PlannedStep) -> bool:
    """Whether the next step of the load is a wiping off that is not done yet."""
    load = (step.project, step.batch, step.load)
    after = [
        other
        for other in view.steps
        if (other.project, other.batch, other.load) == load
        and other.start >= step.start
        and not other.done
    ]
    return bool(after) and after[0].kind is StepKind.WIPE_OFF


def alarms(running: tuple[Timer, ...], now: dt.datetime) -> tuple[Alarm, ...]:
    """Return what a desktop notice is raised for beside the reminders: a pot life that ended.

    Wiping off and rags have reminders of their own, which ring the notices.
    """
    from finplan.alerts.rung import Alarm

    return tuple(
        Alarm(
            f"{timer.key} {timer.rings.isoformat()}",
            tidy(timer.words, 100),
            f"What is left in the pot has begun to set: mix no more into it. {GOVERNS}",
        )
        for timer in running
        if timer.key.startswith(POT) and timer.rings <= now
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
        left = line((f"{MARK} {word}", role), (tidy(timer.words, 100), role))
        right = "" if due and timer.latest is None else until(timer.rings, now)
        if timer.latest is not None:
            span = f"{clock(timer.rings, zone)} to {clock(timer.latest, zone)}"
            right = f"{span}, {until(timer.latest if due else timer.rings, now)}"
        lines.append(spread(left, line((right, role)), width))
    return tuple(lines)
