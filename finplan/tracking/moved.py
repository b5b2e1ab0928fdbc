"""What moved between two plans, in sentences."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from finplan.planning.plan import Plan, PlannedStep, ProjectReady
from finplan.tracking.wording import when_words

SMALLEST = dt.timedelta(minutes=1)
"""A shift below this is none."""


def moved(before: Plan, after: Plan, zone: ZoneInfo) -> tuple[str, ...]:
    """Return a sentence for each project whose date and each step whose start moved.

    Steps done by now, and steps that are only in one of the plans, are not told of.

    Args:
        before: the plan in hand.
        after: the plan that takes its place.
        zone: where people read the times.
    """
    ready = {one.project: one for one in before.ready}
    told = [
        sentence
        for one in after.ready
        if (sentence := _ready_moved(ready.get(one.project), one, zone)) is not None
    ]
    starts = {step.id: step for step in before.steps}
    for step in after.steps:
        old = starts.get(step.id)
        if old is not None and not step.done and abs(step.start - old.start) >= SMALLEST:
            told.append(_step_moved(old, step, zone))
    return tuple(told)


def _ready_moved(old: ProjectReady | None, new: ProjectReady, zone: ZoneInfo) -> str | None:
    if old is None or abs(new.safe - old.safe) < SMALLEST:
        return None
    return (
        f"{new.project} is ready (safe) {when_words(new.safe, zone)}, "
        f"{_shift(new.safe - old.safe)} than before ({when_words(old.safe, zone)})"
    )


def _step_moved(old: PlannedStep, new: PlannedStep, zone: ZoneInfo) -> str:
    load = f", load {new.load} of {new.loads}" if new.loads > 1 else ""
    return (
        f"{new.title} ({new.batch}{load}): from {when_words(old.start, zone)} to "
        f"{when_words(new.start, zone)}, {_shift(new.start - old.start)}"
    )


def _shift(by: dt.timedelta) -> str:
    minutes = round(abs(by).total_seconds() / 60)
    word = "later" if by > dt.timedelta(0) else "sooner"
    if minutes < 60:
        return f"{minutes} min {word}"
    if minutes < 48 * 60:
        return f"{round(minutes / 60)} h {word}"
    return f"{round(minutes / 1440)} days {word}"
