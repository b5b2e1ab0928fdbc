"""Short timers that run in the shop: wiping off, pot life, oily rags.

They follow from the journal and the finishes alone, so they survive a restart.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from finplan.planning.plan import PlannedStep
from finplan.trade.finishes import Finish
from finplan.trade.steps import WET_KINDS, StepKind

RAGS_SHOWN = dt.timedelta(hours=3)
"""How long after an oil coat the rags are called to mind (common practice, no source)."""

OILY_RAGS = "oily rags"
"""The library's caution that finishes with self-heating rags carry."""

_A_DAY, _AN_HOUR = dt.timedelta(days=1), dt.timedelta(hours=1)


class TimerKind(StrEnum):
    """What is to be done when a timer rings."""

    WIPE_OFF = "wipe"
    POT_LIFE = "pot"
    RAGS = "rags"


@dataclass(frozen=True, slots=True)
class Timer:
    """Something due at ``rings`` after ``step``; ``latest`` is the last good moment, if any."""

    kind: TimerKind
    step: PlannedStep
    finish: Finish
    rings: dt.datetime
    latest: dt.datetime | None = None

    @property
    def key(self) -> str:
        """What tells this timer from the others."""
        return f"{self.kind.value}:{self.step.id}"


def timers(
    steps: Sequence[PlannedStep],
    finish_of: Callable[[PlannedStep], Finish | None],
    now: dt.datetime,
) -> tuple[Timer, ...]:
    """Return the timers that run at ``now``, the one that rings first on top.

    Args:
        steps: all dated steps of the plan, earliest first.
        finish_of: the finish a step puts on, None where it puts on none that is known.
        now: the moment asked for (aware).
    """
    found: list[Timer] = []
    for step in steps:
        put_on = step.done and not step.skipped and step.kind in WET_KINDS
        if put_on and dt.timedelta(0) <= now - step.end < _A_DAY:
            finish = finish_of(step)
            found += _of_step(steps, step, finish, now) if finish else ()
    return tuple(sorted(found, key=lambda timer: (timer.rings, timer.key)))


def _of_step(
    steps: Sequence[PlannedStep], step: PlannedStep, finish: Finish, now: dt.datetime
) -> Iterator[Timer]:
    if finish.wipe_off_minutes and _wipes_next(steps, step):
        low, high = finish.wipe_off_minutes.low, finish.wipe_off_minutes.high
        first, last = (step.end + dt.timedelta(minutes=span) for span in (low, high))
        yield Timer(TimerKind.WIPE_OFF, step, finish, first, last)
    if finish.pot_life_hours is not None:
        ends = step.start + dt.timedelta(hours=finish.pot_life_hours.value)
        if now < ends + _AN_HOUR:
            yield Timer(TimerKind.POT_LIFE, step, finish, ends)
    if OILY_RAGS in finish.cautions and now - step.end < RAGS_SHOWN:
        yield Timer(TimerKind.RAGS, step, finish, step.end)


def _wipes_next(steps: Sequence[PlannedStep], step: PlannedStep) -> bool:
    """Whether the next thing to do to the load is to wipe off what this step left wet."""
    load = (step.project, step.batch, step.load)
    later = [
        other
        for other in steps
        if (other.project, other.batch, other.load) == load
        and other.start >= step.start
        and other.id != step.id
    ]
    if any(one.done and not one.skipped and one.kind in WET_KINDS for one in later):
        return False
    following = next((other for other in later if not other.done), None)
    return following is not None and following.kind is StepKind.WIPE_OFF
