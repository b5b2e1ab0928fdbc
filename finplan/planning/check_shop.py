"""The checker's second half: people, hours, air, rack and dust. No code of the planners."""

from __future__ import annotations

import datetime as dt
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
from dateutil.rrule import rrulestr

from finplan.drying.limits import may_coat
from finplan.planning.check_clocks import Clocks
from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.trade.finishes import Stage
from finplan.trade.quantities import format_area
from finplan.trade.steps import DUSTY_KINDS, WAITING_KINDS, WET_KINDS, Side
from finplan.trade.workshop import Person, WorkWindow

_DAY, _BLOCK = dt.timedelta(days=1), dt.timedelta(days=60)
_SPLIT_TOLERANCE_M2 = 1e-6

_LONG = dt.timedelta(days=365)
"""A coat wet for longer is looked at beside all dust."""

Span = tuple[dt.datetime, dt.datetime]

_LoadKey = tuple[str, str, int]


def shop_faults(request: PlanRequest, plan: Plan, clocks: Clocks) -> list[str]:
    """Faults of a plan in what the shop has: hours, people, air, rack, dust."""
    found = []
    for step in plan.steps:
        if not step.done:
            found += _hours_of_step(request, step)
    found += _air_faults(request, plan, clocks)
    found += _people_faults(request, plan)
    for space in request.workshop.spaces:
        own = [step for step in plan.steps if step.space == space.name]
        found += _rack_faults(request, clocks, own, space.rack_area_m2)
        if not space.dust_apart:
            found += _dust_faults(request, clocks, own)
    return found


def _hours_of_step(request: PlanRequest, step: PlannedStep) -> list[str]:
    found = []
    begins = next(request.begins(one) for one in request.projects if one.name == step.project)
    past = step.start < request.now and step.kind not in WAITING_KINDS
    if past or (begins is not None and step.start < begins):
        found.append(f"{step.id}: planned in the past or before the project begins")
    put_off = request.not_before.get(step.id)
    if put_off is not None and step.start < put_off:
        found.append(f"{step.id}: planned before the hour it is put off to")
    if step.kind not in WAITING_KINDS and _in_blocked(request, step):
        found.append(f"{step.id}: worked on while its project is blocked")
    if (step.start, step.end) != (step.pieces[0][0], step.pieces[-1][1]):
        found.append(f"{step.id}: its pieces do not make up its start and end")
    worked = sum(((end - start) for start, end in step.pieces), dt.timedelta())
    hands_on = step.kind not in WAITING_KINDS and step.minutes > 0
    if hands_on and worked + dt.timedelta(seconds=1) < dt.timedelta(minutes=step.minutes):
        found.append(f"{step.id}: less time than it takes")
    if hands_on and not step.person:
        found.append(f"{step.id}: nobody does it")
    if len(step.pieces) > 1:
        least = dt.timedelta(minutes=request.workshop.shortest_piece_minutes)
        if any(end - start < least for start, end in step.pieces):
            found.append(f"{step.id}: a piece is too short")
    return found


def _in_blocked(request: PlanRequest, step: PlannedStep) -> bool:
    blocked = next(one.blocked for one in request.projects if one.name == step.project)
    return any(
        start < stretch.end and stretch.start < end
        for stretch in blocked
        for start, end in step.pieces
    )


def _air_faults(request: PlanRequest, plan: Plan, clocks: Clocks) -> list[str]:
    """Wet steps in air that is not fit for them; each finish in each space is looked at once."""
    coats: dict[tuple[str, str], list[PlannedStep]] = {}
    for step in plan.steps:
        if step.done or step.kind not in WET_KINDS:
            continue
        finish = clocks.finish_of(step)
        if finish is not None:
            coats.setdefault((finish, step.space), []).append(step)
    found = []
    for (finish, space), steps in coats.items():
        at = np.array([step.start.timestamp() for step in steps])
        good = may_coat(request.finishes[finish], request.air[space], at)
        for step, fit in zip(steps, good.tolist(), strict=True):
            if not fit:
                found.append(f"{step.id}: the air is not fit for it")
    return found


def _people_faults(request: PlanRequest, plan: Plan) -> list[str]:
    found = []
    by_name = {person.name: person for person in request.workshop.people}
    zone = ZoneInfo(request.workshop.zone)
    for name, person in by_name.items():
        own = [step for step in plan.steps if step.person == name and not step.done]
        if not own:
            continue
        last = max(step.end for step in own)
        hours = hours_of(person, zone, request.now, last)
        taken: list[tuple[dt.datetime, dt.datetime, str]] = []
        for step in own:
            if person.can is not None and step.kind not in person.can:
                found.append(f"{step.id}: {name} does not do {step.kind.value}")
            for start, end in step.pieces:
                at = bisect_right(hours, start, key=_start) - 1
                if at < 0 or end > hours[at][1]:
                    found.append(f"{step.id}: outside the hours of {name}")
                taken.append((start, end, step.id))
        taken.sort()
        for before, after in pairwise(taken):
            if after[0] < before[1]:
                found.append(f"{after[2]}: {name} is busy with {before[2]}")
    strangers = {step.person for step in plan.steps if not step.done} - {*by_name, ""}
    return [*found, *(f"{name} is not in the workshop" for name in sorted(strangers))]


def _start(span: Span) -> dt.datetime:
    return span[0]


def hours_of(person: Person, zone: ZoneInfo, begin: dt.datetime, end: dt.datetime) -> list[Span]:
    """A person's hours as unbroken stretches."""
    low = begin.astimezone(zone).replace(tzinfo=None)
    blocks = 1 + (end - begin) // _BLOCK
    spans = [span for window in person.windows for span in _spans_of(window, zone, low, blocks)]
    away = [(busy.start, busy.end) for busy in person.busy]
    for off in person.days_off:
        midnight = dt.datetime.combine(off, dt.time(), zone).astimezone(dt.UTC)
        after = dt.datetime.combine(off + _DAY, dt.time(), zone).astimezone(dt.UTC)
        away.append((midnight, after))
    return _without(union_of(spans), away)


@lru_cache(maxsize=64)  # many plans of one shop are looked at, and rules are slow to follow
def _spans_of(window: WorkWindow, zone: ZoneInfo, low: dt.datetime, blocks: int) -> list[Span]:
    """Each time a window comes round from a local moment on, for so many blocks of days."""
    rule = rrulestr(window.rule, dtstart=dt.datetime.combine(dt.date(2024, 1, 1), window.start))
    first = low - 2 * _DAY - dt.timedelta(minutes=window.minutes)
    starts = [
        day.replace(tzinfo=zone).astimezone(dt.UTC)
        for day in rule.between(first, low + blocks * _BLOCK + 2 * _DAY, inc=True)
    ]
    return [(start, start + dt.timedelta(minutes=window.minutes)) for start in starts]


def union_of(spans: Iterable[Span]) -> list[Span]:
    """Stretches that meet or overlap made one, in order."""
    merged: list[Span] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged


def _without(spans: list[Span], away: list[Span]) -> list[Span]:
    for gone, back in away:
        spans = [
            piece
            for start, end in spans
            for piece in ((start, min(end, gone)), (max(start, back), end))
            if piece[0] < piece[1]
        ]
    return spans


def _reached(clocks: Clocks, step: PlannedStep, stage: Stage) -> dt.datetime:
    clock = clocks.of(clocks.finish_of(step) or "", step.space)
    seconds = clock.ready(step.end.timestamp(), stage)
    if not math.isfinite(seconds) or seconds > 2e11:
        return dt.datetime.max.replace(tzinfo=dt.UTC)
    return dt.datetime.fromtimestamp(seconds, dt.UTC)


def _coats(steps: list[PlannedStep]) -> list[PlannedStep]:
    return [step for step in steps if step.kind in WET_KINDS and not step.skipped]


def _rack_faults(
    request: PlanRequest, clocks: Clocks, own: list[PlannedStep], rack_m2: float
) -> list[str]:
    """Moments at which more lies on the rack than fits, unless it lies there already."""
    coats = _coats(own)
    second: dict[tuple[_LoadKey, int | None], dt.datetime] = {}
    for step in coats:
        if step.side is Side.SECOND:
            key = (_load_of(step), step.coat)
            second[key] = max(step.start, second.get(key, step.start))
    stays: dict[_LoadKey, list[Span]] = {}
    area: dict[_LoadKey, float] = {}
    for step in coats:
        load = _load_of(step)
        end = _reached(clocks, step, Stage.DRY_TO_HANDLE)
        if step.side is Side.FIRST:
            end = max(end, second.get((load, step.coat), end))
        stays.setdefault(load, []).append((step.start, end))
        area[load] = step.rack_m2
    there: dict[_LoadKey, dt.datetime] = {}
    to_come = sorted(
        (start, end, load) for load, spans in stays.items() for start, end in union_of(spans)
    )
    to_come.reverse()
    found = []
    for step in sorted(coats, key=lambda one: one.start):
        while to_come and to_come[-1][0] <= step.start:
            _, end, load = to_come.pop()
            there[load] = end
        there = {load: end for load, end in there.items() if end > step.start}
        total = sum(area[load] for load in there)
        if not step.done and total > rack_m2 + _SPLIT_TOLERANCE_M2 and len(there) > 1:
            rack = format_area(rack_m2, request.units)
            found.append(f"{step.id}: {format_area(total, request.units)} on a rack of {rack}")
    return found


def _load_of(step: PlannedStep) -> _LoadKey:
    return step.project, step.batch, step.load


def _dust_faults(request: PlanRequest, clocks: Clocks, own: list[PlannedStep]) -> list[str]:
    settle = dt.timedelta(minutes=request.workshop.dust_settles_minutes)
    wet = [(step, _reached(clocks, step, Stage.DUST_FREE)) for step in _coats(own)]
    wet.sort(key=lambda one: one[0].start)
    starts = [coat.start for coat, _ in wet]
    longest = max((dust_free - coat.start for coat, dust_free in wet), default=settle)
    found = []
    for dusty in own:
        if dusty.kind not in DUSTY_KINDS:
            continue
        low = bisect_left(starts, dusty.start - longest) if longest < _LONG else 0
        for coat, dust_free in wet[low : bisect_left(starts, dusty.end + settle)]:
            if dusty.start >= dust_free or (dusty.done and coat.done):
                continue
            for start, end in dusty.pieces:
                if start < dust_free and coat.start < end + settle:
                    found.append(f"{dusty.id}: dust on {coat.id}")
    return found
