"""A layout of the network dressed as the plan people see."""

from __future__ import annotations

import datetime as dt

from finplan.journal.fold import recorded_itself
from finplan.journal.progress import Done, Progress
from finplan.planning import path
from finplan.planning.bound import DRYING, Bound, alone
from finplan.planning.build import Built
from finplan.planning.forward import Found
from finplan.planning.hours import NEVER_S, SLOT_S
from finplan.planning.items import Item
from finplan.planning.network import Lag, Node, State, Window, lag_s
from finplan.planning.place import closes_s
from finplan.planning.plan import (
    Method,
    Plan,
    PlannedStep,
    ProjectReady,
    WaitsFor,
    days_to_spare,
)
from finplan.planning.reasons import Reasons
from finplan.planning.words import binds, hour, instant, named
from finplan.trade.moments import say_date
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind

_NOBODY = ""

MISSED = "goes on after the recoat window has closed"
"""What a warning says of a coat that nothing scuffs for."""


def dress(built: Built, found: Found, method: Method, bound: Bound) -> Plan:
    """Turn a layout into a plan: dated steps, reasons, when each project is ready, warnings.

    A layout that is as early as the bound allows is optimal however it was found.
    """
    reasons = Reasons(built, found)
    indices = [index for index in range(len(built.network.nodes)) if _shown(built, found, index)]
    steps = sorted(
        (_step(built, found, index, reasons) for index in indices),
        key=lambda step: (step.start, step.end, step.id),
    )
    ready = _ready(built, found, reasons)
    now = built.site.request.now.astimezone(dt.UTC)
    bound_at = instant(min(bound.ready_s, found.goal[0]))
    over = (instant(found.goal[0]) - bound_at) / max(bound_at - now, dt.timedelta(minutes=15))
    return Plan(
        now=now,
        method=method if over > 0 else Method.OPTIMAL,
        steps=tuple(steps),
        ready=ready,
        bound=bound_at,
        bound_by=bound.by,
        bound_said=_bound_said(built, bound),
        gap=over,
        warnings=(
            *_warnings(built, found, reasons),
            *_late(built, steps, ready),
            *_under_way(built, steps, ready),
        ),
    )


def _bound_said(built: Built, bound: Bound) -> str:
    """What binds a plan's date, as a sentence without its full stop."""
    if bound.by != DRYING:
        return binds(bound.by)
    now_s = int(built.site.request.now.timestamp())
    found = path.path_of(built.network, bound.early or alone(built.network), now_s)
    item = built.site.items[found.last]
    whose = item.batch.name if len(item.project.batches) > 1 else ""
    if len(built.site.request.projects) > 1:
        whose = f"{whose} of {item.project.name}" if whose else item.project.name
    return path.in_words(found, whose)


def _shown(built: Built, found: Found, index: int) -> bool:
    """Whether a step is in the plan: scuffing that came in is, or that a person left out."""
    node, item = built.network.nodes[index], built.site.items[index]
    if node.state is State.DONE:
        return not (node.skipped and item.step.only_if_window_missed) or _left_out(built, item)
    return index in found.shop.ends


def _left_out(built: Built, item: Item) -> bool:
    """Whether a person said that a step is left out, rather than just went on."""
    fact = _fact(built, item)
    return fact is not None and recorded_itself(fact, (item.batch.name, item.load, item.step.key))


def _step(built: Built, found: Found, index: int, reasons: Reasons) -> PlannedStep:
    node, item = built.network.nodes[index], built.site.items[index]
    pieces = _pieces(built, found, index)
    person = _NOBODY
    if index in found.layout.placed:
        person = built.site.request.workshop.people[found.layout.placed[index].person].name
    elif node.state is State.DONE:
        person = _done_by(built, item)
    return PlannedStep(
        id=node.id,
        project=item.project.name,
        batch=item.batch.name,
        load=item.load,
        loads=item.loads,
        step=item.step.key,
        kind=item.step.kind,
        coat=item.step.coat,
        side=item.step.side,
        title=item.step.title,
        start=pieces[0][0],
        end=pieces[-1][1],
        pieces=pieces,
        person=person,
        space=item.batch.space,
        area_m2=item.area_m2,
        minutes=item.minutes,
        waits_for=_waits_for(built, found, node, reasons),
        window_closes=_window_closes(built, found, index),
        reason=reasons.of(index),
        done=node.state is State.DONE,
        rack_m2=built.network.chains[node.chain].area_m2,
        skipped=node.skipped,
    )


def _pieces(built: Built, found: Found, index: int) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    node, item = built.network.nodes[index], built.site.items[index]
    if node.state is State.DONE:
        fact = _fact(built, item)
        if fact is not None:
            return ((fact.started.astimezone(dt.UTC), fact.ended.astimezone(dt.UTC)),)
        return ((instant(node.started_s), instant(node.ended_s)),)
    if node.state is State.WAIT:
        end_s = found.shop.ends[index]
        follows = [
            lag_s(lag, found.shop.ends, found.shop.last) for lag in node.after if lag.stage is None
        ]
        start_s = max([*follows, node.release_s]) if item.step.kind is StepKind.CURE else end_s
        return ((instant(start_s), instant(end_s)),)
    starts = built.network.axis.starts
    pieces: list[list[int]] = []
    for slot in found.layout.placed[index].slots:
        if pieces and pieces[-1][1] == starts[slot]:
            pieces[-1][1] += SLOT_S
        else:
            pieces.append([starts[slot], starts[slot] + SLOT_S])
    pieces[0][0] += node.offset_s
    return tuple((instant(start), instant(end)) for start, end in pieces)


def _fact(built: Built, item: Item) -> Done | None:
    progress = built.site.request.progress.get(item.project.name, Progress())
    return progress.done.get((item.batch.name, item.load, item.step.key))


def _done_by(built: Built, item: Item) -> str:
    fact = _fact(built, item)
    return fact.entry.by if fact is not None else _NOBODY


def _waits_for(built: Built, found: Found, node: Node, reasons: Reasons) -> WaitsFor | None:
    lag = reasons.binding(node)
    if lag is None or lag.stage is None:
        return None
    safe_s = lag_s(lag, found.shop.ends, found.shop.last)
    likely_s = min(reasons.likely_s(lag), safe_s)
    before = built.network.nodes[lag.before]
    return WaitsFor(before.id, lag.stage, instant(likely_s), instant(safe_s))


def _window_closes(built: Built, found: Found, index: int) -> dt.datetime | None:
    """When the window of a coat closes that another coat is still to cover, unscuffed."""
    item = built.site.items[index]
    if item.step.kind not in WET_KINDS or not built.site.tables.scuffs(item.step.finish or ""):
        return None
    if not _to_be_covered(built, item):
        return None
    end_s = found.shop.ends[index]
    closes_s = built.site.tables.closes_s(item.step.finish or "", item.batch.space, end_s)
    return instant(closes_s) if closes_s < NEVER_S else None


def _to_be_covered(built: Built, item: Item) -> bool:
    """Whether the next coat is to come, with nothing done that keeps the window open for it."""
    progress = built.site.request.progress.get(item.project.name, Progress())
    later = False
    for step in item.batch.steps:
        if later and step.kind in WET_KINDS and Side.ALL in (step.side, item.step.side):
            return (item.batch.name, item.load, step.key) not in progress.done
        if later and step.kind in WET_KINDS and step.side is item.step.side:
            return (item.batch.name, item.load, step.key) not in progress.done
        if later and step.kind is StepKind.SCUFF and _is_scuffed(progress, item, step):
            return False
        later = later or step.key == item.step.key
    return False


def _is_scuffed(progress: Progress, item: Item, scuff: Step) -> bool:
    """Whether a scuffing comes for certain, or is recorded as done on the side of a coat."""
    if not scuff.only_if_window_missed:
        return True
    fact = progress.done.get((item.batch.name, item.load, scuff.key))
    same_side = scuff.side is item.step.side or Side.ALL in (scuff.side, item.step.side)
    return same_side and fact is not None and not fact.skipped


def _ready(built: Built, found: Found, reasons: Reasons) -> tuple[ProjectReady, ...]:
    projects = sorted(built.site.request.projects, key=lambda one: one.name)
    ready = []
    for project, finals in zip(projects, built.network.finals, strict=True):
        ends = [node for node in finals if node in found.shop.ends]
        safe_s = max(found.shop.ends[node] for node in ends)
        likely_s = max(_likely_end_s(built, found, node, reasons) for node in ends)
        ready.append(
            ProjectReady(project.name, instant(likely_s), instant(safe_s), project.in_service_by)
        )
    return tuple(ready)


def _likely_end_s(built: Built, found: Found, index: int, reasons: Reasons) -> int:
    node = built.network.nodes[index]
    if node.state is not State.WAIT:
        return found.shop.ends[index]

    def likely(lag: Lag) -> int:
        safe_s = lag_s(lag, found.shop.ends, found.shop.last)
        return min(safe_s, reasons.likely_s(lag)) if lag.stage is not None else safe_s

    return max([node.release_s, *(likely(lag) for lag in node.after)])


def _warnings(built: Built, found: Found, reasons: Reasons) -> list[str]:
    zone = built.site.request.told_in
    nodes = built.network.nodes
    warnings = list(built.site.warnings)
    for index, node in enumerate(nodes):
        if index in found.layout.placed:
            warnings += _wiped_late(built, found, index)
        if node.optional and index in found.shop.ends:
            warnings.append(
                f"{_named(built, index)}: the recoat window closes before the next coat can go on, "
                "so the surface is scuffed first"
            )
        if node.wish_s is None or index not in found.layout.placed:
            continue
        start_s = built.network.axis.starts[found.layout.placed[index].slots[0]]
        if abs(start_s - node.wish_s) >= SLOT_S:
            warnings.append(
                f"{_named(built, index)} cannot be at the wished {hour(node.wish_s, zone)}: "
                f"{reasons.refused(index, node.wish_s)}"
            )
    for load in built.network.chains:
        for block in load.blocks:
            warnings += [
                f"{_named(built, window.node)} {MISSED}: scuff "
                "the surface first, or open work hours before that"
                for window in block.windows
                if not any(nodes[index].optional for index in block.nodes)
                and _too_late(built, found, window)
            ]
    return warnings


def _named(built: Built, index: int) -> str:
    """A step, with its project where there are several."""
    item = built.site.items[index]
    several = len(built.site.request.projects) > 1
    return f"{named(item)} of {item.project.title}" if several else named(item)


def _wiped_late(built: Built, found: Found, index: int) -> list[str]:
    """Say that a coat that is on should be wiped off before the hour planned for it."""
    item, node = built.site.items[index], built.network.nodes[index]
    if item.step.kind is not StepKind.WIPE_OFF or node.glued is not None:
        return []
    span = built.site.request.finishes[item.step.finish or ""].wipe_off_minutes
    coat = max((lag.before for lag in node.after), default=None)
    if span is None or coat is None or built.network.nodes[coat].state is not State.DONE:
        return []
    until_s = built.network.nodes[coat].ended_s + span.high * 60
    if built.network.axis.starts[found.layout.placed[index].slots[0]] <= until_s:
        return []
    return [
        f"what {_named(built, coat)} left wet is to be wiped off by "
        f"{hour(until_s, built.site.request.told_in)}: do it at once, outside work hours too"
    ]


def _late(built: Built, steps: list[PlannedStep], ready: tuple[ProjectReady, ...]) -> list[str]:
    """Say which projects with work left are safely ready only after the day they are wanted."""
    zone = built.site.request.told_in
    at_work = {step.project for step in steps if not step.done}
    return [
        f"{one.project} is to be in service by {say_date(one.in_service_by)} and is safely ready "
        f"only on {hour(one.safe.timestamp(), zone)}"
        for one in ready
        if one.project in at_work and one.in_service_by is not None
        if days_to_spare(one.safe, one.in_service_by, zone) < 0
    ]


def _under_way(
    built: Built, steps: list[PlannedStep], ready: tuple[ProjectReady, ...]
) -> list[str]:
    """Say which projects are begun before a stretch they are blocked in and ready only after."""
    request = built.site.request
    zone = request.told_in
    ends = {one.project: one.safe for one in ready}
    begun = {step.project: step.start for step in reversed(steps)}
    return [
        f"{project.name} is begun before {hour(stretch.start.timestamp(), zone)} and ready only "
        f"after it, though it is blocked then ({stretch.note or 'no reason given'}): begin it "
        "earlier, or after that"
        for project in sorted(request.projects, key=lambda one: one.name)
        for stretch in project.blocked
        if project.name in begun and begun[project.name] < stretch.end
        if ends.get(project.name, stretch.start) > stretch.start
    ]


def _too_late(built: Built, found: Found, window: Window) -> bool:
    closing = closes_s(found.shop, window)
    start_s = built.network.axis.starts[found.layout.placed[window.node].slots[0]]
    return closing is not None and start_s > closing
