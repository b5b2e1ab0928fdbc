"""The last touch to a layout: what should be fresh is done just before the coat it is for."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from finplan.planning.forward import Found, goal_of, rank
from finplan.planning.network import Block, Layout, Network, Placed, State, lag_s
from finplan.planning.place import in_time
from finplan.planning.rebuild import rebuilt, shop_of
from finplan.planning.shop import Shop


def tidy(network: Network, found: Found) -> Found:
    """Move cleaning as late as its coat allows, and into its session where that does no harm.

    Where the cleaning fell into an earlier session, the coat (with its wiping) may start a little
    later in its own; only if nothing else moves and no project is ready later.
    """
    shop, sessions = found.shop.copy(), network.axis.sessions
    pairs = list(_fresh_pairs(network, found))
    for _, index, coat in pairs:
        _move_late(network, shop, index, coat)
    best = Found(Layout(shop.placed), goal_of(network, shop), shop)
    for block, index, coat in pairs:
        cleaned = best.layout.placed[index].slots[-1]
        coated = best.layout.placed[coat].slots[0]
        if sessions[cleaned] != sessions[coated]:
            best = _together(network, best, block, index, coat) or best
    return best


def loose(network: Network, found: Found) -> bool:
    """Whether anything that should be fresh is not in the session of the coat it is for."""
    return len(kept_together(network, found)) < len(_fresh_pairs(network, found))


def kept_together(network: Network, found: Found) -> tuple[tuple[int, int], ...]:
    """Fresh work and the coats a layout has in the same session."""
    placed, sessions = found.layout.placed, network.axis.sessions
    return tuple(
        (index, coat)
        for _, index, coat in _fresh_pairs(network, found)
        if sessions[placed[index].slots[0]] == sessions[placed[coat].slots[0]]
    )


def loosened(network: Network, found: Found) -> Network:
    """The network in which what a layout has apart from its coat need not be fresh.

    A wish, or a session too short, may have set it apart: what is proved of other layouts has to
    let it be so too, since its coat may then go on sooner.
    """
    together = {index for index, _ in kept_together(network, found)}
    apart = {index for _, index, _ in _fresh_pairs(network, found)} - together
    if not apart:
        return network
    nodes = list(network.nodes)
    for index in apart:
        nodes[index] = replace(nodes[index], fresh=False)
    return replace(network, nodes=tuple(nodes))


def _fresh_pairs(network: Network, found: Found) -> list[tuple[Block, int, int]]:
    """Each fresh node with the coat it is for, and their block."""
    return [
        (block, index, following)
        for chain in network.chains
        for block in chain.blocks
        for index, following in pairwise([i for i in block.nodes if i in found.layout.placed])
        if network.nodes[index].fresh and network.nodes[following].wet is not None
    ]


def _move_late(network: Network, shop: Shop, index: int, following: int) -> None:
    node, place = network.nodes[index], shop.placed[index]
    for slot in place.slots:
        shop.free[place.person] |= 1 << slot
    before = (1 << max(0, shop.placed[following].slots[0] - node.slots + 1)) - 1
    late = shop.runs(node, place.person) & before
    slot = max(place.slots[0], late.bit_length() - 1)
    shop.take(index, tuple(range(slot, slot + node.slots)), place.person)


def _together(network: Network, found: Found, block: Block, index: int, coat: int) -> Found | None:
    """The layout with a coat put off by the cleaning that now comes first in its session."""
    placed = found.layout.placed
    node, by = network.nodes[index], network.nodes[index].slots
    if network.nodes[coat].wish_s is not None or node.wish_s is not None:
        return None
    moved = [coat]
    after = block.nodes.index(coat) + 1
    if after < len(block.nodes) and network.nodes[block.nodes[after]].glued is not None:
        moved.append(block.nodes[after])
    first = placed[coat].slots[0]
    changed = dict(placed)
    changed[index] = Placed(tuple(range(first, first + by)), placed[coat].person)
    if placed[coat].person not in node.people:
        return None
    for one in moved:
        slots = tuple(slot + by for slot in placed[one].slots)
        changed[one] = Placed(slots, placed[one].person)
    if not _fits(network, changed, block, [index, *moved]):
        return None
    again = rebuilt(network, changed)
    later = any(
        again.shop.ends[end] > found.shop.ends[end]
        for each in network.finals
        for end in each
        if end in found.shop.ends
    )
    if later or not keeps_all(network, again) or rank(network, again)[0] > rank(network, found)[0]:
        return None
    return again


def _fits(network: Network, placed: dict[int, Placed], block: Block, moved: list[int]) -> bool:
    """Whether moved work finds its hours free, its air good and no dust, with all else in place."""
    others = {index: place for index, place in placed.items() if index not in moved}
    shop = shop_of(network, others, without=frozenset({network.nodes[moved[0]].chain}))
    for index in others:
        if network.nodes[index].chain == network.nodes[moved[0]].chain:
            shop.take(index, others[index].slots, others[index].person)
    for index in moved:
        node, place = network.nodes[index], placed[index]
        if place.slots[-1] >= len(network.axis):
            return False
        if not (shop.runs(node, place.person) & node.starts) >> place.slots[0] & 1:
            return False
        if node.wet is not None and (
            shop.no_coat[node.space] >> place.slots[0] & 1
            or shop.dust_after(node, place.slots[0]) is not None
        ):
            return False
        shop.take(index, place.slots, place.person)
    sessions = network.axis.sessions
    return sessions[placed[moved[0]].slots[0]] == sessions[placed[moved[-1]].slots[-1]]


def keeps_all(network: Network, found: Found) -> bool:
    """Whether every lag, window, wiping and rack still holds."""
    starts, shop, sessions = network.axis.starts, found.shop, network.axis.sessions
    for index, place in found.layout.placed.items():
        node = network.nodes[index]
        if node.state is not State.WORK:
            continue
        if node.glued is not None:
            coated = found.layout.placed[index - 1].slots[-1]
            gap = place.slots[0] - coated - 1
            if (
                not node.glued[0] <= gap <= node.glued[1]
                or sessions[coated] != sessions[place.slots[0]]
            ):
                return False
            continue
        if any(starts[place.slots[0]] < lag_s(lag, shop.ends, shop.last) for lag in node.after):
            return False
    for number, chain in enumerate(network.chains):
        for block in chain.blocks:
            optional = any(network.nodes[node].optional for node in block.nodes)
            scuffed = optional and all(node in shop.placed for node in block.nodes)
            if not scuffed and optional and not in_time(shop, block):
                return False
        for hold in shop.racks[chain.space].holds:
            if hold.chain == number and shop.rack_frees_s(number, hold.start_s, hold.end_s):
                return False
    return True
