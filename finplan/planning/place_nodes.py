"""Put the work of a block at the earliest slots the shop has for it, one node after the other."""

from __future__ import annotations

from bisect import bisect_left

from finplan.planning.hours import SLOT_S, Axis
from finplan.planning.network import Network, Node, State
from finplan.planning.shop import Shop, Stuck

_SESSIONS = 60
"""Sessions tried for cleaning and coat to fall into one."""

_NEAR = (1 << 240) - 1
"""The first bit of a mask is mostly near; long numbers are slow."""


def place_in_order(
    shop: Shop, nodes: tuple[int, ...], not_before: int, wishes: frozenset[int]
) -> None:
    """Place nodes one after the other; fresh work goes into the session of the coat it is for."""
    known, number, count = shop.network.nodes, 0, len(nodes)
    while number < count:
        index = nodes[number]
        node = known[index]
        if node.state is State.WAIT:
            shop.wait(index)
            number += 1
        elif node.split:
            _place_split(shop, index, wishes)
            number += 1
        elif node.wet is not None:
            number = _place_next(shop, nodes, number, not_before, wishes)
            not_before = 0
        elif (
            node.fresh
            and number + 1 < count
            and known[nodes[number + 1]].wet is not None
            and not (wishes and (index in wishes or nodes[number + 1] in wishes))
        ):
            number = _place_fresh(shop, nodes, number, not_before, wishes)
            not_before = 0
        else:
            number = _place_next(shop, nodes, number, 0, wishes)


def _place_next(
    shop: Shop, nodes: tuple[int, ...], number: int, not_before: int, wishes: frozenset[int]
) -> int:
    """Place work in one piece, and its wiping; return the number of the node after."""
    index = nodes[number]
    node = shop.network.nodes[index]
    earliest_s = shop.earliest_s(node)
    if not_before > earliest_s:
        earliest_s = not_before
    first = bisect_left(shop.network.axis.starts, earliest_s)
    wipe = _wiping(shop, nodes, number)
    if wipe is None:
        shop.take_run(index, _pick(shop, index, shop.starts(node), first, wishes))
        return number + 1
    wipes = shop.starts(wipe)
    slot = _pick(shop, index, _with_wiping(shop, node, wipe, wipes), first, wishes)
    shop.take_run(index, slot)
    _place_wiping(shop, nodes[number + 1], wipe, wipes, slot + node.slots)
    return number + 2


def _wiping(shop: Shop, nodes: tuple[int, ...], number: int) -> Node | None:
    """The wiping that must follow a node within the same session, if any."""
    if number + 1 == len(nodes):
        return None
    follower = shop.network.nodes[nodes[number + 1]]
    return follower if follower.glued is not None else None


def _with_wiping(shop: Shop, node: Node, wipe: Node, wipes: int) -> int:
    """Mask of slots a node can start in, so that its wiping, by its own mask, can follow."""
    if wipe.glued is None:
        raise ValueError(wipe.id)
    fits, unbroken = 0, shop.network.axis.unbroken
    for gap in range(wipe.glued[0], wipe.glued[1] + 1):
        fits |= (wipes >> (node.slots + gap)) & unbroken(node.slots + gap)
    return shop.starts(node) & fits


def _place_wiping(shop: Shop, index: int, wipe: Node, wipes: int, end: int) -> None:
    """Place the wiping of a coat whose work is over at slot ``end``.

    Its mask is that from before the coat was placed: a coat takes no hours after its end.
    """
    if wipe.glued is None:
        raise ValueError(wipe.id)
    session = shop.network.axis.sessions
    for gap in range(wipe.glued[0], wipe.glued[1] + 1):
        if (wipes >> (end + gap)) & 1 and session[end + gap] == session[end - 1]:
            shop.take_run(index, end + gap)
            return
    raise Stuck(index)


def _place_fresh(
    shop: Shop, nodes: tuple[int, ...], number: int, not_before: int, wishes: frozenset[int]
) -> int:
    """Place cleaning and its coat in one session; apart if no session near is long enough."""
    axis, index, coated = shop.network.axis, nodes[number], nodes[number + 1]
    clean, coat = shop.network.nodes[index], shop.network.nodes[coated]
    wipe = _wiping(shop, nodes, number + 1)
    wipes = shop.starts(wipe) if wipe is not None else 0
    coats = _with_wiping(shop, coat, wipe, wipes) if wipe is not None else shop.starts(coat)
    # Cleaning takes no hours of a coat that comes after it, so one mask does for all tries.
    cleans, first = shop.starts(clean), bisect_left(axis.starts, shop.earliest_s(clean))
    coat_first = bisect_left(axis.starts, max(shop.earliest_s(coat), not_before))
    wait_s = max((lag.plus_s for lag in coat.after if lag.before == index), default=0)
    for _ in range(_SESSIONS):
        shared = _in_one_session(axis, cleans, first, clean.slots, coats, coat_first)
        if shared is None:
            break
        after = shared + clean.slots
        if wait_s:
            after = bisect_left(axis.starts, axis.end_s(after - 1) + wait_s)
        slot = _clear_of_dust(shop, coat, coats, max(coat_first, after))
        if slot is None:
            break
        if axis.sessions[shared] == axis.sessions[slot]:
            shop.take_run(index, shared)
            shop.take_run(coated, slot)
            if wipe is None:
                return number + 2
            _place_wiping(shop, nodes[number + 2], wipe, wipes, slot + coat.slots)
            return number + 3
        first = axis.sessions[slot]
    number = _place_next(shop, nodes, number, 0, wishes)
    return _place_next(shop, nodes, number, not_before, wishes)


def _in_one_session(
    axis: Axis, cleans: int, first: int, slots: int, coats: int, coat_first: int
) -> int | None:
    """Where cleaning starts in the first session with hours for it and then for its coat.

    Args:
        axis: the work hours.
        cleans: mask of the slots cleaning can start in; looked at from ``first``.
        first: the first slot allowed.
        slots: how long cleaning takes.
        coats: mask of the slots the coat can start in; looked at from ``coat_first``.
        coat_first: the first slot its own waits allow.
    """
    while (clean := first_of(cleans, first)) is not None:
        coated = first_of(coats, max(coat_first, clean + slots))
        if coated is None:
            return None
        if axis.sessions[clean] == axis.sessions[coated]:
            return clean
        first = axis.sessions[coated]
    return None


def first_of(mask: int, first: int) -> int | None:
    """The first slot of a mask from ``first`` on."""
    later = mask >> first
    if not later:
        return None
    near = later & _NEAR or later
    return first + (near & -near).bit_length() - 1


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
    slot = _clear_of_dust(shop, node, mask, first)
    if slot is None:
        raise Stuck(index)
    return slot


def _clear_of_dust(shop: Shop, node: Node, mask: int, first: int) -> int | None:
    """The first slot of a mask from ``first`` on where no dust falls on a node while it is wet."""
    while (slot := first_of(mask, first)) is not None:
        again = shop.dust_after(node, slot)
        if again is None:
            return slot
        first = max(again, slot + 1)
    return None


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


def _place_split(shop: Shop, index: int, wishes: frozenset[int]) -> None:
    """Spread a node over sessions; the person who is done first does it."""
    node = shop.network.nodes[index]
    first = bisect_left(shop.network.axis.starts, shop.earliest_s(node))
    wished = wished_slot(shop.network, node) if index in wishes else None
    best: tuple[int, int, list[tuple[int, int]]] | None = None
    for person in node.people:
        open_slots = shop.open_slots(node, person)
        keep = wished is not None and wished >= first and (open_slots >> wished) & 1
        pieces = _pieces(shop, node, open_slots, wished if keep and wished is not None else first)
        if pieces and (best is None or pieces[-1][1] < best[0]):
            best = (pieces[-1][1], person, pieces)
    if best is None:
        raise Stuck(index)
    shop.take_pieces(index, best[2], best[1])


def _pieces(shop: Shop, node: Node, open_slots: int, first: int) -> list[tuple[int, int]]:
    """The earliest pieces that add up to a split node, each from a slot until before another.

    Empty if there are not enough.
    """
    least, left = shop.network.least_slots, node.slots
    goes_on = open_slots & (open_slots >> 1) & shop.network.axis.joined
    pieces = []
    while left > 0:
        start = first_of(open_slots, first)
        if start is None:
            return []
        run = goes_on >> start & ((1 << left) - 1)
        length = (run ^ (run + 1)).bit_length()  # the lowest bits that are set, and one
        if length > left:
            length = left
        if 0 < left - length < least:
            length = left - least
        first = start + 1
        if length >= least or length >= left:
            first = start + length
            pieces.append((start, first))
            left -= length
    return pieces
