"""What moved from one plan to the next, and why."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from finplan.planning.kept import KeptPlan, KeptStep, name_of
from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.words import hour, length, reached
from finplan.trade.moments import say_date
from finplan.trade.steps import WET_KINDS

_SAME = dt.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that moved: a step, or the date a project is ready (``step`` empty).

    ``was`` is None for a step that came in, ``now`` for one no longer needed or left out.
    ``because`` says why, empty where there is nothing to say. ``sentence`` says it all, and begins
    with ``what`` moved. ``after``: the id of the step that moved it, if one did.
    """

    project: str
    step: str
    was: dt.datetime | None
    now: dt.datetime | None
    because: str
    sentence: str
    what: str = ""
    after: str = ""


def changes(old: KeptPlan, new: Plan, zone: ZoneInfo) -> tuple[Change, ...]:
    """What moved from one plan to the next; empty if nothing did.

    Args:
        old: the plan before.
        new: the plan now.
        zone: the zone hours are told in.
    """
    return (*_dates(old, new, zone), *_steps(old, new, zone))


def _dates(old: KeptPlan, new: Plan, zone: ZoneInfo) -> list[Change]:
    told = []
    for ready in new.ready:
        was = old.ready.get(ready.project)
        if was is None or abs(ready.safe - was) < _SAME:
            continue
        sentence = (
            f"{ready.project} is safely ready {_hour(ready.safe, zone, was)} instead of "
            f"{_hour(was, zone, ready.safe)}, {_shift(ready.safe - was)}."
        )
        told.append(Change(ready.project, "", was, ready.safe, "", sentence))
    return told


def _steps(old: KeptPlan, new: Plan, zone: ZoneInfo) -> list[Change]:
    before = {step.id: step for step in old.steps}
    now = {step.id: step for step in new.steps}
    known = {step.project for step in new.steps if step.id in before}
    told = []
    for step in new.steps:
        was = before.get(step.id)
        if step.done or (was is None and step.project not in known):
            continue
        if was is None:
            sentence = f"{name_of(step)} comes in, {_hour(step.start, zone)}. {step.reason}"
            told.append(Change(step.project, step.id, None, step.start, step.reason, sentence))
        elif abs(step.start - was.start) >= _SAME:
            mover, because = _because(step, was, new, before, now)
            old_hour, new_hour = (
                _hour(was.start, zone, step.start),
                _hour(step.start, zone, was.start),
            )
            what = f"{name_of(step)} moves from {old_hour} to {new_hour}"
            sentence = f"{what}, because {because}." if because else f"{what}. {step.reason}"
            because = because or step.reason
            told.append(
                Change(step.project, step.id, was.start, step.start, because, sentence, what, mover)
            )
    planned = {one.project for one in new.ready}
    for gone in old.steps:
        project = gone.id.split("/", 1)[0]
        if gone.id not in now and not gone.done and project in planned:
            coat = _went_on_without(gone, before, new)
            sentence = f"{gone.name} is no longer needed."
            if coat is not None:
                sentence = f"{gone.name} is left out: {name_of(coat)} went on without it."
            told.append(Change(project, gone.id, gone.start, None, "", sentence))
    return told


def _went_on_without(gone: KeptStep, before: dict[str, KeptStep], new: Plan) -> PlannedStep | None:
    """The first coat recorded since that was to follow a step of its load that is gone."""
    load = gone.id.rsplit("/", 1)[0]
    coats = [
        step
        for step in new.steps
        if step.kind in WET_KINDS
        and step.done
        and step.id.rsplit("/", 1)[0] == load
        and step.id in before
        and before[step.id].start >= gone.end
    ]
    return min(coats, key=lambda step: (step.start, step.id), default=None)


def _because(
    step: PlannedStep,
    was: KeptStep,
    new: Plan,
    before: dict[str, KeptStep],
    now: dict[str, PlannedStep],
) -> tuple[str, str]:
    """What moved a step: the coat it waits for, the step before it, or its hour gone by.

    Returns:
        The id of that coat or step, and why in words; each may be empty.
    """
    wait = step.waits_for
    if wait is not None and wait.step in now and wait.step in before:
        coat = now[wait.step]
        by = coat.end - before[wait.step].end
        if abs(by) >= _SAME:
            return coat.id, f"{name_of(coat)} {'was' if coat.done else 'is'} {_shift(by)}"
        if was.dry is not None and abs(wait.safe - was.dry) >= _SAME:
            return "", f"{name_of(coat)} is {reached(wait.stage)} {_shift(wait.safe - was.dry)}"
    ahead = _ahead(step, new)
    if ahead is not None and ahead.id in before:
        by = ahead.end - before[ahead.id].end
        if abs(by) >= _SAME and (by > dt.timedelta(0)) == (step.start > was.start):
            before_it = f"{name_of(ahead)} before it {'was' if ahead.done else 'is'}"
            return ahead.id, f"{before_it} {_shift(by)}"
    if was.start < new.now:
        return "", "nothing is recorded of it"
    return "", ""


def _ahead(step: PlannedStep, new: Plan) -> PlannedStep | None:
    """The last step of the same load that is over before a step starts.

    What was recorded with a coat, as it has to come before it, ends with the coat: that counts.
    """
    own = (step.project, step.batch, step.load)
    earlier = [
        one
        for one in new.steps
        if (one.project, one.batch, one.load) == own and one.end <= step.start and one is not step
    ]

    def last(one: PlannedStep) -> tuple[dt.datetime, dt.datetime, int, bool, str]:
        return one.end, one.start, one.coat, one.kind in WET_KINDS, one.id

    return max(earlier, key=last, default=None)


def _shift(change: dt.timedelta) -> str:
    word = "later" if change > dt.timedelta(0) else "sooner"
    return f"{length(abs(change.total_seconds()))} {word}"


def _hour(at: dt.datetime, zone: ZoneInfo, other: dt.datetime | None = None) -> str:
    """Day and hour; with the year where another instant told with it lies in another."""
    local = at.astimezone(zone)
    if other is None or other.astimezone(zone).year == local.year:
        return hour(at.timestamp(), zone)
    return f"{say_date(local)} {local:%H:%M}"
