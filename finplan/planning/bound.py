"""A date no plan can beat, and what sets it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace

import numpy as np

from finplan.planning.hours import SLOT_S
from finplan.planning.network import Block, Network, State
from finplan.planning.place import place_block
from finplan.planning.shop import Shop, Stuck
from finplan.trade.arrays import rising

DRYING, HOURS = "drying path", "hours of work"


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan has all projects ready before ``ready_s``; ``by`` says what binds.

    ``early``: every load by itself, where that is what binds and it was worked out.
    """

    ready_s: int
    by: str
    early: Alone | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Alone:
    """Every load by itself, as if it had the shop alone: first slots, last slots and ends."""

    first: dict[int, int]
    last: dict[int, int]
    ends: dict[int, int]


def alone(network: Network) -> Alone:
    """Each load as early as its own waits, the air and the hours allow, whatever others do.

    Scuffing for a missed window is left out, and so is the shortest piece of split work, so that
    no plan can be earlier at any node.
    """
    shop = Shop(replace(network, least_slots=1, on_rack=()))
    empty = shop.mark()
    for number, chain in enumerate(network.chains):
        shop.open_as(empty)
        for block in chain.blocks:
            must = tuple(index for index in block.nodes if not network.nodes[index].optional)
            place_block(shop, number, Block(must, holds=False), frozenset())
    first = {index: place.slots[0] for index, place in shop.placed.items()}
    return Alone(first, shop.last, shop.ends)


def lower_bound(network: Network) -> Bound:
    """The best bound the drying path and the hours of work give.

    Raises:
        Stuck: if a load finds no place even alone.
    """
    early = alone(network)
    finals = [node for each in network.finals for node in each if node in early.ends]
    path = max(early.ends[node] for node in finals)
    low, high = path, path
    step = 4 * 3600
    while not _hours_do(network, early, high):
        low, high, step = high, high + step, step * 2
        if step > 1 << 30:
            raise Stuck(0)
    if high == path:
        return Bound(path, DRYING, early)
    while high - low > SLOT_S:
        middle = (low + high) // 2
        low, high = (low, middle) if _hours_do(network, early, middle) else (middle, high)
    return Bound(low + 1, HOURS)


def _hours_do(network: Network, early: Alone, ready_s: int) -> bool:
    """Whether everybody's work could fit if all were ready at an instant.

    Work is let to be broken off at will (the preemptive relaxation), and whoever can do a step
    counts as one crew with the hours of all of them.
    """
    late = latest_last(network, ready_s, early)
    if late is None:
        return False
    for crew in sorted({node.people for node in network.nodes if node.state is State.WORK}):
        jobs = [
            (early.first[index], late[index], node.slots)
            for index, node in enumerate(network.nodes)
            if index in early.first and set(node.people) <= set(crew)
        ]
        if jobs and not _fits(network, crew, jobs):
            return False
    return True


def _fits(network: Network, crew: tuple[int, ...], jobs: list[tuple[int, int, int]]) -> bool:
    """Whether jobs (first slot, last slot, slots) fit a crew's hours, broken off at will."""
    size = len(network.axis)
    hours = np.zeros(size + 1, np.int64)
    for person in crew:
        mask = network.axis.free[person].to_bytes(size // 8 + 1, "little")
        bits = np.unpackbits(np.frombuffer(mask, np.uint8), bitorder="little")[:size]
        hours[1:] += np.cumsum(bits.astype(np.int64))
    first, last, slots = np.array(sorted(jobs, key=lambda job: job[1]), np.int64).T
    heads = rising(first)
    need = np.cumsum(slots * (first >= heads[:, None]), axis=1)
    there = hours[last + 1] - hours[heads][:, None]
    return not bool(np.any((need > there) & (first >= heads[:, None])))


def latest_last(
    network: Network, ready_s: int, early: Alone | None = None
) -> dict[int, int] | None:
    """The last slot each node may end with if all is to be ready at an instant; None if none.

    Work that comes in only for a missed window is left out. ``early``: every load by itself, to
    see at once where a load has no chance.
    """
    earliest = early.last if early is not None else {}
    latest_s: dict[int, int] = {node: ready_s for each in network.finals for node in each}
    late: dict[int, int] = {}
    starts = network.axis.starts
    for index in range(len(network.nodes) - 1, -1, -1):
        node = network.nodes[index]
        if node.optional or node.state is State.DONE:
            continue
        start_s = latest_s.get(index, ready_s)
        if node.state is State.WORK:
            last = bisect_left(starts, start_s - SLOT_S + 1) - 1
            if last < earliest.get(index, 0):
                return None
            late[index] = last
            start_s = starts[max(0, last - node.slots + 1)]
        for before, ready, plus_s, fixed_s, _ in node.after:
            if fixed_s is not None or before in network.optional:
                continue
            allowed = start_s - plus_s
            if ready is not None:
                slot = bisect_right(ready, allowed) - 1
                if slot < earliest.get(before, 0):
                    return None
                allowed = starts[slot] + SLOT_S
            if allowed < latest_s.get(before, ready_s):
                latest_s[before] = allowed
    return late


def most_urgent(network: Network, early: Alone, at_most: int) -> frozenset[int]:
    """The loads that are ready last even alone, with those they wait for.

    Args:
        network: the network.
        early: every load by itself.
        at_most: pieces of work they may have together; a split piece counts for each quarter hour.
    """
    work, ends_s = [0] * len(network.chains), [0] * len(network.chains)
    feeders: list[set[int]] = [set() for _ in network.chains]
    for index, node in enumerate(network.nodes):
        ends_s[node.chain] = max(ends_s[node.chain], early.ends.get(index, 0))
        feeders[node.chain] |= {network.nodes[lag.before].chain for lag in node.after}
        if node.state is State.WORK:
            work[node.chain] += node.slots if node.split else 1
    chosen: set[int] = set()
    for chain in sorted(range(len(work)), key=lambda at: -ends_s[at]):
        for one in sorted(feeders[chain] | {chain}, key=lambda at: -ends_s[at]):
            if one not in chosen and work[one] <= at_most:
                chosen.add(one)
                at_most -= work[one]
    return frozenset(chosen)
