"""The forward planner: blocks put one after the other where they fit first, in several orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from finplan.planning.bound import Latest
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Layout, Network
from finplan.planning.place import closes_s, place_block, place_for_window
from finplan.planning.place_nodes import wished_slot
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
    orders = Orders(network)
    tails = tails_of(network)
    if len(network.chains) == 1:
        passes = min(passes, 1)
    chance = np.random.default_rng(seed) if passes > 2 else None
    weights = [_weights(number, tails, len(network.chains), chance) for number in range(passes)]
    best: tuple[tuple[int, Goal], int, Found] | None = None
    in_time: dict[int, int] | None = None
    latest: Latest | None = None
    stuck: dict[int, Stuck] = {}
    # The heaviest first, as it is mostly the best: what cannot beat it is soon given up.
    for number in sorted(range(passes), key=lambda number: number != 1):
        try:
            found = orders.lay_out(weights[number], number % 2 == 0, in_time)
        except Stuck as none:
            stuck[number] = none
            continue
        ranked = rank(network, found)
        if best is None or (ranked, number) < best[:2]:
            best = ranked, number, found
            latest = latest or Latest(network)
            in_time = latest.lasts(found.goal[0]) if not ranked[0] else None
    if best is None:
        raise stuck.get(0, Stuck(0))
    return best[2]


def _weights(
    number: int, tails: Sequence[Sequence[int]], chains: int, chance: np.random.Generator | None
) -> list[list[float]]:
    """The weight of each block in the order of a pass: the tail, shaken from the third pass on."""
    if number < 2 or chance is None:
        return [[float(tail) for tail in row] for row in tails]
    shake = chance.uniform(0.5, 1.5, chains)
    return [[tail * shake[chain] for tail in row] for chain, row in enumerate(tails)]


class Orders:
    """What every pass over a network asks for: which blocks wait for blocks of other loads."""

    def __init__(self, network: Network) -> None:
        self._network = network
        nodes = network.nodes
        self._wishes = frozenset(i for i, node in enumerate(nodes) if node.wish_s is not None)
        self._wished = {nodes[index].chain for index in self._wishes}
        home = {
            node: (chain, number)
            for chain, load in enumerate(network.chains)
            for number, block in enumerate(load.blocks)
            for node in block.nodes
        }
        self._before_window = {
            (chain, number)
            for chain, load in enumerate(network.chains)
            for number, (block, following) in enumerate(pairwise(load.blocks))
            if any(window.before in block.nodes for window in following.windows)
            and not any(nodes[index].optional for index in following.nodes)
        }
        self._followers: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self._waits = dict.fromkeys(home.values(), 0)
        awaited: set[tuple[tuple[int, int], tuple[int, int]]] = set()
        for index, block in home.items():
            for lag in nodes[index].after:
                other = home.get(lag.before, block)
                if other[0] != block[0]:
                    awaited.add((block, other))
        for block, other in sorted(awaited):
            self._waits[block] += 1
            self._followers.setdefault(other, []).append(block)

    def _opened(self) -> Shop:
        """The shop before the first block, with the hours somebody wished kept open."""
        shop = Shop(self._network)
        for index in sorted(self._wishes):
            slot = wished_slot(self._network, self._network.nodes[index])
            if slot is not None:
                shop.reserve(index, slot)
        return shop

    def _place(self, shop: Shop, chain: int, number: int, waits: dict[tuple[int, int], int]) -> int:
        """Place a block, and the next too if it has to be in time for its window; how many."""
        blocks = self._network.chains[chain].blocks
        if (chain, number) in self._before_window and not waits[chain, number + 1]:
            place_for_window(shop, chain, blocks[number], blocks[number + 1], self._wishes)
            return 2
        place_block(shop, chain, blocks[number], self._wishes)
        return 1

    def _now_ready(
        self,
        chain: int,
        number: int,
        count: int,
        waits: dict[tuple[int, int], int],
        following: list[int],
    ) -> list[tuple[int, int]]:
        """The blocks that wait for nothing more once so many blocks of a chain are placed."""
        ready = []
        upto = following[chain] = following[chain] + count
        for placed in range(number, number + count):
            for other in self._followers.get((chain, placed), ()):
                waits[other] -= 1
                if not waits[other] and following[other[0]] == other[1]:
                    ready.append(other)
        if waits.get((chain, upto)) == 0:
            ready.append((chain, upto))
        return ready

    def lay_out(
        self, weights: Sequence[Weights], by_time: bool, latest: dict[int, int] | None = None
    ) -> Found:
        """Place block after block: the earliest possible one first, or the heaviest.

        Work that somebody wished at an hour goes before the rest, and what already lies on the
        rack goes first.

        Args:
            weights: by load and block.
            by_time: whether what is possible first goes before what is heavier.
            latest: the last slot each node may end with, where a later plan is of no use.

        Raises:
            Stuck: if a node finds no place, or none by its latest slot.
        """
        network, shop = self._network, self._opened()
        waits = self._waits.copy()

        chains, nodes, wished = network.chains, network.nodes, self._wished

        def turn(chain: int, number: int) -> tuple[int, int, float, int, int]:
            block = chains[chain].blocks[number]
            first = shop.earliest_s(nodes[block.nodes[0]]) if by_time else 0
            group = 0 if block.held_from_s is not None else 1 if chain in wished else 2
            return group, first, -weights[chain][number], chain, number

        following = [0] * len(chains)
        ready = [turn(at, 0) for at in range(len(chains)) if not waits.get((at, 0), 1)]
        heapify(ready)
        while ready:
            *_, chain, number = heappop(ready)
            known = len(shop.order)
            count = self._place(shop, chain, number, waits)
            if latest is not None:
                _in_time(shop, known, latest)
            for key in self._now_ready(chain, number, count, waits, following):
                heappush(ready, turn(*key))
        return Found(Layout(shop.placed), goal_of(network, shop), shop)


def _in_time(shop: Shop, known: int, latest: dict[int, int]) -> None:
    """Look at what was placed since so much was known.

    Raises:
        Stuck: if a node ends after its latest slot.
    """
    last = shop.last
    for index in shop.order[known:]:
        if index in latest and last[index] > latest[index]:
            raise Stuck(index)


def tails_of(network: Network) -> list[list[int]]:
    """Per chain and block: about how long from its start to the end of all, in seconds.

    A guide for the order only: waits are taken at the first hours of the axis.
    """
    first_s = network.axis.end_s(0) if len(network.axis) else 0
    tail = [0] * len(network.nodes)
    for index in range(len(network.nodes) - 1, -1, -1):  # a node comes after all it waits for
        node = network.nodes[index]
        tail[index] += node.slots * SLOT_S
        for before, ready, wait_s, *_ in node.after:
            if ready is not None and first_s and ready[0] > first_s:
                wait_s += ready[0] - first_s
            if wait_s + tail[index] > tail[before]:
                tail[before] = wait_s + tail[index]
    return [[tail[block.nodes[0]] for block in load.blocks] for load in network.chains]


def goal_of(network: Network, shop: Shop) -> Goal:
    """How good a finished layout is; less is better, the first that differs decides."""
    ready = [
        max((shop.ends.get(node, 0) for node in finals), default=0) for finals in network.finals
    ]
    session, starts, first_s = network.axis.sessions, network.axis.starts, 0
    sessions = set()
    for slots, person in shop.placed.values():
        first_s += starts[slots[0]]
        first, last = session[slots[0]], session[slots[-1]]
        sessions.add((person, first))
        if first != last:
            sessions.update((person, session[slot]) for slot in slots)
    return max(ready, default=0), sum(ready), len(sessions), first_s


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
