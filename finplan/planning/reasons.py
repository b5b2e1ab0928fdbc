"""Why a step is not sooner: what binds it, read off the finished layout."""

from __future__ import annotations

from copy import copy
from zoneinfo import ZoneInfo

from finplan.drying.limits import Limit, broken_limits, conditions_at
from finplan.planning.build import Built
from finplan.planning.forward import Found
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Lag, Node, Placed, State, lag_s
from finplan.planning.place import closes_s
from finplan.planning.shop import Shop
from finplan.planning.window_words import too_late_after
from finplan.planning.words import hour, length, named, reached
from finplan.trade.moments import find_zone

_AIR = {
    Limit.TOO_COLD: "it is too cold",
    Limit.TOO_COLD_AHEAD: "it gets too cold within 24 hours",
    Limit.TOO_WARM: "it is too warm",
    Limit.DEW: "the surface is too near the dew point",
    Limit.DAMP_AIR: "the air is too damp",
    Limit.DAMP_WOOD: "the wood is too damp",
}


class Reasons:
    """Sentences about a layout."""

    def __init__(self, built: Built, found: Found) -> None:
        self._built = built
        self._shop = found.shop
        self._zone: ZoneInfo = find_zone(built.site.request.workshop.zone)
        self._empty = Shop(built.network)
        self._taken = {
            (place.person, slot): index
            for index, place in found.shop.placed.items()
            for slot in place.slots
        }

    def of(self, index: int) -> str:
        """Why a node is not sooner, in a sentence."""
        node = self._built.network.nodes[index]
        if node.state is State.DONE:
            return "Done."
        held_s, held = self.held(node)
        if node.optional:
            held = self._missed(index) + held[0].lower() + held[1:]
        if node.state is State.WAIT:
            return f"{held}."
        place = self._shop.placed[index]
        if node.glued is not None:
            return f"{held}; it belongs to the same session{self._in_groups(index)}."
        if node.fresh:
            return f"{held}; kept until just before the coat, so that no new dust settles."
        what = self._after_that(index, place, held_s)
        return f"{held}; {what}." if what else f"{held}."

    def _in_groups(self, index: int) -> str:
        """How to wipe in time what takes longer to coat than it may stay wet.

        Of a group coated one piece after the other, the first waits longest: the group may take
        the longest wait less the shortest.
        """
        item = self._built.site.items[index]
        coat = self._built.site.items[self._built.network.nodes[index].after[0].before]
        span = self._built.site.request.finishes[item.step.finish or ""].wipe_off_minutes
        if span is None or coat.minutes <= span.high - span.low or coat.pieces < 2:
            return ""
        group = max(1, int((span.high - span.low) * coat.pieces / coat.minutes))
        pieces = "one piece" if group == 1 else f"about {group} pieces"
        return (
            f"; work in groups of {pieces}, so that each is wiped {span.low:g} to "
            f"{span.high:g} min after its coat"
        )

    def _missed(self, index: int) -> str:
        """Why scuffing comes in: which window closes before the next coat can go on."""
        network, items = self._built.network, self._built.site.items
        for block in network.chains[network.nodes[index].chain].blocks:
            for window in block.windows if index in block.nodes else ():
                closing = closes_s(self._shop, window)
                if closing is not None:
                    return (
                        f"Needed since the recoat window of {named(items[window.before])} closes "
                        f"{self._hour(closing)}, before the next coat can go on; "
                    )
        return ""

    def binding(self, node: Node) -> Lag | None:
        """The drying lag that holds a node longest, if any."""
        drying = [lag for lag in node.after if lag.stage is not None]
        known = [lag for lag in drying if lag_s(lag, self._shop.ends, self._shop.last)]
        return max(
            known, key=lambda lag: lag_s(lag, self._shop.ends, self._shop.last), default=None
        )

    def held(self, node: Node) -> tuple[int, str]:
        """The instant a node's lags and release allow, and what sets it."""
        best_s, best = node.release_s, "Starts as soon as work can begin"
        if best_s - SLOT_S > self._built.site.request.now.timestamp():
            best = f"Is not to begin before {self._hour(best_s)}"
        for lag in node.after:
            at_s = lag_s(lag, self._shop.ends, self._shop.last)
            before = self._built.network.nodes[lag.before]
            if before.fresh and lag.before in self._shop.placed:
                own_s, words = self.held(before)  # it was moved up to its coat: look behind it
                at_s = own_s + before.slots * SLOT_S
            else:
                words = self._lag_words(lag, at_s)
            if at_s >= best_s:
                best_s, best = at_s, words
        return best_s, best

    def _lag_words(self, lag: Lag, at_s: int) -> str:
        item = self._built.site.items[lag.before]
        if lag.stage is None:
            after = f"Follows {named(item)}"
            return f"{after} after a wait until {self._hour(at_s)}" if lag.plus_s else after
        likely = self.likely_s(lag)
        return (
            f"Waits until {named(item)} is {reached(lag.stage)}: "
            f"safe {self._hour(at_s)}, likely {self._hour(min(likely, at_s))}"
        )

    def likely_s(self, lag: Lag) -> int:
        """When the drying of a lag is likely over."""
        item = self._built.site.items[lag.before]
        if lag.stage is None or item.step.finish is None:
            return lag_s(lag, self._shop.ends, self._shop.last)
        end_s = self._shop.ends[lag.before]
        return self._built.site.tables.likely_s(
            item.step.finish, item.batch.space, lag.stage, end_s
        )

    def _hour(self, at_s: float) -> str:
        return hour(at_s, self._zone)

    def _after_that(self, index: int, place: Placed, held_s: int) -> str:
        """What keeps a node from starting at the instant its lags allow."""
        network = self._built.network
        node, start = network.nodes[index], place.slots[0]
        if node.wish_s is not None and abs(network.axis.starts[start] - node.wish_s) < SLOT_S:
            return "put at the hour wished for"
        first = network.axis.first_at_or_after(held_s)
        lead = self._dusting_slots(index, start)
        hours = 0
        for person in node.people:
            hours |= network.axis.free[person]
        between = hours & ((1 << (start - lead)) - 1) & ~((1 << first) - 1)
        if not between:
            begin_s = network.axis.starts[start - lead]
            dusting = "the dust comes off first"
            if begin_s - held_s < SLOT_S:
                return dusting if lead else ""
            hours_at = f"the next work hours are at {self._hour(begin_s)}"
            return f"{hours_at}, and {dusting}" if lead else hours_at
        return self._none_long_enough(index, between) or self.blocked(
            index, between.bit_length() - 1
        )

    def _none_long_enough(self, index: int, between: int) -> str:
        """That no session before the place of work not split is as long as it takes."""
        network = self._built.network
        node, (need, words) = network.nodes[index], self._stretch(index)
        runs = 0
        for person in node.people:
            runs |= self._empty.runs(node, person)
        if need > node.slots:
            runs &= network.axis.unbroken(need - 1)
        if node.split or runs & between:
            return ""
        return f"the work hours until then are too short: it takes {length(need * SLOT_S)}{words}"

    def _stretch(self, index: int) -> tuple[int, str]:
        """The slots a node takes at a stretch with what belongs to it, and that in words."""
        nodes = self._built.network.nodes
        need, words = nodes[index].slots, []
        if dusted := self._own(index) - {index}:
            need += sum(nodes[own].slots for own in dusted)
            words.append("the dusting off before it")
        after = index + 1
        glued = nodes[after].glued if after < len(nodes) else None
        if glued is not None:
            need += glued[0] + nodes[after].slots
            words.append("the wiping after it")
        return need, f" with {' and '.join(words)}" if words else ""

    def _dusting_slots(self, index: int, start: int) -> int:
        """The slots of the dusting off that ends where a coat starts; 0 if none does."""
        for own in self._own(index) - {index}:
            slots = self._shop.placed[own].slots
            if slots[-1] == start - 1 and self._built.network.axis.unbroken(1) >> slots[-1] & 1:
                return len(slots)
        return 0

    def blocked(self, index: int, slot: int) -> str:
        """What stands against starting a node at a slot, in the finished layout."""
        network, shop = self._built.network, self._without(index)
        node = network.nodes[index]
        at_s = network.axis.starts[slot]
        if (node.closed >> slot) & 1 or not (node.starts >> slot) & 1:
            blocked = "its project is blocked" if (node.closed >> slot) & 1 else ""
            return f"at {self._hour(at_s)} {blocked or self._air_words(index, at_s)}"
        if node.wet is not None:
            if (shop.no_coat[node.space] >> slot) & 1:
                return f"the dust in the air has not settled yet at {self._hour(at_s)}"
            if shop.dust_after(node, slot) is not None:
                return "dust of other work would fall on the wet coat"
        if node.dusty and (shop.no_dust[node.space] >> slot) & 1:
            return f"at {self._hour(at_s)} a surface near by is wet and takes no dust"
        busy = self._busy(index, slot)
        if busy:
            return busy
        if not any((shop.runs(node, person) >> slot) & 1 for person in node.people):
            return f"the work hours left at {self._hour(at_s)} are too short for it"
        if node.wet is not None and self._rack_full(index, slot):
            return "the rack is full until then"
        return self._with_what_belongs(index, slot)

    def _with_what_belongs(self, index: int, slot: int) -> str:
        """Whether a coat, the dusting off before it and the wiping after it fit from a slot on."""
        network, at = self._built.network, self._hour(self._built.network.axis.starts[slot])
        need, words = self._stretch(index)
        if words and not network.axis.unbroken(need - 1) >> slot & 1:
            return f"the work hours left at {at} are too short for it{words}"
        return too_late_after(self._built, self._shop, index, slot) or (
            f"the plan is no better with it at {at}"
        )

    def _own(self, index: int) -> set[int]:
        """A node and the fresh work moved up against it."""
        after = self._built.network.nodes[index].after
        fresh = {lag.before for lag in after if self._built.network.nodes[lag.before].fresh}
        return {index, *(fresh & self._shop.placed.keys())}

    def _without(self, index: int) -> Shop:
        """The finished shop with the hours of a node, and what belongs to it, given back."""
        shop = copy(self._shop)
        shop.free = self._shop.free.copy()
        for own in self._own(index):
            place = shop.placed[own]
            for slot in place.slots:
                shop.free[place.person] |= 1 << slot
        return shop

    def _air_words(self, index: int, at_s: int) -> str:
        import numpy as np

        item = self._built.site.items[index]
        request = self._built.site.request
        now = conditions_at(request.air[item.batch.space], np.array([float(at_s)]))
        broken = broken_limits(request.finishes[item.step.finish or ""], now)
        words = [_AIR[limit] for limit, so in broken.items() if bool(so[0])]
        return " and ".join(words) or "the air is not good enough"

    def _busy(self, index: int, slot: int) -> str:
        node = self._built.network.nodes[index]
        wanted = range(slot, slot + (1 if node.split else node.slots))
        there = {(person, at) for person in node.people for at in wanted}
        others = {self._taken[one] for one in there & self._taken.keys()} - self._own(index)
        if not others:
            return ""
        other = min(others)
        person = self._built.site.request.workshop.people[self._shop.placed[other].person].name
        this, that = self._built.site.items[index], self._built.site.items[other]
        of = "" if this.project is that.project else f" of {that.project.title}"
        return f"before that {person} is busy with {named(that)}{of}"

    def _rack_full(self, index: int, slot: int) -> bool:
        network = self._built.network
        node = network.nodes[index]
        if node.wet is None:
            return False
        end_s = node.wet.handle[slot + node.slots - 1]
        start_s = network.axis.starts[slot]
        return self._shop.rack_frees_s(node.chain, start_s, end_s) is not None
