"""A search that fills each session in several ways and goes on from the most promising of them."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from heapq import heapify, heappop, heappush

import numpy as np

from finplan.planning.bound import Bound, Latest
from finplan.planning.by_sessions import Key, Sessions, soonest_slot
from finplan.planning.forward import Found, missed_windows, rank
from finplan.planning.hours import NEVER_S
from finplan.planning.network import Block, Network
from finplan.planning.parts import in_parts
from finplan.planning.place import closes_s, in_time, place_block
from finplan.planning.promise import Promise
from finplan.planning.rebuild import rebuilt
from finplan.planning.shop import Shop, Stuck
from finplan.planning.tidy import keeps_all

_LEADS = (1e6, 60.0, 0.0, -60.0, -1e6)
"""How many slots dusty work is taken as more urgent than it is, one way for each."""

_SHAKE = 20.0
"""Scatter of the urgency of each load in a way by chance, in slots."""
_ONE_KIND = 0.3
"""The share of the ways by chance with dusty work alone, or wet work alone."""

_ROUNDS = (2, 0, 0.0), (6, 4, 0.5), (20, 4, 0.25), (60, 6, 0.5), (180, 8, 0.5)
"""States kept from session to session, ways by chance for each of them, and how far from the bound
to the best layout the date lies by which urgency is measured."""

_TRIES = 40
"""So often put off, a block stays where it fits."""

_NO_SHAKE: Mapping[int, float] = {}


@dataclass(frozen=True, slots=True)
class Way:
    """How a session is filled: what is more urgent by how many slots, and what is left for later.

    ``lead``: for dusty work; ``shake``: by load. ``dust``, ``wet``: whether such work is done.
    """

    lead: float = 0.0
    shake: Mapping[int, float] = field(default_factory=dict)
    dust: bool = True
    wet: bool = True


_PLAIN = (*(Way(lead) for lead in _LEADS), Way(wet=False), Way(dust=False))


@dataclass(slots=True)
class Standing:
    """The shop after some sessions: what is placed, and what may come next from which session on.

    ``waits``, ``following``: what blocks wait for, as orders count it. ``tries``: by block, how
    often it was put off. ``unlikely``: how little it promises; less is better.
    """

    shop: Shop
    waits: dict[Key, int]
    following: list[int]
    pending: list[tuple[int, int, int]]
    tries: dict[Key, int]
    unlikely: float = 0.0

    def copy(self) -> Standing:
        """The same, free to go its own way."""
        return Standing(
            self.shop.copy(),
            self.waits.copy(),
            self.following.copy(),
            self.pending.copy(),
            self.tries.copy(),
        )

    def session(self) -> int:
        """The next session there is work for, by its first slot."""
        return min(session for session, _, _ in self.pending)


def improve_by_several_ways(
    network: Network, start: Found, bound: Bound, seed: int, going_on: Callable[[], bool]
) -> Found:
    """Lay the network out session by session, each in several ways, in rounds that keep more.

    Args:
        network: the network.
        start: the layout to better; the result is never worse.
        bound: the search ends when it is met.
        seed: fixes what is left to chance.
        going_on: asked again and again; whether there is time.
    """
    chance = np.random.default_rng(seed)
    best = start
    for width, by_chance, share in _ROUNDS:
        if best.goal[0] <= bound.ready_s or not going_on():
            break
        aim_s = bound.ready_s + round(share * (best.goal[0] - bound.ready_s))
        search = SeveralWays(network, aim_s, best)
        for found in search.layouts(width, by_chance, chance, going_on):
            if rank(network, found) < rank(network, best) and keeps_all(network, found):
                best = found
    return best


class SeveralWays(Sessions):
    """Fills one session after the other, keeping several states of the shop."""

    def __init__(self, network: Network, aim_s: int, beaten: Found) -> None:
        """Set up a search.

        Args:
            network: the network.
            aim_s: when all should be ready; urgency is measured by it.
            beaten: a layout that others have to beat.
        """
        super().__init__(in_parts(network), aim_s)
        # A coat whose only dust is scuffing that may come in counts as wet work here (by trial).
        self._dusty = {key for key in self._dusty if self._must_be_dusty(self._block(key))}
        self._whole = network
        self._promise = Promise(self._network, aim_s, self.due)
        self._latest: Mapping[int, int] = {}
        if not missed_windows(network, beaten) and not self._wishes:
            self._latest = Latest(network).lasts(beaten.goal[0]) or {}
        self._wholes = {
            block.nodes[0]: block
            for chain in network.chains
            for block in chain.blocks
            if not network.optional.isdisjoint(block.nodes)
        }
        self._scuffs = {
            index: first for first, block in self._wholes.items() for index in block.nodes
        }
        self._ways = _PLAIN if not all(network.dust_apart) else _PLAIN[:1]

    def layouts(
        self,
        width: int,
        by_chance: int,
        chance: np.random.Generator,
        going_on: Callable[[], bool],
    ) -> Iterator[Found]:
        """The layouts a search comes to, each ready no later than those before.

        Args:
            width: the states kept from session to session.
            by_chance: how many more ways each state is gone on from.
            chance: shakes the urgency of loads.
            going_on: asked before each session of each state.
        """
        try:
            states = [self._begun()]
        except Stuck:
            return
        ready_s = NEVER_S
        while states:
            session = min(state.session() for state in states)
            ahead: dict[object, Standing] = {}
            for state in states:
                if state.session() > session:
                    ahead[id(state)] = state
                    continue
                for way in (*self._ways, *self._by_chance(by_chance, chance)):
                    if not going_on():
                        return
                    after = state.copy()
                    try:
                        self._fill_session(after, session, way)
                    except Stuck:
                        continue
                    if after.pending:
                        ahead.setdefault(_mark(after), after)
                    elif (last_s := self._ready_s(after.shop)) <= ready_s:
                        ready_s = last_s
                        yield rebuilt(self._whole, after.shop.placed)
            for state in ahead.values():
                state.unlikely = self._promise.unlikely(state.shop, state.pending, session)
            states = sorted(ahead.values(), key=lambda state: state.unlikely)[:width]

    def _ready_s(self, shop: Shop) -> int:
        return max(shop.ends.get(node, 0) for each in self._network.finals for node in each)

    def _by_chance(self, ways: int, chance: np.random.Generator) -> Iterator[Way]:
        for _ in range(ways):
            shake = chance.normal(0.0, _SHAKE, len(self._network.chains))
            way = Way(float(chance.choice(_LEADS)), dict(enumerate(shake.tolist())))
            if len(self._ways) > 1 and chance.random() < _ONE_KIND:
                dust = bool(chance.random() < 0.5)
                way = replace(way, dust=dust, wet=not dust)
            yield way

    def _begun(self) -> Standing:
        """The shop with what lies on the rack and what somebody wished in it."""
        chains = self._network.chains
        state = Standing(self._opened(), self._waits.copy(), [0] * len(chains), [], {})
        first = [(chain, 0) for chain in range(len(chains)) if not self._waits.get((chain, 0), 1)]
        first.sort(key=lambda key: (not self._lies(key), key))
        for key in first:
            self._take_up(state, key, 0)
        return state

    def _must_be_dusty(self, block: Block) -> bool:
        nodes = [self._network.nodes[index] for index in block.nodes]
        return any(node.dusty and not node.optional for node in nodes)

    def _lies(self, key: Key) -> bool:
        return self._block(key).held_from_s is not None

    def _block(self, key: Key) -> Block:
        return self._network.chains[key[0]].blocks[key[1]]

    def _take_up(self, state: Standing, key: Key, session: int) -> None:
        """Note a block that may come next; place it at once where it goes before all others."""
        if not self._lies(key) and key[0] not in self._wished:
            state.pending.append((self._session_of(state, key, session), *key))
            return
        count = self._put(state, key)
        for other in self._now_ready(*key, count, state.waits, state.following):
            self._take_up(state, other, session)

    def _put(self, state: Standing, key: Key) -> int:
        """Place a block, and the next too if it has to be in time for its window; how many.

        A first part is scuffed for the windows of the later parts too, if they would be missed
        even were they placed at once.
        """
        shop, block = state.shop, self._block(key)
        if not block.more or block.nodes[0] not in self._wholes:
            return self._place(shop, *key, state.waits)
        whole, before = self._wholes[block.nodes[0]], shop.mark()
        place_block(shop, key[0], whole, self._wishes)
        scuffed = block.nodes[0] in shop.placed
        shop.back_to(before)
        place_block(shop, key[0], block, self._wishes, scuffed=scuffed)
        return 1

    def _hopeless(self, shop: Shop, key: Key, count: int, known: int) -> bool:
        """Whether a block was placed too late to be better, or for a window nobody scuffed for."""
        chain, number = key
        for index in shop.order[known:]:
            last = shop.last.get(index)
            if last is not None and last > self._latest.get(index, last):
                return True
        for block in self._network.chains[chain].blocks[number : number + count]:
            scuff = self._scuffs.get(block.nodes[0]) if block.goes_on else None
            if scuff is not None and scuff not in shop.placed and not in_time(shop, block):
                return True
        return False

    def _session_of(self, state: Standing, key: Key, not_before: int) -> int:
        """The session a block may come in at the earliest."""
        axis, block = self._network.axis, self._block(key)
        first = axis.first_at_or_after(state.shop.earliest_s(self._network.nodes[block.nodes[0]]))
        return max(not_before, axis.sessions[min(first, len(axis) - 1)])

    def _fill_session(self, state: Standing, session: int, way: Way) -> None:
        """Fill a session in one way.

        Raises:
            Stuck: if something finds no place, or is so late that the layout is not better.
        """
        sessions = self._network.axis.sessions
        after = bisect_right(sessions, session)

        def turn(key: Key) -> tuple[float, Key]:
            due = self.due[key] - way.shake.get(key[0], 0.0)
            if self._closing(state.shop, key) < after:
                due = -math.inf
            return due - way.lead if key in self._dusty else due, key

        ready = [turn(key) for key in _taken(state, session)]
        heapify(ready)
        while ready:
            due, key = heappop(ready)
            heart, found = self._heart[key], session
            if heart is not None:
                node, block = self._network.nodes[heart], self._block(key)
                found = sessions[soonest_slot(state.shop, key[0], block, node, session)]
                later = not way.dust if node.dusty else not way.wet and node.wet is not None
                if later and found <= session and due > -math.inf:
                    found = after
            if found <= session or found >= len(sessions):
                found = self._tried(state, key, session)
            if found > session:
                state.pending.append((found, *key))
            ready_now = [turn(other) for other in _taken(state, session)]
            for one in ready_now:
                heappush(ready, one)

    def _tried(self, state: Standing, key: Key, session: int) -> int:
        """Place a block if it fits in a session.

        Returns:
            The session it would come in; a later one if it was not placed.

        Raises:
            Stuck: if it finds no place, or is so late that the layout is not better.
        """
        shop, sessions, heart = state.shop, self._network.axis.sessions, self._heart[key]
        before, known, tries = shop.mark(), len(shop.order), state.tries.get(key, 0)
        count, found = 0, bisect_right(sessions, session)
        try:
            count = self._put(state, key)
            found = sessions[shop.placed[heart].slots[0]] if heart is not None else session
        except Stuck:  # perhaps the rack is full of loads that wait for another coat
            if tries >= _TRIES or found >= len(sessions):
                raise
        if found > session and tries < _TRIES:
            shop.back_to(before)
            state.tries[key] = tries + 1
            return found
        if self._hopeless(shop, key, count, known):
            raise Stuck(self._block(key).nodes[0])
        for other in self._now_ready(*key, count, state.waits, state.following):
            self._take_up(state, other, session)
        return session

    def _closing(self, shop: Shop, key: Key) -> float:
        """The last slot a coat of a block may start in, where no scuffing makes up for it."""
        axis, block = self._network.axis, self._block(key)
        scuff = self._scuffs.get(block.nodes[0])
        if not block.windows or scuff in block.nodes or scuff in shop.placed:
            return len(axis)
        closing = [at_s for one in block.windows if (at_s := closes_s(shop, one)) is not None]
        return min((bisect_right(axis.starts, at_s) - 1 for at_s in closing), default=len(axis))


def _taken(state: Standing, session: int) -> list[Key]:
    """Take out of a state the blocks that may come in a session."""
    taken = [(chain, number) for own, chain, number in state.pending if own <= session]
    if taken:
        state.pending = [one for one in state.pending if one[0] > session]
    return taken


def _mark(state: Standing) -> object:
    """What two states have in common that are the same in all that counts."""
    return tuple(state.following), tuple(sorted(state.pending)), tuple(state.shop.free)
