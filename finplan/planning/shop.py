"""The shop while a plan is being laid out: free hours, dust, wet surfaces and the rack."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from finplan.planning.hours import SLOT_S
from finplan.planning.network import ANY_SLOT, Network, Node, Placed, Stay
from finplan.planning.rack import Hold, Rack


class Stuck(Exception):
    """A node that finds no place on the axis."""

    def __init__(self, node: int) -> None:
        self.node = node
        super().__init__(node)


Mark = tuple[list[int], list[int], list[int], list[int], list[Rack], int]
"""A moment in the filling of a shop, to come back to: hours, air, rack, how many ends are known.

A bare tuple, since one is made for every block that is placed.
"""


class Shop:
    """What is taken so far. It goes back to a mark, so that a placement can be tried and dropped.

    ``order``: the nodes whose ends became known, one after the other. ``racks``: by space.
    """

    def __init__(self, network: Network) -> None:
        spaces = len(network.rack_m2)
        self.network = network
        self._mixed = [not apart for apart in network.dust_apart]
        self.free = list(network.axis.free)
        self.no_dust = [0] * spaces
        self.dust = [0] * spaces
        self.no_coat = [0] * spaces
        self.racks = [Rack()] * spaces
        self.order: list[int] = []
        self.reserved: dict[int, tuple[int, int]] = {}
        self.placed: dict[int, Placed] = {}
        self.last: dict[int, int] = {}
        self.ends = network.done.copy()
        for stay in network.wet_now:
            self._wet(network.chains[stay.chain].space, stay.start_s, stay.end_s)
        for stay in network.dust_now:
            self._dusted(stay)
        for stay in network.on_rack:
            self.hold(stay.chain, stay.start_s, stay.end_s)

    def copy(self) -> Shop:
        """The same state, free to go its own way."""
        other = object.__new__(Shop)
        other.network = self.network
        other._mixed = self._mixed
        other.free = self.free.copy()
        other.no_dust = self.no_dust.copy()
        other.dust = self.dust.copy()
        other.no_coat = self.no_coat.copy()
        other.racks = self.racks.copy()
        other.order = self.order.copy()
        other.reserved = self.reserved.copy()
        other.placed = self.placed.copy()
        other.last = self.last.copy()
        other.ends = self.ends.copy()
        return other

    def mark(self) -> Mark:
        """This moment."""
        return (
            self.free[:],
            self.no_dust[:],
            self.dust[:],
            self.no_coat[:],
            self.racks[:],
            len(self.order),
        )

    def back_to(self, mark: Mark) -> None:
        """Drop all that was placed and put on the rack since a mark."""
        self.open_as(mark)
        known = mark[-1]
        for index in self.order[known:]:
            self.placed.pop(index, None)
            self.last.pop(index, None)
            self.ends.pop(index, None)
        del self.order[known:]

    def open_as(self, mark: Mark) -> None:
        """Make hours, air and rack as free as they were at a mark; what is placed stays known."""
        self.free[:], self.no_dust[:], self.dust[:], self.no_coat[:], self.racks[:], _ = mark

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

    def span(self, from_s: float, to_s: float) -> int:
        """Mask of the slots that start in ``[from_s, to_s)``."""
        axis = self.network.axis
        low, high = axis.first_at_or_after(from_s), axis.first_at_or_after(to_s)
        return (1 << high) - (1 << low) if high > low else 0

    def earliest_s(self, node: Node) -> int:
        """The instant before which a node's lags do not let it start."""
        ends, earliest = self.ends, node.release_s
        for before, ready, plus_s, fixed_s, _ in node.after:  # as lag_s, which is slower to call
            if fixed_s is not None:
                at_s = fixed_s
            elif before not in ends:
                continue
            else:
                at_s = plus_s + (ready[self.last[before]] if ready is not None else ends[before])
            if at_s > earliest:
                earliest = at_s
        return earliest

    def open_slots(self, node: Node, person: int) -> int:
        """Mask of slots a person can use for a node."""
        free = self.free[person]
        if node.closed:
            free &= ~node.closed
        if node.dusty and self._mixed[node.space]:
            free &= ~self.no_dust[node.space]
        return free

    def runs(self, node: Node, person: int) -> int:
        """Mask of slots at which a person can start a node that is not split."""
        mask, slots = self.free[person], node.slots
        if node.closed or node.dusty:
            mask = self.open_slots(node, person)
        if slots <= 1:
            return mask
        have = 1
        while have * 2 <= slots:
            mask &= mask >> have
            have *= 2
        if have < slots:
            mask &= mask >> (slots - have)
        return mask & self.network.axis.unbroken(slots - 1)

    def starts(self, node: Node) -> int:
        """Mask of slots at which somebody can start a node that is not split."""
        if len(node.people) == 1:
            mask = self.runs(node, node.people[0])
        else:
            mask = 0
            for person in node.people:
                mask |= self.runs(node, person)
        if node.starts != ANY_SLOT:
            mask &= node.starts
        return mask & ~self.no_coat[node.space] if node.wet is not None else mask

    def dust_after(self, node: Node, slot: int) -> int | None:
        """Where to look next if dust falls on a coat that starts at ``slot``; None if none does."""
        if node.wet is None:
            return None
        ahead = self.dust[node.space] >> slot
        if not ahead:
            return None
        axis = self.network.axis
        until = axis.first_at_or_after(node.wet.dust_free[slot + node.slots - 1])
        falls = ahead & ((1 << max(0, until - slot)) - 1)
        if not falls:
            return None
        last = slot + falls.bit_length() - 1
        return axis.first_at_or_after(axis.end_s(last) + self.network.settle_s)

    def wait(self, index: int) -> None:
        """Let a node that asks for no work end as soon as its lags let it."""
        self.ends[index] = self.earliest_s(self.network.nodes[index])
        self.order.append(index)

    def take_run(self, index: int, slot: int) -> None:
        """Place a node in one piece from a slot on, with the first person who is free all along."""
        node = self.network.nodes[index]
        person, length = node.people[0], node.slots
        whole = (1 << length) - 1
        if len(node.people) > 1:
            person = next(
                one for one in node.people if self.open_slots(node, one) >> slot & whole == whole
            )
        if node.dusty:
            self.take_pieces(index, [(slot, slot + length)], person)
            return
        starts, last = self.network.axis.starts, slot + length - 1
        self.placed[index] = Placed(tuple(range(slot, slot + length)), person)
        self.last[index] = last
        self.ends[index] = starts[last] + SLOT_S
        self.order.append(index)
        self.free[person] &= ~(whole << slot)
        if node.wet is not None:
            self._wet(node.space, starts[slot], node.wet.dust_free[last])

    def take(self, index: int, slots: tuple[int, ...], person: int) -> None:
        """Place a node."""
        self.take_pieces(index, _pieces_of(slots), person)

    def take_pieces(self, index: int, pieces: Sequence[tuple[int, int]], person: int) -> None:
        """Place a node in pieces, each from a slot until before another."""
        node, starts = self.network.nodes[index], self.network.axis.starts
        first, last = pieces[0][0], pieces[-1][1] - 1
        slots: list[int] = []
        taken = no_coat = 0  # from the first slot on: short numbers are quick
        settles_s = SLOT_S + self.network.settle_s
        for low, high in pieces:
            slots += range(low, high)
            taken |= ((1 << (high - low)) - 1) << (low - first)
            if node.dusty:
                settled = bisect_left(starts, starts[high - 1] + settles_s)
                no_coat |= ((1 << (settled - low)) - 1) << (low - first)
        self.placed[index] = Placed(tuple(slots), person)
        self.last[index] = last
        self.ends[index] = starts[last] + SLOT_S
        self.order.append(index)
        self.free[person] &= ~(taken << first)
        if node.dusty and self._mixed[node.space]:
            self.dust[node.space] |= taken << first
            self.no_coat[node.space] |= no_coat << first
        if node.wet is not None:
            self._wet(node.space, starts[first], node.wet.dust_free[last])

    def hold(self, chain: int, start_s: int, end_s: int) -> None:
        """Keep a load's area on the rack."""
        load = self.network.chains[chain]
        hold = Hold(end_s, start_s, load.area_m2, chain)
        self.racks[load.space] = self.racks[load.space].with_hold(hold)

    def release(self, chain: int) -> int:
        """Forget the open stay of a load on the rack, as a better known one takes its place.

        Returns:
            When it began, in seconds.
        """
        space = self.network.chains[chain].space
        rack = self.racks[space]
        self.racks[space] = rack.without_open(chain)
        return rack.open_since_s(chain)

    def room_m2(self, chain: int) -> float:
        """How much others may take of the rack while a load is on it."""
        load = self.network.chains[chain]
        return self.network.rack_m2[load.space] * (1 + 1e-9) - load.area_m2

    def rack_without(self, chain: int, from_s: int) -> Rack:
        """The rack of a load from an instant on, with what others have on it."""
        return self.racks[self.network.chains[chain].space].others(chain, from_s)

    def rack_frees_s(self, chain: int, start_s: int, end_s: int) -> int | None:
        """When to try again if the rack is too full for a stay; None if there is room."""
        return self.rack_without(chain, start_s).frees_s(self.room_m2(chain), start_s, end_s)

    def _wet(self, space: int, start_s: int, dust_free_s: int) -> None:
        if self._mixed[space]:
            starts = self.network.axis.starts
            low = bisect_left(starts, start_s - self.network.settle_s - SLOT_S + 1)
            length = bisect_left(starts, dust_free_s) - low
            if length > 0:
                self.no_dust[space] |= ((1 << length) - 1) << low

    def _dusted(self, stay: Stay) -> None:
        space = self.network.chains[stay.chain].space
        self.dust[space] |= self.span(stay.start_s, stay.end_s)
        self.no_coat[space] |= self.span(stay.start_s, stay.end_s + self.network.settle_s)


def _pieces_of(slots: tuple[int, ...]) -> list[tuple[int, int]]:
    """Each stretch of slots that follow each other by number: from a slot until before another."""
    if slots[-1] - slots[0] + 1 == len(slots):
        return [(slots[0], slots[-1] + 1)]
    first = slots[0]
    found = []
    for before, after in pairwise(slots):
        if after != before + 1:
            found.append((first, before + 1))
            first = after
    return [*found, (first, slots[-1] + 1)]
