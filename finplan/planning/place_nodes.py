"""Put the work of a block at the earliest slots the shop has for it, one node after the other."""

from __future__ import annotations

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
    number = 0
    while number < len(nodes):
        node = shop.network.nodes[nodes[number]]
        coat = number + 1
        wished = not wishes.isdisjoint(nodes[number : coat + 1])
        is_coat = coat < len(nodes) and shop.network.nodes[nodes[coat]].wet is not None
        if node.fresh and node.state is State.WORK and is_coat and not wished:
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
        shop.wait(index)
        return number + 1
    first = shop.network.axis.first_at_or_after(max(shop.earliest_s(node), not_before))
    if node.split:
        _place_split(shop, index, first, wishes)
        return number + 1
    wipe = _wiping(shop, nodes, number)
    slot = _pick(shop, index, _starts(shop, node, wipe), first, wishes)
    _take_run(shop, index, slot)
    if wipe is None:
        return number + 1
    _place_wiping(shop, nodes[number + 1], wipe, slot + node.slots)
    return number + 2


def _wiping(shop: Shop, nodes: tuple[int, ...], number: int) -> Node | None:
    """The wiping that must follow a node within the same session, if any."""
    if number + 1 == len(nodes):
        return None
    follower = shop.network.nodes[nodes[number + 1]]
    return follower if follower.glued is not None else None


def _starts(shop: Shop, node: Node, wipe: Node | None) -> int:
    """Mask of slots a node can start in, so that its wiping can follow."""
    if wipe is None or wipe.glued is None:
        return shop.starts(node)
    fits, wipes = 0, shop.starts(wipe)
    for gap in range(wipe.glued[0], wipe.glued[1] + 1):
        fits |= (wipes >> (node.slots + gap)) & shop.network.axis.unbroken(node.slots + gap)
    return shop.starts(node) & fits


def _place_wiping(shop: Shop, index: int, wipe: Node, end: int) -> None:
    """Place the wiping of a coat whose work is over at slot ``end``."""
    if wipe.glued is None:
        raise ValueError(wipe.id)
    session, starts = shop.network.axis.sessions, shop.starts(wipe)
    for gap in range(wipe.glued[0], wipe.glued[1] + 1):
        if (starts >> (end + gap)) & 1 and session[end + gap] == session[end - 1]:
            _take_run(shop, index, end + gap)
            return
    raise Stuck(index)


def _place_fresh(
    shop: Shop, nodes: tuple[int, ...], number: int, not_before: int, wishes: frozenset[int]
) -> int:
    """Place cleaning and its coat in one session; apart if no session near is long enough."""
    axis, before = shop.network.axis, shop.mark()
    clean, coat = (shop.network.nodes[index] for index in nodes[number : number + 2])
    cleans, coats = shop.starts(clean), _starts(shop, coat, _wiping(shop, nodes, number + 1))
    first = axis.first_at_or_after(shop.earliest_s(clean))
    coat_first = axis.first_at_or_after(max(shop.earliest_s(coat), not_before))
    for _ in range(_SESSIONS):
        shared = _in_one_session(axis, cleans, first, clean.slots, coats, coat_first)
        if shared is None:
            break
        try:
            _take_run(shop, nodes[number], shared)
            following = _place_next(shop, nodes, number + 1, not_before, wishes)
        except Stuck:
            break
        coated = axis.sessions[shop.placed[nodes[number + 1]].slots[0]]
        if axis.sessions[shared] == coated:
            return following
        shop.back_to(before)
        first = coated
    shop.back_to(before)
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
    while (slot := first_of(mask, first)) is not None:
        again = shop.dust_after(node, slot) if node.wet is not None else None
        if again is None:
            return slot
        first = max(again, slot + 1)
    raise Stuck(index)


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
    """Give the work to the first person who is free all along."""
    node = shop.network.nodes[index]
    person = node.people[0]
    if len(node.people) > 1:
        whole = (1 << node.slots) - 1
        free = (one for one in node.people if shop.open_slots(node, one) >> slot & whole == whole)
        person = next(free)
    shop.take(index, tuple(range(slot, slot + node.slots)), person)


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
        start = first_of(open_slots, first)
        if start is None:
            return ()
        near = (1 << left) - 1
        length = min(left, 1 + _ones(joined >> start & near), _ones(open_slots >> start & near))
        if 0 < left - length < least:
            length = left - least
        if length >= min(least, left):
            slots.extend(range(start, start + length))
            first = start + length
        else:
            first = start + 1
    return tuple(slots)


def _ones(mask: int) -> int:
    """How many of the lowest bits are set before the first that is not."""
    return (mask ^ (mask + 1)).bit_length() - 1
