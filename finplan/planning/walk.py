"""One load walked through its steps: from the finishing schedule to nodes and lags."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from finplan.journal.progress import Check, Done, Progress
from finplan.planning.hours import SLOT_S
from finplan.planning.items import Item, Site, Stretch, step_id
from finplan.planning.network import ANY_SLOT, Lag, Node, State, Stay, Window
from finplan.planning.request import PlanRequest
from finplan.trade.coverage import worked_area_m2
from finplan.trade.finishes import STAGE_ORDER, Stage
from finplan.trade.project import Project
from finplan.trade.steps import (
    DUSTY_KINDS,
    SPLITTABLE_KINDS,
    WAITING_KINDS,
    WET_KINDS,
    Side,
    Step,
    StepKind,
)

_SAME_SESSION_MINUTES = 120
"""A wiping that may wait longer than this is work of its own, not part of the coat's session."""


@dataclass(slots=True)
class Walk:
    """Where the walk through a load stands.

    ``before``: nodes the next step follows. ``wet``: nodes that left the last wet surface.
    ``under``: the coat that lies on each side. ``scuffed``: sides scuffed or sanded since, without
    condition, so that their window no longer counts.
    ``windows``: by coat. ``open``: nodes still to be placed, in order.
    """

    before: list[int] = field(default_factory=list)
    wet: list[int] = field(default_factory=list)
    under: dict[Side, int] = field(default_factory=dict)
    scuffed: set[Side] = field(default_factory=set)
    windows: dict[int, Window] = field(default_factory=dict)
    open: list[int] = field(default_factory=list)


def walk_stretch(site: Site, stretch: Stretch, walk: Walk) -> None:
    """Add the nodes of a stretch to the site: what is done first, then what is open."""
    progress = site.request.progress.get(stretch.project.name, Progress())
    facts = [(step, _fact(progress, stretch, step)) for step in stretch.steps]
    for step, fact in facts:
        if fact is not None:
            _add_done(site, stretch, walk, step, fact)
    for step, fact in facts:
        if fact is None:
            _add_open(site, stretch, walk, step, progress)


def _fact(progress: Progress, stretch: Stretch, step: Step) -> Done | None:
    if not stretch.joined:
        return progress.done.get((stretch.batch.name, stretch.number, step.key))
    known = [
        done
        for (batch, _, key), done in progress.done.items()
        if batch == stretch.batch.name and key == step.key
    ]
    return max(known, key=lambda done: done.ended, default=None)


def _item(stretch: Stretch, step: Step) -> Item:
    area = worked_area_m2(step, stretch.load.areas)
    minutes = 0.0 if step.kind in WAITING_KINDS else step.minutes_fixed + step.minutes_per_m2 * area
    return Item(
        project=stretch.project,
        batch=stretch.batch,
        load=stretch.number,
        loads=stretch.loads,
        step=step,
        area_m2=area,
        minutes=minutes,
        pieces=sum(part.quantity for part in stretch.load.parts),
    )


def _add_done(site: Site, stretch: Stretch, walk: Walk, step: Step, fact: Done) -> None:
    started, ended = fact.started.timestamp(), fact.ended.timestamp()
    node = Node(
        id=step_id(stretch.project.name, stretch.batch.name, stretch.number, step.key),
        chain=stretch.chain,
        state=State.DONE,
        started_s=int(started),
        ended_s=math.ceil(ended),
        space=stretch.space,
        skipped=fact.skipped,
    )
    index = site.add(node, _item(stretch, step))
    walk.before = [index]
    if fact.skipped:
        return
    if step.kind in DUSTY_KINDS:
        site.dust_now.append(Stay(stretch.chain, node.started_s, node.ended_s))
    if step.kind in WET_KINDS:
        _coated(walk, step, index)
        tables, space = site.tables, stretch.batch.space
        finish = tables.finish(step.finish, node.id).name
        dust_free = tables.ready_s(finish, space, Stage.DUST_FREE, ended)
        handle = tables.ready_s(finish, space, Stage.DRY_TO_HANDLE, ended)
        site.wet_now.append(Stay(stretch.chain, node.started_s, dust_free))
        site.on_rack.append(Stay(stretch.chain, node.started_s, handle))
    elif step.kind in (StepKind.SCUFF, StepKind.SAND):
        walk.scuffed |= _sides(step)


def _coated(walk: Walk, step: Step, index: int) -> None:
    walk.wet = [index]
    for side in _sides(step):
        walk.under[side] = index
    walk.scuffed -= _sides(step)


def _sides(step: Step) -> set[Side]:
    """The sides a step works on; ``ALL`` stands for a whole surface."""
    return set(Side) if step.side is Side.ALL else {step.side, Side.ALL}


def _add_open(site: Site, stretch: Stretch, walk: Walk, step: Step, progress: Progress) -> None:
    if step.only_if_window_missed and not _may_be_missed(site, walk):
        return
    item = _item(stretch, step)
    index = len(site.nodes)
    node = _node(site, stretch, walk, item, progress)
    site.add(node, item)
    walk.open.append(index)
    if step.only_if_window_missed:
        walk.before = [*walk.before, index]
        return
    if step.kind in WET_KINDS:
        if step.side not in walk.scuffed:
            _note_window(site, walk, step, index)
        _coated(walk, step, index)
    elif step.kind in (StepKind.SCUFF, StepKind.SAND):
        walk.scuffed |= _sides(step)
    walk.before = [index]


def _may_be_missed(site: Site, walk: Walk) -> bool:
    return any(
        site.tables.scuffs(site.items[under].step.finish or "") for under in walk.under.values()
    )


def _note_window(site: Site, walk: Walk, step: Step, index: int) -> None:
    under = walk.under.get(step.side)
    if under is None:
        return
    below = site.nodes[under]
    item = site.items[under]
    finish, space = item.step.finish or "", item.batch.space
    if not site.tables.scuffs(finish):
        return
    if below.state is State.DONE:
        closes = site.tables.closes_s(finish, space, below.ended_s)
        walk.windows[index] = Window(index, under, fixed_s=closes)
    elif below.wet is not None:
        walk.windows[index] = Window(index, under, below.wet.closes)


def _node(site: Site, stretch: Stretch, walk: Walk, item: Item, progress: Progress) -> Node:
    step, request = item.step, site.request
    works = step.kind in WET_KINDS or item.minutes > 0
    name = step_id(stretch.project.name, stretch.batch.name, stretch.number, step.key)
    glued, offset = _glue(site, walk, step, name) if works else (None, 0)
    wish = progress.wishes.get((stretch.batch.name, stretch.number, step.key))
    finish = site.tables.finish(step.finish, name).name if step.kind in WET_KINDS else ""
    space = stretch.batch.space
    return Node(
        id=name,
        chain=stretch.chain,
        state=State.WORK if works else State.WAIT,
        slots=slots_for(item.minutes + offset / 60) if works else 0,
        split=step.kind in SPLITTABLE_KINDS,
        people=site.able(step.kind),
        starts=site.tables.good_air(finish, space) if finish else ANY_SLOT,
        closed=site.tables.closed(stretch.project) if works else 0,
        after=tuple(_lags(site, walk, step, progress)),
        glued=glued,
        offset_s=offset,
        release_s=_release_s(request, stretch.project, step, name),
        space=stretch.space,
        dusty=step.kind in DUSTY_KINDS,
        wet=site.tables.wet(finish, space) if finish else None,
        wish_s=int(wish.timestamp()) if wish is not None and works else None,
        optional=step.only_if_window_missed,
        fresh=_is_fresh(stretch.batch.steps, step),
    )


def _is_fresh(steps: tuple[Step, ...], step: Step) -> bool:
    """Whether a step cleans the surface for the coat that comes next."""
    after = steps[steps.index(step) + 1 :][:1]
    return step.kind is StepKind.CLEAN and any(one.kind in WET_KINDS for one in after)


def _release_s(request: PlanRequest, project: Project, step: Step, name: str) -> int:
    """Before when a step cannot be; what ends by itself may have ended with nobody writing it."""
    begins = (request.begins(project), request.not_before.get(name))
    moments = begins if step.kind in WAITING_KINDS else (request.now, *begins)
    return max((math.ceil(at.timestamp()) for at in moments if at is not None), default=0)


def slots_for(minutes: float) -> int:
    """Whole quarter hours for a length of work, at least one."""
    return max(1, math.ceil(minutes * 60 / SLOT_S - 1e-9))


def _lags(site: Site, walk: Walk, step: Step, progress: Progress) -> list[Lag]:
    wait_s = math.ceil(step.wait_hours * 3600)
    lags = []
    for before in walk.before:
        node = site.nodes[before]
        fixed = node.ended_s + wait_s if node.state is State.DONE else None
        lags.append(Lag(before, plus_s=wait_s, fixed_s=fixed))
    if step.waits_for is not None:
        lags += [_drying(site, wet, step.waits_for, progress) for wet in walk.wet]
    return lags


def _drying(site: Site, wet: int, stage: Stage, progress: Progress) -> Lag:
    """The lag from a coat to a drying stage, by the tables or by what was found in the shop."""
    node, item = site.nodes[wet], site.items[wet]
    finish, space = item.step.finish or "", item.batch.space
    if node.state is not State.DONE:
        return Lag(wet, site.tables.ready(finish, space, stage), stage=stage)
    ready = site.tables.ready_s(finish, space, stage, node.ended_s)
    for check in progress.checks:
        if (check.batch, check.load, check.step) == (item.batch.name, item.load, item.step.key):
            ready = _after_check(ready, check, stage)
    return Lag(wet, fixed_s=ready, stage=stage)


def _after_check(ready_s: int, check: Check, stage: Stage) -> int:
    """A stage found reached is reached; one found not reached is not ready before that."""
    at_s = math.ceil(check.at.timestamp())
    known, asked = STAGE_ORDER.index(check.stage), STAGE_ORDER.index(stage)
    if check.reached and known >= asked:
        return min(ready_s, at_s)
    if not check.reached and known <= asked:
        return max(ready_s, at_s)
    return ready_s


def _glue(site: Site, walk: Walk, step: Step, name: str) -> tuple[tuple[int, int] | None, int]:
    """How wiping follows its coat: least and most slots between, and seconds into the slot."""
    if step.kind is not StepKind.WIPE_OFF or not walk.before:
        return None, 0
    before = walk.before[-1]
    span = site.tables.finish(step.finish, name).wipe_off_minutes
    coat = site.nodes[before]
    if span is None or coat.wet is None or coat.state is State.DONE:
        return None, 0
    if span.low > _SAME_SESSION_MINUTES:
        return None, 0
    low, high = math.ceil(span.low * 60 / SLOT_S), math.floor(span.high * 60 / SLOT_S)
    if low <= high:
        return (low, high), 0
    whole = math.floor(span.low * 60 / SLOT_S)
    return (whole, whole), math.ceil(span.low * 60) - whole * SLOT_S
