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
_FIRST_STEP_S, _NO_STEP_S = 4 * 3600, 1 << 30
_GUESSES, _NEAR_S = 8, 12 * 3600
"""How often what is missing is asked for, and how far apart the hours that do and do not are."""


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan has all projects ready before ``ready_s``; ``by`` says what binds.

    ``early``: every load by itself, where that is what binds and it was worked out.
    """

    ready_s: int
    by: str
    early: Alone | None = field(default=None, compare=False, repr=False)

    def ends_search(self, network: Network, ready_s: int) -> bool:
        """Whether a layout that is all ready at an instant need not be bettered.

        Of several projects those that are not ready last may still be ready sooner.
        """
        return ready_s <= self.ready_s and len(network.finals) == 1


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
    hours = _Hours(network, early)
    short_s = hours.short_s(path)
    if not short_s:
        return Bound(path, DRYING, early)
    hours.come_near(path + short_s)
    low, high, step = path, path + _FIRST_STEP_S, 2 * _FIRST_STEP_S
    while not hours.do(high):
        low, high, step = high, high + step, step * 2
        if step > _NO_STEP_S:
            raise Stuck(0)
    while high - low > SLOT_S:
        middle = (low + high) // 2
        low, high = (low, middle) if hours.do(middle) else (middle, high)
    return Bound(low + 1, HOURS)


class _Hours:
    """Whether everybody's work could fit if all were ready at an instant.

    Work is let to be broken off at will (the preemptive relaxation), and whoever can do a step
    counts as one crew with the hours of all of them. What does at an instant does at any later
    one, so that few instants are looked at.
    """

    def __init__(self, network: Network, early: Alone) -> None:
        self._latest = Latest(network, early)
        crews = sorted({node.people for node in network.nodes if node.state is State.WORK})
        self._crews = [_Crew(network, early, crew) for crew in crews]
        self._too_soon_s, self._late_enough_s = 0, 1 << 62

    def do(self, ready_s: int) -> bool:
        """Whether the work fits if all is to be ready at an instant."""
        if self._too_soon_s < ready_s < self._late_enough_s:
            self.short_s(ready_s)
        return ready_s >= self._late_enough_s

    def come_near(self, ready_s: int) -> None:
        """Look from an instant on for one at which the work fits, and soon before it one too soon.

        What is missing says how much later to look next.
        """
        for _ in range(_GUESSES):
            short_s = self.short_s(ready_s)
            if not short_s:
                break
            ready_s += short_s
        sooner_s = _NEAR_S
        while self.do(ready_s):
            ready_s -= sooner_s
            sooner_s *= 2

    def short_s(self, ready_s: int) -> int:
        """About how much more time the work needs than until an instant; 0 if it fits."""
        late = self._latest.lasts(ready_s)
        short_s = _FIRST_STEP_S if late is None else 0
        if late is not None:
            short_s = max((crew.short_s(late) for crew in self._crews), default=0)
        if short_s:
            self._too_soon_s = max(self._too_soon_s, ready_s)
        else:
            self._late_enough_s = min(self._late_enough_s, ready_s)
        return short_s


class _Crew:
    """The jobs of those who can do a step, and the hours they have together."""

    def __init__(self, network: Network, early: Alone, crew: tuple[int, ...]) -> None:
        nodes = network.nodes
        able = set(crew)
        self._jobs = [index for index in early.first if able.issuperset(nodes[index].people)]
        self._slots = np.array([nodes[index].slots for index in self._jobs], np.int32)
        self._first = np.array([early.first[index] for index in self._jobs], np.int64)
        self._heads = rising(self._first)
        self._hours = network.axis.work_before(crew).astype(np.int32)
        self._starts = network.axis.starts

    def short_s(self, late: dict[int, int]) -> int:
        """About how much later the last slots have to be for the jobs to fit; 0 if they do."""
        if not self._jobs:
            return 0
        last = np.array([late[index] for index in self._jobs], np.int64)
        by_last = np.argsort(last, kind="stable")
        last, first = last[by_last], self._first[by_last]
        counted = first >= self._heads[:, None]
        need = np.cumsum(self._slots[by_last] * counted, axis=1, dtype=np.int32)
        there = self._hours[last + 1] - self._hours[self._heads][:, None]
        over = (need - there) * counted
        worst = int(over.argmax())
        head, job = divmod(worst, len(last))
        missing = int(over[head, job])
        if missing <= 0:
            return 0
        enough = int(np.searchsorted(self._hours, self._hours[last[job] + 1] + missing))
        enough = min(enough, len(self._starts))
        return max(SLOT_S, self._starts[enough - 1] - self._starts[int(last[job])])


class Latest:
    """The last slots work may end with, for any instant by which all is to be ready.

    Work that comes in only for a missed window is left out. ``early``: every load by itself, to
    see at once where a load has no chance.
    """

    def __init__(self, network: Network, early: Alone | None = None) -> None:
        earliest = early.last if early is not None else {}
        self._starts, self._size = network.axis.starts, len(network.nodes)
        self._rows = [
            (
                index,
                node.slots if node.state is State.WORK else None,
                earliest.get(index, 0),
                [
                    (before, ready, plus_s, earliest.get(before, 0))
                    for before, ready, plus_s, fixed_s, _ in node.after
                    if fixed_s is None and before not in network.optional
                ],
            )
            for index, node in enumerate(network.nodes)
            if not node.optional and node.state is not State.DONE
        ]
        self._rows.reverse()  # a node comes after all it waits for

    def lasts(self, ready_s: int) -> dict[int, int] | None:
        """The last slot each node may end with if all is to be ready at an instant; None if none.

        Called again and again, so it is kept to bare steps.
        """
        starts, latest_s, late = self._starts, [ready_s] * self._size, {}
        slots_there = range(len(starts))
        for index, slots, earliest, lags in self._rows:
            start_s = latest_s[index]
            if slots is not None:
                last = bisect_left(starts, start_s - SLOT_S + 1) - 1
                if last < earliest:
                    return None
                late[index] = last
                start_s = starts[max(0, last - slots + 1)]
            for before, ready, plus_s, earliest in lags:
                allowed = start_s - plus_s
                if ready is not None:
                    slot = bisect_right(slots_there, allowed, key=ready.__getitem__) - 1
                    if slot < earliest:
                        return None
                    allowed = starts[slot] + SLOT_S
                if allowed < latest_s[before]:
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
