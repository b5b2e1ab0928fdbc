"""Why there is no plan, or none by a date: smallest sets of reasons, and what would free it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from zoneinfo import ZoneInfo

from finplan.drying.arrhenius import REFERENCE_C
from finplan.planning.deadline import last_instant
from finplan.planning.drop import ways_to_drop
from finplan.planning.obstacle_words import said
from finplan.planning.obstacles import (
    Enough,
    Obstacle,
    Trial,
    any_plan,
    in_its_window,
    obstacles,
    ready_by,
)
from finplan.planning.request import PlanRequest
from finplan.planning.restrictions import Kind, lifted
from finplan.planning.ways_out import Way, finishes_past, ways_past
from finplan.planning.words import hour
from finplan.trade.moments import say_moment
from finplan.trade.quantities import format_temperature
from finplan.trade.schedules import Template

_NOT_SMALLEST = (
    "With so many steps not everything was tried: not all of these reasons may be needed."
)
_NOT_TOGETHER = (
    "What frees the one was tried with the others out of the way: all of it together may not do."
)
_NOT_ALL_TRIED = "Not every way out was tried, since there are so many steps."
NOT_ALL_DROPPED = (
    "Not all that could be left out or done otherwise was tried, since there are so many steps: "
    "the batches that are ready last came first."
)


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing without which there would be a plan: of what kind, about whom or what, in words."""

    kind: Kind
    subject: str
    said: str


@dataclass(frozen=True, slots=True)
class Hindrance:
    """A smallest set of reasons that together leave no plan.

    ``fact``: what cannot be, in a sentence. ``reasons`` may be empty where the work and the drying
    alone take too long. ``ways``: what would do away with it, each by itself. ``smallest``,
    ``all_tried``: that none of the reasons is more than is needed was shown, and every way was
    tried; of a large workshop only so much is planned again. ``dated``: each way leads, with the
    first way of every hindrance before, to a plan ready when it says; else there is more in the
    way, and its date is of a shop without that.
    """

    fact: str
    reasons: tuple[Reason, ...]
    ways: tuple[Way, ...]
    smallest: bool = True
    all_tried: bool = True
    dated: bool = True


@dataclass(frozen=True, slots=True)
class TooLate:
    """Why a date cannot be met.

    ``ready``: when all is safely ready as things are. ``hindrances``: with one, each of its ways
    meets the date; with several each has to be dealt with. ``drops``: what to leave out or do
    otherwise, each of which meets the date by itself; ``closest``: where nothing does, what comes
    closest. ``all_drops_tried``: whether all of that was tried.
    """

    by: dt.date
    ready: dt.datetime
    hindrances: tuple[Hindrance, ...]
    drops: tuple[Way, ...]
    closest: Way | None
    all_drops_tried: bool = True


def why_no_plan(
    request: PlanRequest, templates: Mapping[str, Template] | None = None
) -> tuple[Hindrance, ...]:
    """What leaves a request without any plan; empty if it has one.

    Every reason was tried: with those of its set alone in force there is no plan, without any one
    of them there is.

    Args:
        request: what there is no plan for.
        templates: finishing schedules by name, for finishes that need other steps.
    """
    trial = Trial(_plain(request), any_plan)
    return tuple(_hindrances(trial, request, None, lambda one: one.fact, templates or {}))


def why_too_late(
    request: PlanRequest, by: dt.date, templates: Mapping[str, Template] | None = None
) -> TooLate | None:
    """Why all a date is of cannot be safely ready by it, and what to drop; None if it can.

    Args:
        request: what is planned.
        by: the day by whose end all is to be ready.
        templates: finishing schedules by name, for finishes that need other steps.

    Raises:
        NoPlan: if there is no plan at all.
    """
    plain = _plain(request)
    end = last_instant(request, by)
    trial = Trial(plain, ready_by(end))
    ready = Trial(plain, any_plan).first()
    if ready <= end:
        return None
    found = tuple(
        _hindrances(trial, request, end, lambda one: "" if one.restrictions else _alone(trial))
    )
    drops = ways_to_drop(plain, end, templates or {})
    return TooLate(by, ready, found, drops.in_time, drops.closest, drops.all_tried)


def why_window_missed(request: PlanRequest, step_id: str) -> tuple[Hindrance, ...]:
    """What keeps a coat from going on before the window of the one below closes; empty if it does.

    Args:
        request: what is planned.
        step_id: the id of the coat.

    Raises:
        NoPlan: if there is no plan at all.
    """
    trial = Trial(_plain(request), in_its_window(step_id))
    fact = "the window closes before it could go on, even at all hours of the day"
    return tuple(_hindrances(trial, request, None, lambda one: "" if one.restrictions else fact))


def _hindrances(
    trial: Trial,
    request: PlanRequest,
    by: dt.datetime | None,
    fact: Callable[[Obstacle], str],
    templates: Mapping[str, Template] | None = None,
) -> Iterator[Hindrance]:
    """Each obstacle with its reasons in words, and what would free a plan of it.

    Args:
        trial: tries what is wanted.
        request: as it was asked.
        by: until when the reasons are told.
        fact: what cannot be, in a sentence.
        templates: finishing schedules for other finishes; None where none is to be tried.
    """
    found = obstacles(trial)
    freed: PlanRequest | None = trial.request
    for number, one in enumerate(found):
        trial.left += trial.most // len(found)  # each set has its own share of the plans
        later = [gone for other in found[number + 1 :] for gone in other.restrictions]
        apart = lifted(trial.request, one.others)
        base = lifted(freed, later) if freed is not None else apart
        ways, all_tried = _ways(trial, one, base, templates)
        if not ways and freed is not None and number:
            freed = None  # what is the least for the others is not enough for this one
            ways, all_tried = _ways(trial, one, apart, templates)
        dated = freed is not None and not later
        if freed is not None:
            freed = ways[0].change(freed) if ways and ways[0].change is not None else None
        yield Hindrance(fact(one), _reasons(request, one, by), ways, one.smallest, all_tried, dated)


def _ways(
    trial: Trial,
    obstacle: Obstacle,
    base: PlanRequest,
    templates: Mapping[str, Template] | None,
) -> tuple[tuple[Way, ...], bool]:
    """The ways past an obstacle, and whether all of them were tried."""
    ways: list[Way] = []
    finishes = (
        finishes_past(trial, obstacle, base, templates) if templates is not None else iter(())
    )
    try:
        for way in chain(ways_past(trial, obstacle, base), finishes):
            ways.append(way)  # one by one: those before the end count
    except Enough:
        return tuple(ways), False
    return tuple(ways), True


def in_words(hindrances: tuple[Hindrance, ...], zone: ZoneInfo) -> list[str]:
    """What leaves no plan and what would free it, a paragraph for each set of reasons."""
    told = []
    for number, one in enumerate(hindrances):
        since = " and ".join(reason.said for reason in one.reasons)
        begin = "And besides: " if number else ""
        words = f"{begin}{one.fact}" + (f", since {since}" if since else "") + "."
        told_of = (in_full(way) + when_ready(one, way, " (ready {})", zone) for way in one.ways)
        ways = "; ".join(told_of)
        begin = frees(one, number)
        words = f"{words} {begin[0].upper()}{begin[1:]} {ways}." if ways else words
        told.append(" ".join([words, *untried(one)]))
    return [*told, *together(hindrances)]


def frees(one: Hindrance, number: int) -> str:
    """What stands in front of the ways past a hindrance, of which so many were told before."""
    first = "with the first way of each above, " if number and one.dated else ""
    return f"{first}any one of these frees it:"


def when_ready(one: Hindrance, way: Way, words: str, zone: ZoneInfo) -> str:
    """When all is safely ready by a way past a hindrance, put into words; empty if not known."""
    return words.format(say_moment(way.ready, zone)) if one.dated else ""


def in_full(way: Way) -> str:
    """A way out in words, with a word on whether less of it may do."""
    return way.about if way.least else f"{way.about}, or less"


def untried(one: Hindrance) -> list[str]:
    """What was not looked into, a sentence each; none where all was."""
    told = []
    if not one.smallest:
        told.append(_NOT_SMALLEST)
    if not one.all_tried:
        told.append(_NOT_ALL_TRIED)
    return told


def together(hindrances: tuple[Hindrance, ...]) -> list[str]:
    """A word on whether what frees each of several hindrances does so together, if not known."""
    several = len(hindrances) > 1 and all(one.ways for one in hindrances)
    return [_NOT_TOGETHER] if several and not hindrances[-1].dated else []


def _plain(request: PlanRequest) -> PlanRequest:
    return replace(request, seconds=0.0, ready_by=None, before=None)


def _reasons(
    request: PlanRequest, obstacle: Obstacle, by: dt.datetime | None
) -> tuple[Reason, ...]:
    return tuple(
        Reason(one.kind, one.subject, said(request, one, by)) for one in obstacle.restrictions
    )


def _alone(trial: Trial) -> str:
    """What the steps take when nothing else stands in the way."""
    ready = Trial(trial.at_best(), any_plan).first()
    when = hour(ready.timestamp(), trial.request.told_in)
    return (
        f"the work and the drying alone take until {when}, even at all hours of the day in air of "
        f"{format_temperature(REFERENCE_C, trial.request.units)} and 50 %"
    )
