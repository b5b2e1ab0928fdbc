"""Why a step is not sooner: what binds it, read off the finished layout."""

from __future__ import annotations

from dataclasses import replace

from finplan.planning.build import Built
from finplan.planning.forward import Found
from finplan.planning.hours import SLOT_S
from finplan.planning.in_the_way import InTheWay, piece_slots
from finplan.planning.network import Lag, Node, Placed, State, lag_s
from finplan.planning.place import closes_s
from finplan.planning.place_nodes import wished_slot
from finplan.planning.shop import Shop
from finplan.planning.words import hour, length, named, reached

_AT_ONCE = "Starts as soon as work can begin"
_FOLLOWS, _AFTER_A_WAIT = "Follows ", " after a wait until "


class Reasons:
    """Sentences about a layout."""

    def __init__(self, built: Built, found: Found) -> None:
        self._built = built
        self._shop = found.shop
        self._zone = built.site.request.told_in
        self._empty = Shop(replace(built.network, wet_now=(), dust_now=(), on_rack=()))
        self.in_the_way = InTheWay(built, found.shop)

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
        if what and held == _AT_ONCE:
            return f"Nothing holds it up, but {what}."
        return f"{held}; {what}." if what else f"{held}."

    def refused(self, index: int, at_s: int) -> str:
        """What keeps a node from starting at an instant, with all else where it is."""
        node, axis = self._built.network.nodes[index], self._built.network.axis
        if at_s + SLOT_S <= self._built.site.request.now.timestamp():
            return "that is past"
        slot = wished_slot(self._built.network, replace(node, wish_s=at_s))
        if slot is None:
            return self.in_the_way.nobody_there(index, at_s)
        if node.glued is not None:
            coat = named(self._built.site.items[node.after[0].before])
            return f"it is done soon after {coat}, in the same session: ask for an hour of that"
        held_s, over_s, held = self._held_by(node)
        if axis.starts[slot] < held_s:
            words = f"it {held[0].lower()}{held[1:]}"
            at_once = held.startswith(_FOLLOWS) and _AFTER_A_WAIT not in held
            return f"{words}, which is over {self._hour(over_s)}" if at_once else words
        return self.in_the_way.of(index, slot, wished=True)

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
        held_s, _, words = self._held_by(node)
        return held_s, words

    def _held_by(self, node: Node) -> tuple[int, int, str]:
        """As ``held``; between the two the instant that the words are about."""
        best_s, best = node.release_s, _AT_ONCE
        about_s = best_s
        if best_s - SLOT_S > self._built.site.request.now.timestamp():
            best = f"Is not to begin before {self._hour(best_s)}"
        for lag in node.after:
            at_s = over_s = lag_s(lag, self._shop.ends, self._shop.last)
            before = self._built.network.nodes[lag.before]
            if before.fresh and lag.before in self._shop.placed:
                # it was moved up to its coat: look behind it
                own_s, over_s, words = self._held_by(before)
                at_s = own_s + before.slots * SLOT_S
            else:
                words = self._lag_words(lag, at_s)
            if at_s >= best_s:
                best_s, about_s, best = at_s, over_s, words
        return best_s, about_s, best

    def _lag_words(self, lag: Lag, at_s: int) -> str:
        item = self._built.site.items[lag.before]
        if lag.stage is None:
            after = f"{_FOLLOWS}{named(item)}"
            return f"{after}{_AFTER_A_WAIT}{self._hour(at_s)}" if lag.plus_s else after
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
        hours = network.axis.anybody(node.people)
        between = ((1 << (start - lead)) - 1) & ~((1 << first) - 1)
        if not hours & between:
            begin_s = network.axis.starts[start - lead]
            dusting = "the dust comes off first"
            if begin_s - held_s < SLOT_S:
                return dusting if lead else ""
            hours_at = f"the next work hours are at {self._hour(begin_s)}"
            return f"{hours_at}, and {dusting}" if lead else hours_at
        fits = self._fits(index) & between
        if not fits:
            need, words = self.in_the_way.stretch(index)
            takes = f"it takes {length(need * SLOT_S)}{words}"
            return f"the work hours until then are too short: {takes}"
        words = self.in_the_way.of(index, fits.bit_length() - 1)
        if " is busy with " not in words:
            return words
        sessions = network.axis.sessions
        all_along = sessions[(fits & -fits).bit_length() - 1] == sessions[start]
        return f"until then {words}" if all_along else f"just before it {words}"

    def _fits(self, index: int) -> int:
        """Mask of the slots from which work hours are long enough, whatever else is planned."""
        network = self._built.network
        node = network.nodes[index]
        first, runs = replace(node, slots=piece_slots(network, node)), 0
        for person in node.people:
            runs |= self._empty.runs(first, person)
        need, _ = self.in_the_way.stretch(index)
        if need > node.slots and not node.split:
            runs &= network.axis.unbroken(need - 1)
        return runs

    def _dusting_slots(self, index: int, start: int) -> int:
        """The slots of the dusting off that ends where a coat starts; 0 if none does."""
        for own in self.in_the_way.own(index) - {index}:
            slots = self._shop.placed[own].slots
            if slots[-1] == start - 1 and self._built.network.axis.unbroken(1) >> slots[-1] & 1:
                return len(slots)
        return 0
