"""Put one block of a load at the earliest place the shop has for it."""

from __future__ import annotations

from finplan.planning.hours import SLOT_S
from finplan.planning.network import Block, Network, Node, State, Window
from finplan.planning.shop import Shop, Stuck

_TRIES = 200
"""Later starts tried so that coats with a short window between fall into one session."""

_SESSIONS = 60
"""Sessions tried for cleaning and coat to fall into one."""


def place_block(shop: Shop, chain: int, block: Block, wishes: frozenset[int]) -> Shop:
    """Place a block as early as it goes and return the shop after it.

    The optional nodes come in only if the window closes without them.

    Args:
        shop: what is taken so far; left as it is.
        chain: number of the load.
        block: the block to place; all it waits for is placed.
        wishes: nodes whose wished start is to be kept.

    Raises:
        Stuck: if there is no place before the axis ends.
    """
    nodes = shop.network.nodes
    if any(index in shop.reserved for index in block.nodes):
        shop = shop.copy()
        for index in block.nodes:
            shop.give_back(index)
    short = tuple(index for index in block.nodes if not nodes[index].optional)
    if len(short) == len(block.nodes):
        return _place(shop, chain, block, short, wishes)
    try:
        after = _place(shop, chain, block, short, wishes)
        if in_time(after, block):
            return after
    except Stuck:
        pass
    return _place(shop, chain, block, block.nodes, wishes)


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
    shop: Shop, chain: int, block: Block, nodes: tuple[int, ...], wishes: frozenset[int]
) -> Shop:
    """Place these nodes in order; start again later while the rack is too full.

    Coats that must follow each other inside a short window are tried at later hours too, so that
    both fall into one session; if that leads nowhere the first place stands.
    """
    inside = any(window.before in nodes for window in block.windows)
    if not inside or any(shop.network.nodes[index].optional for index in nodes):
        return _place_from(shop, chain, block, nodes, wishes, 0)
    first = trial = _place_from(shop, chain, block, nodes, wishes, 0)
    for _ in range(_TRIES):
        if in_time(trial, block):
            return trial
        start, _end = stay_of(trial, block, nodes)
        try:
            trial = _place_from(shop, chain, block, nodes, wishes, start + 1)
        except Stuck:
            break
    return first


def _place_from(
    shop: Shop,
    chain: int,
    block: Block,
    nodes: tuple[int, ...],
    wishes: frozenset[int],
    not_before: int,
) -> Shop:
    """Place these nodes in order, the first coat not before an instant."""
    while True:
        trial = shop.copy()
        _place_in_order(trial, nodes, not_before, wishes)
        if not block.holds:
            return trial
        start, end = stay_of(trial, block, nodes)
        if block.held_from_s is not None:
            trial.release(chain)
        elif (again := trial.rack_frees_s(chain, start, end)) is not None:
            not_before = again
            continue
        trial.hold(chain, start, end)
        return trial


def stay_of(shop: Shop, block: Block, nodes: tuple[int, ...]) -> tuple[int, int]:
    """From when to when a placed block keeps its load on the rack, in seconds."""
    network = shop.network
    starts, ends = [], []
    for index in nodes:
        wet = network.nodes[index].wet
        if wet is not None:
            starts.append(network.axis.starts[shop.placed[index].slots[0]])
            ends.append(wet.handle[shop.last[index]])
    return block.held_from_s if block.held_from_s is not None else starts[0], max(ends)


def _place_in_order(
    shop: Shop, nodes: tuple[int, ...], not_before: int, wishes: frozenset[int]
) -> None:
    """Place nodes one after the other; fresh work goes into the session of the coat it is for."""
    number = 0
    while number < len(nodes):
        node = shop.network.nodes[nodes[number]]
        coat = number + 1
        wished = any(index in wishes for index in nodes[number : coat + 1])
        is_coat = coat < len(nodes) and shop.network.nodes[nodes[coat]].wet is not None
        if node.fresh and is_coat and not wished:
            number = _place_fresh(shop, nodes, number, not_before, wishes)
            not_before = 0
            continue
        number = _place_next(shop, nodes, number, not_before if node.wet is not None else 0, wishes)
        if node.wet is not None:
            not_before = 0


def _place_next(
    shop: Shop, nodes: tuple[int, ...], number: int, not_before: int, wishes: frozenset[int]
) -> int:
    """Place a node, with its wiping if it has one; return the number of the node after."""
    index = nodes[number]
    node = shop.network.nodes[index]
    if node.state is State.WAIT:
        shop.ends[index] = shop.earliest_s(node)
        return number + 1
    first = shop.network.axis.first_at_or_after(max(shop.earliest_s(node), not_before))
    follower = nodes[number + 1] if number + 1 < len(nodes) else None
    if follower is not None and shop.network.nodes[follower].glued is not None:
        _place_pair(shop, index, follower, first, wishes)
        return number + 2
    if node.split:
        _place_split(shop, index, first, wishes)
    else:
        _place_whole(shop, index, first, wishes)
    return number + 1


def _place_fresh(
    shop: Shop, nodes: tuple[int, ...], number: int, not_before: int, wishes: frozenset[int]
) -> int:
    """Place cleaning and its coat in one session; apart if no session near is long enough."""
    from_s = 0
    loose: Shop | None = None
    for _ in range(_SESSIONS):
        trial = shop.copy()
        try:
            coat = _place_next(trial, nodes, number, from_s, wishes)
            following = _place_next(trial, nodes, coat, not_before, wishes)
        except Stuck:
            if loose is None:
                raise
            break
        loose = loose or trial
        cleaned, coated = trial.placed[nodes[number]], trial.placed[nodes[coat]]
        session = session_of(shop.network, coated.slots[0])
        if session_of(shop.network, cleaned.slots[0]) == session:
            loose = trial
            break
        from_s = shop.network.axis.starts[session]
    if loose is not None:
        shop.become(loose)
    return following


def session_of(network: Network, slot: int) -> int:
    """The first slot of the unbroken stretch of work hours a slot lies in."""
    broken = ~network.axis.joined & ((1 << slot) - 1)
    return broken.bit_length()


def _place_whole(shop: Shop, index: int, first: int, wishes: frozenset[int]) -> None:
    node = shop.network.nodes[index]
    slot = _pick(shop, index, shop.starts(node), first, wishes)
    _take_run(shop, index, slot)


def _place_pair(shop: Shop, index: int, follower: int, first: int, wishes: frozenset[int]) -> None:
    """Place a coat and the wiping that must follow it within the same session."""
    node, wipe = shop.network.nodes[index], shop.network.nodes[follower]
    if wipe.glued is None:
        raise ValueError(wipe.id)
    fits, wipes = 0, shop.starts(wipe)
    low, high = wipe.glued
    for gap in range(low, high + 1):
        fits |= (wipes >> (node.slots + gap)) & unbroken(shop.network, node.slots + gap)
    slot = _pick(shop, index, shop.starts(node) & fits, first, wishes)
    _take_run(shop, index, slot)
    for gap in range(low, high + 1):
        at = slot + node.slots + gap
        if (shop.starts(wipe) >> at) & 1 and unbroken(shop.network, node.slots + gap) >> slot & 1:
            _take_run(shop, follower, at)
            return
    raise Stuck(follower)


def unbroken(network: Network, length: int) -> int:
    """Mask of slots from which the next ``length`` slots are reached without a break."""
    have, mask = 1, network.axis.joined
    while have < length:
        step = min(have, length - have)
        mask &= mask >> step
        have += step
    return mask


def _pick(shop: Shop, index: int, mask: int, first: int, wishes: frozenset[int]) -> int:
    """The first slot of a mask where no dust falls on the coat, or the wished one."""
    node = shop.network.nodes[index]
    if index in wishes:
        wished = wished_slot(shop.network, node)
        if (
            wished is not None
            and wished >= first
            and (mask >> wished) & 1
            and shop.dust_after(node, wished) is None
        ):
            return wished
    while True:
        later = mask >> first
        if not later:
            raise Stuck(index)
        slot = first + (later & -later).bit_length() - 1
        again = shop.dust_after(node, slot)
        if again is None:
            return slot
        first = max(again, slot + 1)


def wished_slot(network: Network, node: Node) -> int | None:
    """The slot a wish means, None if there is no work window then."""
    if node.wish_s is None:
        return None
    slot = network.axis.first_at_or_after(node.wish_s - SLOT_S + 1)
    if slot < len(network.axis) and network.axis.starts[slot] < node.wish_s + SLOT_S:
        exact = network.axis.first_at_or_after(node.wish_s)
        return exact if exact < len(network.axis) and _near(network, exact, node.wish_s) else slot
    return None


def _near(network: Network, slot: int, at_s: int) -> bool:
    return network.axis.starts[slot] < at_s + SLOT_S


def _take_run(shop: Shop, index: int, slot: int) -> None:
    node = shop.network.nodes[index]
    for person in node.people:
        if (shop.runs(node, person) >> slot) & 1:
            shop.take(index, tuple(range(slot, slot + node.slots)), person)
            return
    raise Stuck(index)


def _place_split(shop: Shop, index: int, first: int, wishes: frozenset[int]) -> None:
    """Spread a node over sessions; the person who is done first does it."""
    node = shop.network.nodes[index]
    best: tuple[int, int, tuple[int, ...]] | None = None
    for person in node.people:
        open_slots = shop.open_slots(node, person)
        wished = wished_slot(shop.network, node) if index in wishes else None
        keep = wished is not None and wished >= first and (open_slots >> wished) & 1
        slots = _pieces(shop, node, open_slots, wished if keep and wished is not None else first)
        if slots and (best is None or slots[-1] < best[0]):
            best = (slots[-1], person, slots)
    if best is None:
        raise Stuck(index)
    shop.take(index, best[2], best[1])


def _pieces(shop: Shop, node: Node, open_slots: int, first: int) -> tuple[int, ...]:
    """The earliest slots that add up to a split node; empty if there are not enough."""
    joined, least = shop.network.axis.joined, shop.network.least_slots
    slots: list[int] = []
    while (left := node.slots - len(slots)) > 0:
        later = open_slots >> first
        if not later:
            return ()
        start = first + (later & -later).bit_length() - 1
        length = 1
        while (
            length < left
            and (joined >> (start + length - 1)) & (open_slots >> (start + length)) & 1
        ):
            length += 1
        if 0 < left - length < least:
            length = left - least
        if length >= min(least, left):
            slots.extend(range(start, start + length))
            first = start + length
        else:
            first = start + 1
    return tuple(slots)
