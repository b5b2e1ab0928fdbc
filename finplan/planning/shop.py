"""The shop while a plan is being laid out: free hours, dust, wet surfaces and the rack."""

from __future__ import annotations

from finplan.planning.hours import NEVER_S, SLOT_S
from finplan.planning.network import Network, Node, Placed, State, lag_s


class Stuck(Exception):
    """A node that finds no place on the axis."""

    def __init__(self, node: int) -> None:
        self.node = node
        super().__init__(node)


class Shop:
    """What is taken so far. Copies are cheap, so that a placement can be tried and dropped."""

    def __init__(self, network: Network) -> None:
        spaces = len(network.rack_m2)
        self.network = network
        self.free = list(network.axis.free)
        self.no_dust = [0] * spaces
        self.dust = [0] * spaces
        self.no_coat = [0] * spaces
        self.holds: list[list[tuple[int, int, float, int]]] = [[] for _ in range(spaces)]
        self.reserved: dict[int, tuple[int, int]] = {}
        self.placed: dict[int, Placed] = {}
        self.last: dict[int, int] = {}
        self.ends: dict[int, int] = {
            index: node.ended_s
            for index, node in enumerate(network.nodes)
            if node.state is State.DONE
        }
        for stay in network.wet_now:
            self._wet(network.chains[stay.chain].space, stay.start_s, stay.end_s)
        for stay in network.dust_now:
            self._dusted(network.chains[stay.chain].space, stay.start_s, stay.end_s)
        for stay in network.on_rack:
            self.hold(stay.chain, stay.start_s, stay.end_s)

    def copy(self) -> Shop:
        """The same state, free to go its own way."""
        other = object.__new__(Shop)
        other.network = self.network
        other.free = self.free.copy()
        other.no_dust = self.no_dust.copy()
        other.dust = self.dust.copy()
        other.no_coat = self.no_coat.copy()
        other.holds = [held.copy() for held in self.holds]
        other.reserved = self.reserved.copy()
        other.placed = self.placed.copy()
        other.last = self.last.copy()
        other.ends = self.ends.copy()
        return other

    def reserve(self, index: int, slot: int) -> None:
        """Keep the hours somebody wished a node at free of other work."""
        node = self.network.nodes[index]
        mask = ((1 << node.slots) - 1) << slot
        for person in node.people:
            if self.free[person] & mask == mask:
                self.free[person] &= ~mask
                self.reserved[index] = (person, mask)
                return

    def give_back(self, index: int) -> None:
        """Open the hours kept for a node, now that it is placed itself."""
        if index in self.reserved:
            person, mask = self.reserved.pop(index)
            self.free[person] |= mask

    def become(self, other: Shop) -> None:
        """Take over the state of a copy."""
        self.free, self.no_dust, self.dust = other.free, other.no_dust, other.dust
        self.no_coat, self.holds, self.reserved = other.no_coat, other.holds, other.reserved
        self.placed, self.last, self.ends = other.placed, other.last, other.ends

    def span(self, from_s: float, to_s: float) -> int:
        """Mask of the slots that start in ``[from_s, to_s)``."""
        axis = self.network.axis
        low, high = axis.first_at_or_after(from_s), axis.first_at_or_after(to_s)
        return (1 << high) - (1 << low) if high > low else 0

    def earliest_s(self, node: Node) -> int:
        """The instant before which a node's lags do not let it start."""
        earliest = node.release_s
        for lag in node.after:
            earliest = max(earliest, lag_s(lag, self.ends, self.last))
        return earliest

    def open_slots(self, node: Node, person: int) -> int:
        """Mask of slots a person can use for a node."""
        free = self.free[person]
        return free & ~self.no_dust[node.space] if self._spreads(node) else free

    def runs(self, node: Node, person: int) -> int:
        """Mask of slots at which a person can start a node that is not split."""
        return _runs(self.open_slots(node, person), self.network.axis.joined, node.slots)

    def starts(self, node: Node) -> int:
        """Mask of slots at which somebody can start a node that is not split."""
        mask = 0
        for person in node.people:
            mask |= self.runs(node, person)
        mask &= node.starts
        return mask & ~self.no_coat[node.space] if node.wet is not None else mask

    def dust_after(self, node: Node, slot: int) -> int | None:
        """Where to look next if dust falls on a coat that starts at ``slot``; None if none does."""
        if node.wet is None or not self.dust[node.space]:
            return None
        axis = self.network.axis
        until = node.wet.dust_free[slot + node.slots - 1]
        falls = self.dust[node.space] & self.span(axis.starts[slot], until)
        if not falls:
            return None
        return axis.first_at_or_after(axis.end_s(falls.bit_length() - 1) + self.network.settle_s)

    def take(self, index: int, slots: tuple[int, ...], person: int) -> None:
        """Place a node."""
        node, axis = self.network.nodes[index], self.network.axis
        self.placed[index] = Placed(slots, person)
        self.last[index] = slots[-1]
        self.ends[index] = axis.end_s(slots[-1])
        for slot in slots:
            self.free[person] &= ~(1 << slot)
        if self._spreads(node):
            for slot in slots:
                self._dusted(node.space, axis.starts[slot], axis.end_s(slot))
        if node.wet is not None:
            self._wet(node.space, axis.starts[slots[0]], node.wet.dust_free[slots[-1]])

    def hold(self, chain: int, start_s: int, end_s: int) -> None:
        """Keep a load's area on the rack."""
        load = self.network.chains[chain]
        self.holds[load.space].append((start_s, end_s, load.area_m2, chain))

    def release(self, chain: int) -> None:
        """Forget the open stay of a load on the rack, as a better known one takes its place."""
        space = self.network.chains[chain].space
        self.holds[space] = [
            hold for hold in self.holds[space] if hold[3] != chain or hold[1] < NEVER_S
        ]

    def rack_frees_s(self, chain: int, start_s: int, end_s: int) -> int | None:
        """When to try again if the rack is too full for a stay; None if there is room."""
        load = self.network.chains[chain]
        room = self.network.rack_m2[load.space] * (1 + 1e-9) - load.area_m2
        others = [
            hold
            for hold in self.holds[load.space]
            if hold[0] < end_s and hold[1] > start_s and hold[3] != chain
        ]
        if sum(hold[2] for hold in others) <= room:
            return None
        for moment in sorted({start_s, *(max(hold[0], start_s) for hold in others)}):
            there = [hold for hold in others if hold[0] <= moment < hold[1]]
            if there and sum(hold[2] for hold in there) > room:
                return min(hold[1] for hold in there)
        return None

    def _spreads(self, node: Node) -> bool:
        return node.dusty and not self.network.dust_apart[node.space]

    def _wet(self, space: int, start_s: int, dust_free_s: int) -> None:
        if not self.network.dust_apart[space]:
            settle = self.network.settle_s
            self.no_dust[space] |= self.span(start_s - settle - SLOT_S + 1, dust_free_s)

    def _dusted(self, space: int, start_s: int, end_s: int) -> None:
        self.dust[space] |= self.span(start_s, end_s)
        self.no_coat[space] |= self.span(start_s, end_s + self.network.settle_s)


def _runs(free: int, joined: int, length: int) -> int:
    """Mask of slots from which ``length`` free slots follow each other without a break."""
    have, mask = 1, free
    while have < length:
        step = min(have, length - have)
        mask &= mask >> step
        if step == have:  # the two runs meet without overlapping: there must be no break between
            mask &= joined >> (have - 1)
        have += step
    return mask
