"""The open nodes of a load grouped into blocks that are placed together."""

from __future__ import annotations

from finplan.planning.items import Site
from finplan.planning.network import Block, State
from finplan.planning.walk import Walk
from finplan.trade.finishes import STAGE_ORDER, Stage
from finplan.trade.steps import WET_KINDS, Side, Step, StepKind


def blocks_of(site: Site, walk: Walk) -> tuple[Block, ...]:
    """Group a walked load's open nodes, in order.

    A coat, what prepares for it (optional scuffing, cleaning), its wiping, and turning for the
    second side with that side's coat make one block; every other node is a block of its own.
    """
    steps = [site.items[index].step for index in walk.open]
    blocks, at = [], 0
    while at < len(steps):
        first = _after_prelude(steps, at)
        if first < len(steps) and _starts_group(steps, first):
            last = _group_end(site, steps, first)
            blocks.append(_group(site, walk, at, last))
            at = last + 1
        else:
            upto = max(at + 1, first)
            alone = [index for index in walk.open[at:upto] if not site.nodes[index].optional]
            blocks += [Block((index,)) for index in alone]
            at = upto
    return tuple(blocks)


def _after_prelude(steps: list[Step], at: int) -> int:
    while at < len(steps) and (steps[at].only_if_window_missed or steps[at].kind is StepKind.CLEAN):
        at += 1
    return at


def _starts_group(steps: list[Step], at: int) -> bool:
    """Whether a coat stands here, or the turning for a second side's coat."""
    if steps[at].kind in WET_KINDS:
        return True
    return steps[at].kind is StepKind.TURN and _second_side(steps, at) is not None


def _second_side(steps: list[Step], turn: int) -> int | None:
    """Where the second side's coat stands that follows a turning at once."""
    at = turn + 1
    while at < len(steps) and steps[at].kind is StepKind.CLEAN:
        at += 1
    if at < len(steps) and steps[at].kind in WET_KINDS and steps[at].side is Side.SECOND:
        return at
    return None


def _group_end(site: Site, steps: list[Step], at: int) -> int:
    """The last node of the group that starts at a coat or a turning."""
    if steps[at].kind is StepKind.TURN:
        at = _second_side(steps, at) or at
    while True:
        coat = at
        if at + 1 < len(steps) and steps[at + 1].kind is StepKind.WIPE_OFF:
            at += 1
        following = at + 1
        if following >= len(steps):
            return at
        second = _second_side(steps, following) if steps[following].kind is StepKind.TURN else None
        if (
            second is None
            and steps[following].kind in WET_KINDS
            and (_still_held(site, steps[coat], steps[following]))
        ):
            second = following
        if second is None:
            return at
        at = second


def _still_held(site: Site, coat: Step, following: Step) -> bool:
    """Whether the next coat may go on before the one below is dry to handle."""
    if following.waits_for is None:
        return True
    stages = site.request.finishes[coat.finish or ""].stages
    wait, handle = stages.get(following.waits_for), stages.get(Stage.DRY_TO_HANDLE)
    if wait is None or handle is None:
        return STAGE_ORDER.index(following.waits_for) < STAGE_ORDER.index(Stage.DRY_TO_HANDLE)
    return wait.high < handle.high


def _group(site: Site, walk: Walk, first: int, last: int) -> Block:
    indices = tuple(walk.open[first : last + 1])
    windows = tuple(walk.windows[index] for index in indices if index in walk.windows)
    return Block(indices, holds=True, windows=windows, held_from_s=_held_from(site, indices))


def _held_from(site: Site, indices: tuple[int, ...]) -> int | None:
    """Since when the load is on the rack, if its first side is done and the second is not."""
    coat = next(index for index in indices if site.nodes[index].wet is not None)
    own = site.items[coat].step
    if own.side is not Side.SECOND:
        return None
    for index in range(site.load_begins(coat), coat):
        node, step = site.nodes[index], site.items[index].step
        is_first = step.side is Side.FIRST and step.kind in WET_KINDS
        if node.state is State.DONE and is_first and step.coat == own.coat:
            return node.started_s
    return None
