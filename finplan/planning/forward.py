"""The forward planner: blocks put one after the other where they fit first, in several orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.planning.hours import SLOT_S
from finplan.planning.network import Layout, Network
from finplan.planning.place import closes_s, place_block, session_of, wished_slot
from finplan.planning.shop import Shop, Stuck

PASSES = 4
"""Orders tried by the plain forward plan."""

Goal = tuple[int, int, int, int]

Weights = Sequence[float] | NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Found:
    """A layout and how good it is: last ready, sum of ready, sessions, sum of starts."""

    layout: Layout
    goal: Goal
    shop: Shop


def forward(network: Network, seed: int = 0, passes: int = PASSES) -> Found:
    """Lay the network out, in several orders, and keep the best.

    Args:
        network: what to plan.
        seed: fixes the chance orders beyond the first three.
        passes: how many orders to try.

    Raises:
        Stuck: if no order finds a place for every node.
    """
    wishes = frozenset(i for i, node in enumerate(network.nodes) if node.wish_s is not None)
    tails = tails_of(network)
    chance = np.random.default_rng(seed)
    best: Found | None = None
    stuck: Stuck | None = None
    for number in range(passes):
        weights = _weights(number, tails, len(network.chains), chance)
        try:
            found = one_pass(network, weights, by_time=number % 2 == 0, wishes=wishes)
        except Stuck as none:
            stuck = stuck or none
            continue
        if best is None or rank(network, found) < rank(network, best):
            best = found
        if number == 0 and len(network.chains) == 1:
            break
    if best is None:
        raise stuck or Stuck(0)
    return best


def _weights(
    number: int, tails: Sequence[Sequence[int]], chains: int, chance: np.random.Generator
) -> list[list[float]]:
    """The weight of each block in the order of a pass: the tail, shaken from the third pass on."""
    if number < 2:
        return [[float(tail) for tail in row] for row in tails]
    shake = chance.uniform(0.5, 1.5, chains)
    return [[tail * shake[chain] for tail in row] for chain, row in enumerate(tails)]


def one_pass(
    network: Network, weights: Sequence[Weights], by_time: bool, wishes: frozenset[int]
) -> Found:
    """Place block after block: the earliest possible one first, or the heaviest.

    Raises:
        Stuck: if a node finds no place.
    """
    shop = Shop(network)
    for index in sorted(wishes):
        slot = wished_slot(network, network.nodes[index])
        if slot is not None:
            shop.reserve(index, slot)
    following = [0] * len(network.chains)
    wished = {network.nodes[index].chain for index in wishes}  # they go first, to keep their hour
    where = _homes(network)
    while True:
        ready = []
        for chain, load in enumerate(network.chains):
            number = following[chain]
            if number < len(load.blocks) and _eligible(network, chain, number, where, following):
                block = load.blocks[number]
                first = shop.earliest_s(network.nodes[block.nodes[0]]) if by_time else 0
                turn = 0 if block.held_from_s is not None else 2 - (chain in wished)
                ready.append((turn, first, -float(weights[chain][number]), chain))
        if not ready:
            break
        chain = min(ready)[-1]
        block = network.chains[chain].blocks[following[chain]]
        shop = place_block(shop, chain, block, wishes)
        following[chain] += 1
    return Found(Layout(shop.placed), goal_of(network, shop), shop)


def _homes(network: Network) -> dict[int, tuple[int, int]]:
    """Chain and number of the block each node stands in."""
    return {
        node: (chain, number)
        for chain, load in enumerate(network.chains)
        for number, block in enumerate(load.blocks)
        for node in block.nodes
    }


def _eligible(
    network: Network,
    chain: int,
    number: int,
    where: dict[int, tuple[int, int]],
    following: Sequence[int],
) -> bool:
    """Whether all that a block waits for in other chains is placed."""
    for node in network.chains[chain].blocks[number].nodes:
        for lag in network.nodes[node].after:
            home = where.get(lag.before)
            if home is not None and home[0] != chain and home[1] >= following[home[0]]:
                return False
    return True


def tails_of(network: Network) -> list[list[int]]:
    """Per chain and block: about how long from its start to the end of all, in seconds.

    A guide for the order only: waits are taken at the first hours of the axis.
    """
    tail: dict[int, int] = {}
    followers: dict[int, list[tuple[int, int]]] = {}
    for index, node in enumerate(network.nodes):
        for lag in node.after:
            wait = lag.plus_s
            if lag.ready is not None and len(network.axis):
                wait += max(0, lag.ready[0] - network.axis.end_s(0))
            followers.setdefault(lag.before, []).append((index, wait))

    def length(index: int) -> int:
        if index not in tail:
            own = network.nodes[index].slots * SLOT_S
            after = [wait + length(later) for later, wait in followers.get(index, [])]
            tail[index] = own + max(after, default=0)
        return tail[index]

    for index in range(len(network.nodes) - 1, -1, -1):
        length(index)
    return [[tail[block.nodes[0]] for block in load.blocks] for load in network.chains]


def goal_of(network: Network, shop: Shop) -> Goal:
    """How good a finished layout is; less is better, the first that differs decides."""
    ready = [
        max((shop.ends.get(node, 0) for node in finals), default=0) for finals in network.finals
    ]
    sessions: set[tuple[int, int]] = set()
    for place in shop.placed.values():
        for slot in place.slots:
            sessions.add((place.person, session_of(network, slot)))
    starts = sum(network.axis.starts[place.slots[0]] for place in shop.placed.values())
    return max(ready, default=0), sum(ready), len(sessions), starts


def rank(network: Network, found: Found) -> tuple[int, Goal]:
    """What layouts are compared by: wishes and windows not kept, then the goal."""
    starts = network.axis.starts
    unkept = sum(
        abs(starts[place.slots[0]] - wish_s) >= SLOT_S
        for index, place in found.layout.placed.items()
        if (wish_s := network.nodes[index].wish_s) is not None
    )
    return unkept + len(missed_windows(network, found)), found.goal


def missed_windows(network: Network, found: Found) -> frozenset[int]:
    """Coats that go on after their window though nothing in the schedule mends it."""
    starts = network.axis.starts
    return frozenset(
        window.node
        for chain in network.chains
        for block in chain.blocks
        if not any(network.nodes[node].optional for node in block.nodes)
        for window in block.windows
        if (closing := closes_s(found.shop, window)) is not None
        and starts[found.layout.placed[window.node].slots[0]] > closing
    )
