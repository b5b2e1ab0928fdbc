"""Put one block of a load at the earliest place the shop has for it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from finplan.planning.hours import NEVER_S
from finplan.planning.network import Block, Window
from finplan.planning.place_nodes import first_of, place_in_order
from finplan.planning.shop import Shop, Stuck

_TRIES = 200
"""Later starts tried so that coats with a short window between fall into one session."""

_SESSIONS = 60
"""Sessions a coat is put off by at most, so that the next one is in time for its window."""


def place_block(
    shop: Shop,
    chain: int,
    block: Block,
    wishes: frozenset[int],
    not_before: int = 0,
    *,
    scuffed: bool = False,
) -> None:
    """Place a block as early as it goes.

    The optional nodes come in only if the window closes without them.

    Args:
        shop: what is taken so far; the block is added.
        chain: number of the load.
        block: the block to place; all it waits for is placed.
        wishes: nodes whose wished start is to be kept.
        not_before: the first coat is put no earlier, seconds.
        scuffed: whether the optional nodes come in anyhow.

    Raises:
        Stuck: if there is no place before the axis ends.
    """
    _give_back(shop, block)
    optional = shop.network.optional
    if scuffed or optional.isdisjoint(block.nodes):
        _place(shop, chain, block, block.nodes, wishes, not_before)
        return
    short = tuple([index for index in block.nodes if index not in optional])
    before = shop.mark()
    try:
        _place(shop, chain, block, short, wishes, not_before)
        if in_time(shop, block):
            return
    except Stuck:
        pass
    shop.back_to(before)
    _place(shop, chain, block, block.nodes, wishes, not_before)


def place_for_window(
    shop: Shop, chain: int, block: Block, following: Block, wishes: frozenset[int]
) -> None:
    """Place a block, and the one after it before the window of the first closes.

    The first is put off, session by session, until that works; if it never does the first place
    stands, and the window is missed.

    Raises:
        Stuck: if there is no place before the axis ends.
    """
    _give_back(shop, block)
    _give_back(shop, following)
    axis, before, not_before = shop.network.axis, shop.mark(), 0
    for _ in range(_SESSIONS):
        try:
            place_block(shop, chain, block, wishes, not_before)
            place_block(shop, chain, following, wishes)
        except Stuck:
            break
        if in_time(shop, following):
            return
        last = max(shop.last[index] for index in block.nodes if index in shop.last)
        shop.back_to(before)
        later = bisect_right(axis.sessions, axis.sessions[last])
        if later == len(axis):
            break
        not_before = axis.starts[later]
    shop.back_to(before)
    place_block(shop, chain, block, wishes)
    place_block(shop, chain, following, wishes)


def _give_back(shop: Shop, block: Block) -> None:
    """Open the hours kept for wished work, now that its turn has come."""
    if shop.reserved:
        for index in block.nodes:
            shop.give_back(index)


def in_time(shop: Shop, block: Block) -> bool:
    """Whether the coats of a placed block go on before their windows close."""
    starts = shop.network.axis.starts
    for window in block.windows:
        closing = closes_s(shop, window)
        if closing is not None and starts[shop.placed[window.node].slots[0]] > closing:
            return False
    return True


def closes_s(shop: Shop, window: Window) -> int | None:
    """When a window closes, in seconds; None if it never does."""
    if window.closes is None or window.before not in shop.last:
        return window.fixed_s
    return window.closes[shop.last[window.before]]


def _place(
    shop: Shop,
    chain: int,
    block: Block,
    nodes: tuple[int, ...],
    wishes: frozenset[int],
    not_before: int,
) -> None:
    """Place these nodes in order; start again later while the rack is too full.

    Coats that must follow each other inside a short window are tried at later hours too, so that
    both fall into one session; if that leads nowhere the first place stands.
    """
    if not block.holds:
        place_in_order(shop, nodes, not_before, wishes)
        return
    inside = block.windows and any(window.before in nodes for window in block.windows)
    if not inside or not shop.network.optional.isdisjoint(nodes):
        _place_on_rack(shop, chain, block, nodes, wishes, not_before)
        return
    before = shop.mark()
    _place_on_rack(shop, chain, block, nodes, wishes, not_before)
    tries = _TRIES
    while tries > 0:
        if in_time(shop, block):
            return
        again, passed = _next_start(shop, block, nodes)
        tries -= passed
        shop.back_to(before)
        if again is None:
            break
        try:
            _place_on_rack(shop, chain, block, nodes, wishes, shop.network.axis.starts[again])
        except Stuck:
            break
    shop.back_to(before)
    _place_on_rack(shop, chain, block, nodes, wishes, not_before)


def _next_start(shop: Shop, block: Block, nodes: tuple[int, ...]) -> tuple[int | None, int]:
    """The next slot worth starting the first coat in, and how many starts are passed by till then.

    A coat that starts later lets the next go on no sooner, so no start helps after which the
    window closes before the hour at which the next goes on now. None where no start is left.
    """
    axis = shop.network.axis
    first = next(index for index in nodes if shop.network.nodes[index].wet is not None)
    coat = shop.network.nodes[first]
    now = shop.placed[first].slots[0]
    after = now + 1
    for window in block.windows:
        if window.before == first and window.closes is not None:
            on = axis.starts[shop.placed[window.node].slots[0]]
            closed = bisect_left(range(len(axis)), on, key=window.closes.__getitem__)
            after = max(after, closed - coat.slots + 1)
    if after >= len(axis):
        return None, 0
    between = shop.starts(coat) >> (now + 1) & ((1 << (after - now - 1)) - 1)
    return after, 1 + between.bit_count()


def _place_on_rack(
    shop: Shop,
    chain: int,
    block: Block,
    nodes: tuple[int, ...],
    wishes: frozenset[int],
    not_before: int,
) -> None:
    """Place these nodes in order, the first coat not before an instant, when the rack has room."""
    before = shop.mark()
    place_in_order(shop, nodes, not_before, wishes)
    start, end = stay_of(shop, block, nodes)
    if block.goes_on:
        start = shop.release(chain)
    elif block.held_from_s is not None:
        shop.release(chain)
    else:
        while (again := shop.rack_frees_s(chain, start, end)) is not None:
            shop.back_to(before)
            not_before = rack_opens_s(shop, chain, nodes, again)
            place_in_order(shop, nodes, not_before, wishes)
            start, end = stay_of(shop, block, nodes)
    shop.hold(chain, start, end)


def rack_opens_s(shop: Shop, chain: int, nodes: tuple[int, ...], not_before: int) -> int:
    """Before when the rack is too full for the first coat alone, whatever follows.

    ``not_before`` where it never opens.
    """
    axis = shop.network.axis
    coat = next(node for index in nodes if (node := shop.network.nodes[index]).wet is not None)
    opens, starts = max(not_before, shop.earliest_s(coat)), shop.starts(coat)
    rack, room_m2 = shop.rack_without(chain, opens), shop.room_m2(chain)
    while (slot := first_of(starts, axis.first_at_or_after(opens))) is not None:
        end_s = coat.wet.handle[slot + coat.slots - 1] if coat.wet is not None else 0
        after_s = rack.begins_after_s(room_m2, axis.starts[slot], end_s)
        if after_s is None:
            return axis.starts[slot]
        opens = after_s
    return not_before


def stay_of(shop: Shop, block: Block, nodes: tuple[int, ...]) -> tuple[int, int]:
    """From when to when a placed block keeps its load on the rack, in seconds.

    A part keeps it until the next part is placed.
    """
    known, starts = shop.network.nodes, shop.network.axis.starts
    start_s, end_s = block.held_from_s, 0
    for index in nodes:
        wet = known[index].wet
        if wet is not None:
            if start_s is None:
                start_s = starts[shop.placed[index].slots[0]]
            end_s = max(end_s, wet.handle[shop.last[index]])
    return start_s or 0, NEVER_S if block.more else end_s
