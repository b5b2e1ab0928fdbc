"""What stands against starting a step at an hour in a finished layout, in words."""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy

import numpy as np

from finplan.drying.limits import Limit, broken_limits, conditions_at
from finplan.planning.build import Built
from finplan.planning.hours import NEVER_S, SLOT_S
from finplan.planning.network import Network, Node
from finplan.planning.place_nodes import first_of
from finplan.planning.shop import Shop
from finplan.planning.window_words import too_late_after
from finplan.planning.words import hour, named

_AIR = {
    Limit.TOO_COLD: "it is too cold",
    Limit.TOO_COLD_AHEAD: "it gets too cold within 24 hours",
    Limit.TOO_WARM: "it is too warm",
    Limit.DEW: "the surface is too near the dew point",
    Limit.DAMP_AIR: "the air is too damp",
    Limit.DAMP_WOOD: "the wood is too damp",
}


class InTheWay:
    """What keeps steps from other hours, with all other work where it is.

    Args:
        built: what is planned.
        shop: the finished layout.
    """

    def __init__(self, built: Built, shop: Shop) -> None:
        self._built, self._shop = built, shop
        self._zone = built.site.request.told_in
        self._taken = {
            (place.person, slot): index
            for index, place in shop.placed.items()
            for slot in place.slots
        }

    def of(self, index: int, slot: int, *, wished: bool = False) -> str:
        """What stands against starting a node at a slot, where the plan may be as good without.

        Args:
            index: the node.
            slot: the slot.
            wished: a plan with it there was looked for, and none was found.
        """
        network, shop = self._built.network, self._without(index)
        node, at_s = network.nodes[index], network.axis.starts[slot]
        if (node.closed >> slot) & 1:
            return f"at {self._hour(at_s)} its project is blocked"
        if not (node.starts >> slot) & 1:
            return f"at {self._hour(at_s)} {self._air(index, at_s)}"
        return (
            self._unsettled(index, slot)
            or self._dusted(index, slot)
            or self._wet_near(index, slot)
            or self._no_hours(shop, index, slot)
            or self._rack_full(shop, index, slot)
            or self._with_what_belongs(index, slot)
            or (
                "no plan was found that has it there"
                if wished
                else f"the plan is no better with it at {self._hour(at_s)}"
            )
        )

    def stretch(self, index: int) -> tuple[int, str]:
        """The slots a node takes at a stretch with what belongs to it, and that in words."""
        nodes = self._built.network.nodes
        need, words = nodes[index].slots, []
        if dusted := self.own(index) - {index}:
            need += sum(nodes[own].slots for own in dusted)
            words.append("the dusting off before it")
        after = index + 1
        glued = nodes[after].glued if after < len(nodes) else None
        if glued is not None:
            need += glued[0] + nodes[after].slots
            words.append("the wiping after it")
        return need, f" with {' and '.join(words)}" if words else ""

    def own(self, index: int) -> set[int]:
        """A node and the fresh work moved up against it."""
        after = self._built.network.nodes[index].after
        fresh = {lag.before for lag in after if self._built.network.nodes[lag.before].fresh}
        return {index, *(fresh & self._shop.placed.keys())}

    def _hour(self, at_s: float) -> str:
        return hour(at_s, self._zone)

    def _named(self, index: int, other: int) -> str:
        """A step, with its project where that is not the one of the step it is in the way of."""
        items = self._built.site.items
        project = items[other].project
        of = "" if project is items[index].project else f" of {project.title}"
        return f"{named(items[other])}{of}"

    def _without(self, index: int) -> Shop:
        """The finished shop with the hours of a node, and what belongs to it, given back."""
        shop = copy(self._shop)
        shop.free = self._shop.free.copy()
        for own in self.own(index):
            place = shop.placed[own]
            for slot in place.slots:
                shop.free[place.person] |= 1 << slot
        return shop

    def _air(self, index: int, at_s: int) -> str:
        item = self._built.site.items[index]
        request = self._built.site.request
        now = conditions_at(request.air[item.batch.space], np.array([float(at_s)]))
        broken = broken_limits(request.finishes[item.step.finish or ""], now)
        words = [_AIR[limit] for limit, so in broken.items() if bool(so[0])]
        return " and ".join(words) or "the air is not good enough"

    def _others(self, index: int, *, dusty: bool) -> Iterator[tuple[int, list[tuple[int, int]]]]:
        """Dusty or wet work in the space of a node: its number, and each stretch from when to when.

        What is left wet is one stretch from the start of the coat until it is dust-free.
        """
        network, shop = self._built.network, self._shop
        starts, space = network.axis.starts, network.nodes[index].space
        for other, place in shop.placed.items():
            node = network.nodes[other]
            if other == index or node.space != space:
                continue
            if dusty and node.dusty:
                yield other, _stretches([starts[slot] for slot in place.slots])
            elif not dusty and node.wet is not None:
                yield other, [(starts[place.slots[0]], node.wet.dust_free[place.slots[-1]])]

    def _unsettled(self, index: int, slot: int) -> str:
        """Whose dust is still in the air when a coat starts."""
        network = self._built.network
        node, at_s = network.nodes[index], network.axis.starts[slot]
        if node.wet is None or not (self._shop.no_coat[node.space] >> slot) & 1:
            return ""
        for other, stretches in self._others(index, dusty=True):
            for start_s, end_s in stretches:
                settled_s = end_s + network.settle_s
                if start_s <= at_s < settled_s:
                    whose = self._named(index, other)
                    return f"the dust of {whose} settles until {self._hour(settled_s)}"
        return f"the dust in the air has not settled yet at {self._hour(at_s)}"

    def _dusted(self, index: int, slot: int) -> str:
        """Whose dust would fall on a coat while it is wet."""
        network = self._built.network
        node = network.nodes[index]
        if node.wet is None or self._shop.dust_after(node, slot) is None:
            return ""
        at_s = network.axis.starts[slot]
        dry_s = node.wet.dust_free[slot + node.slots - 1]
        falling = [
            other
            for other, stretches in self._others(index, dusty=True)
            if any(start_s < dry_s and end_s > at_s for start_s, end_s in stretches)
        ]
        if not falling:
            return "dust of other work would fall on the wet coat"
        return f"the dust of {self._named(index, falling[-1])} would fall on it while it is wet"

    def _wet_near(self, index: int, slot: int) -> str:
        """Which wet surface takes no dust."""
        network = self._built.network
        node, at_s = network.nodes[index], network.axis.starts[slot]
        if not node.dusty or not (self._shop.no_dust[node.space] >> slot) & 1:
            return ""
        before_s = network.settle_s + SLOT_S
        wet = [
            (dry_s, start_s, self._named(index, other))
            for other, [(start_s, dry_s)] in self._others(index, dusty=False)
        ]
        wet += [
            (stay.end_s, stay.start_s, f"the coat on {self._load(stay.chain)}")
            for stay in network.wet_now
            if network.chains[stay.chain].space == node.space
        ]
        near = [one for one in wet if one[1] - before_s < at_s < one[0]]
        if not near:
            return f"at {self._hour(at_s)} a surface near by is wet and takes no dust"
        dry_s, start_s, whose = max(near)
        if at_s < start_s:
            return f"its dust would not settle before {whose}, {self._hour(start_s)}"
        return f"its dust would fall on {whose}, wet until {self._hour(dry_s)}"

    def _no_hours(self, shop: Shop, index: int, slot: int) -> str:
        """Who is busy with what, or that the hours left are too short."""
        network = self._built.network
        node = network.nodes[index]
        able = [
            person
            for person in node.people
            if (shop.open_slots(node, person) if node.split else shop.runs(node, person)) >> slot
            & 1
        ]
        if able:
            return ""
        own, wanted = self.own(index), range(slot, slot + (1 if node.split else node.slots))
        busy: dict[str, str] = {}
        for person in node.people:
            others = {self._taken.get((person, at), index) for at in wanted} - own
            if others:
                name = self._built.site.request.workshop.people[person].name
                busy[name] = f"{name} is busy with {self._named(index, min(others))}"
        if busy:
            return " and ".join(busy.values())
        at = self._hour(network.axis.starts[slot])
        if not any((network.axis.free[person] >> slot) & 1 for person in node.people):
            return self.nobody_there(index, network.axis.starts[slot])
        return f"the work hours left at {at} are too short for it"

    def nobody_there(self, index: int, at_s: int) -> str:
        """Who has no work hours at an instant, and from when on somebody has."""
        network = self._built.network
        people, axis = network.nodes[index].people, network.axis
        names = [self._built.site.request.workshop.people[person].name for person in people]
        nobody = " and ".join(names) if len(people) < len(axis.free) else "nobody"
        has = "have" if len(names) > 1 and nobody != "nobody" else "has"
        words = f"{nobody} {has} {'' if nobody == 'nobody' else 'no '}work hours then"
        first = first_of(axis.anybody(people), axis.first_at_or_after(at_s))
        if first is None:
            return words
        return f"{words}; the next are at {self._hour(axis.starts[first])}"

    def _rack_full(self, shop: Shop, index: int, slot: int) -> str:
        """What lies on the rack where a coat finds no room."""
        network = self._built.network
        node = network.nodes[index]
        if node.wet is None:
            return ""
        end_s = node.wet.handle[slot + node.slots - 1]
        frees_s = shop.rack_frees_s(node.chain, network.axis.starts[slot], end_s)
        if frees_s is None:
            return ""
        rack = self._built.site.request.workshop.spaces[node.space].name
        on_it = next(one for one in shop.racks[node.space].holds if one.end_s == frees_s)
        if frees_s >= NEVER_S:
            return f"the rack in {rack} is full"
        whose = self._load(on_it.chain)
        return f"the rack in {rack} is full until {whose} comes off it {self._hour(frees_s)}"

    def _load(self, chain: int) -> str:
        """A load's batch, and which of several it is."""
        items, nodes = self._built.site.items, self._built.network.nodes
        item = next(one for one, node in zip(items, nodes, strict=True) if node.chain == chain)
        load = f"load {item.load} of " if item.loads > 1 else ""
        return f"{load}{item.batch.name}"

    def _with_what_belongs(self, index: int, slot: int) -> str:
        """Whether a coat, the dusting off before it and the wiping after it fit from a slot on."""
        network, at = self._built.network, self._hour(self._built.network.axis.starts[slot])
        need, words = self.stretch(index)
        if words and not network.axis.unbroken(need - 1) >> slot & 1:
            return f"the work hours left at {at} are too short for it{words}"
        return too_late_after(self._built, self._shop, index, slot)


def piece_slots(network: Network, node: Node) -> int:
    """The slots a node takes at a stretch: all of it, or its shortest piece if it is split."""
    return min(network.least_slots, node.slots) if node.split else node.slots


def _stretches(starts_s: list[int]) -> list[tuple[int, int]]:
    """Quarter hours that follow each other as stretches from when to when."""
    found: list[tuple[int, int]] = []
    for start_s in starts_s:
        if found and found[-1][1] == start_s:
            found[-1] = (found[-1][0], start_s + SLOT_S)
        else:
            found.append((start_s, start_s + SLOT_S))
    return found
