"""A search that fills the shop session by session, with dust before coats where it can."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from heapq import heapify, heappop, heappush

import numpy as np

from finplan.planning.bound import Bound, Latest, alone
from finplan.planning.forward import Found, Orders, goal_of, rank
from finplan.planning.network import Block, Layout, Network, Node, State
from finplan.planning.place import rack_opens_s
from finplan.planning.place_nodes import first_of
from finplan.planning.shop import Shop, Stuck

_DAY_S = 86_400

Key = tuple[int, int]
"""Number of a load, and of a block in it."""

_FIRST_RULES = (
    (1e6, 0.0),
    (1e6, 5.0),
    (1e6, 10.0),
    (400.0, 10.0),
    (96.0, 10.0),
    (0.0, 10.0),
    (0.0, 1.0),
    (96.0, 3.0),
    (24.0, 10.0),
    (0.0, 0.0),
    (96.0, 0.0),
    (24.0, 0.0),
    (48.0, 3.0),
    (12.0, 1.0),
)
"""How many slots dusty work is taken as more urgent than it is (1e6: always before coats), and
coats as less urgent for each slot more in which dust has to wait for them. What does best with many
loads comes first: there is time for few of them."""
_MOST_CALM = 20.0

_LEADS_OF_A_SESSION = (-1e6, -60.0, 0.0, 60.0, 1e6)
_LOAD_SHIFT, _BLOCK_SHIFT = 30.0, 40.0
"""Scatter by which a load, or a block, is made more or less urgent, in slots."""

_TRIES, _LEAST_TRIES, _TRIED_IN_ALL = 40, 10, 60_000
"""A block put off to a later session so often stays where it fits, sooner where so many steps would
be tried in all: of some hundred loads each would be tried anew in every session."""

_WORSE_S = 0.3 * _DAY_S
"""The search takes a step that is worse by at most that much, less and less so."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What is done first in a session: slots by which blocks, and dust, are more urgent.

    ``calm``: by how many slots a coat is less urgent for each slot more in which dust has to wait
    for it, so that coats that stay wet for long go on together.
    """

    shift: dict[Key, float] = field(default_factory=dict)
    lead: float = 0.0
    leads: dict[int, float] = field(default_factory=dict)
    calm: float = 0.0


class Sessions(Orders):
    """Fills one session after the other with what is most urgent of all that can be done in it."""

    def __init__(self, network: Network, ready_s: int) -> None:
        super().__init__(network)
        blocks = [
            ((chain, number), block)
            for chain, load in enumerate(network.chains)
            for number, block in enumerate(load.blocks)
        ]
        self.due = _dues(network, blocks, ready_s)
        self._heart = {key: _heart(network, block) for key, block in blocks}
        self._dusty = {
            key for key, block in blocks if any(network.nodes[i].dusty for i in block.nodes)
        }

    def fill(self, rule: Rule, going_on: Callable[[], bool] = lambda: True) -> Found:
        """Lay the network out by a rule.

        A block that does not fit in the session it could start in is taken up again with the
        others of the session it fits in.

        Raises:
            Stuck: if a node finds no place, or it is not to go on.
        """
        network, shop = self._network, self._opened()
        sessions, waits = network.axis.sessions, self._waits.copy()
        following = [0] * len(network.chains)
        tries: Counter[Key] = Counter()
        most = min(_TRIES, max(_LEAST_TRIES, _TRIED_IN_ALL // len(network.nodes)))

        def turn(chain: int, number: int, not_before: int = 0) -> tuple[int, int, float, int, int]:
            key, block = (chain, number), network.chains[chain].blocks[number]
            first = network.axis.first_at_or_after(shop.earliest_s(network.nodes[block.nodes[0]]))
            session = max(not_before, sessions[min(first, len(sessions) - 1)])
            due = self.due[key] - rule.shift.get(key, 0.0)
            if key in self._dusty:
                due -= rule.lead + rule.leads.get(session, 0.0)
            heart = self._heart[key]
            if rule.calm and heart is not None:
                due += rule.calm * _dust_waits(shop, network.nodes[heart], session)
            group = 0 if block.held_from_s is not None else 2 - (chain in self._wished)
            return group, session, due, chain, number

        ready = [
            turn(at, 0) for at, _ in enumerate(network.chains) if not self._waits.get((at, 0), 1)
        ]
        heapify(ready)
        while ready:
            if not going_on():  # one pass over a large plan may take longer than all the time
                raise Stuck(0)
            first = heappop(ready)
            group, session, _, chain, number = first
            heart = self._heart[chain, number]
            if group == 2 and heart is not None:
                block = network.chains[chain].blocks[number]
                soonest = sessions[soonest_slot(shop, chain, block, network.nodes[heart], session)]
                again = turn(chain, number, soonest if soonest > session else session)
                if soonest > session or (ready and first < again > ready[0]):
                    heappush(ready, again)
                    continue
            before = shop.mark()
            count = self._place(shop, chain, number, waits)
            if group == 2 and heart is not None:
                found = sessions[shop.placed[heart].slots[0]]
                tries[chain, number] += 1
                if found > session and tries[chain, number] < most:
                    shop.back_to(before)
                    heappush(ready, turn(chain, number, found))
                    continue
            for key in self._now_ready(chain, number, count, waits, following):
                heappush(ready, turn(*key))
        return Found(Layout(shop.placed), goal_of(network, shop), shop)


def _dues(network: Network, blocks: list[tuple[Key, Block]], ready_s: int) -> dict[Key, float]:
    """By block: the slot it has to start at if all is to be ready by an instant.

    What everybody else does is left out; if even so it is too early, a later instant is taken.
    """
    latest = Latest(network, alone(network))
    while (late := latest.lasts(ready_s)) is None:
        ready_s += _DAY_S
    return {
        key: min(
            (late[index] - network.nodes[index].slots for index in block.nodes if index in late),
            default=len(network.axis),
        )
        for key, block in blocks
    }


def _heart(network: Network, block: Block) -> int | None:
    """The first coat of a block, else its first work; None where all of it waits."""
    work = [
        index
        for index in block.nodes
        if network.nodes[index].state is State.WORK and not network.nodes[index].optional
    ]
    coats = [index for index in work if network.nodes[index].wet is not None]
    return next(iter([*coats, *work]), None)


def soonest_slot(shop: Shop, chain: int, block: Block, node: Node, session: int) -> int:
    """A slot from a session on before which the first coat or work of a block cannot start."""
    axis = shop.network.axis
    if block.holds and block.held_from_s is None and not block.goes_on and node.wet is not None:
        opens_s = rack_opens_s(shop, chain, block.nodes, axis.starts[session])
        return min(len(axis) - 1, axis.first_at_or_after(opens_s))
    mask = 0 if node.split else shop.starts(node)
    for person in node.people if node.split else ():
        mask |= shop.open_slots(node, person)
    first = axis.first_at_or_after(shop.earliest_s(node))
    found = first_of(mask, max(first, session))
    return len(axis) - 1 if found is None else found


def _dust_waits(shop: Shop, node: Node, session: int) -> int:
    """In how many slots more dust would have to wait for a coat that goes on first in a session."""
    axis = shop.network.axis
    if node.wet is None or shop.network.dust_apart[node.space]:
        return 0
    first = min(session + node.slots, len(axis))
    length = axis.first_at_or_after(node.wet.dust_free[first - 1]) - first
    if length <= 0:
        return 0
    return (~(shop.no_dust[node.space] >> first) & ((1 << length) - 1)).bit_count()


def improve_by_sessions(
    network: Network,
    start: Found,
    bound: Bound,
    passes: int,
    seed: int,
    going_on: Callable[[], bool],
) -> Found:
    """Change the rule the sessions are filled by and keep what is better.

    Args:
        network: the network.
        start: the layout to better; the result is never worse.
        bound: the search ends when it is met; how urgent work is comes from it too.
        passes: the most passes.
        seed: fixes the changes.
        going_on: asked before each pass.
    """
    chance = np.random.default_rng(seed)
    shop = Sessions(network, bound.ready_s)
    here: tuple[Found, Rule] | None = None
    best = start
    for done in range(passes):
        if bound.ends_search(network, best.goal[0]) or not going_on():
            break
        if done < len(_FIRST_RULES) or here is None:
            lead, calm = _FIRST_RULES[done % len(_FIRST_RULES)]
            rule = Rule(lead=lead, calm=calm)
        else:
            rule = _changed(here[1], shop.due, network, chance)
        try:
            found = shop.fill(rule, going_on)
        except Stuck:
            continue
        heat_s = chance.random() ** 3 * _WORSE_S * (1 - done / passes)
        if here is None or _no_worse(network, found, here[0], heat_s):
            here = found, rule
        if rank(network, found) < rank(network, best):
            best = found
    return best


def _no_worse(network: Network, found: Found, other: Found, by_s: float) -> bool:
    unkept, goal = rank(network, found)
    unkept_there, goal_there = rank(network, other)
    if unkept != unkept_there:
        return unkept < unkept_there
    return goal[0] <= goal_there[0] + by_s


def _changed(
    rule: Rule, due: dict[Key, float], network: Network, chance: np.random.Generator
) -> Rule:
    """A rule with one load, a few blocks, the dust of a few sessions or all dust moved."""
    keys = list(due)
    what = chance.random()
    few = int(chance.integers(1, 4))
    if what < 0.35:
        load = keys[int(chance.integers(len(keys)))][0]
        by = float(chance.normal(0.0, _LOAD_SHIFT))
        moved = {key: by for key in keys if key[0] == load}
    elif what < 0.6:
        chosen = [keys[int(at)] for at in chance.integers(len(keys), size=few)]
        moved = {key: float(chance.normal(0.0, _BLOCK_SHIFT)) for key in chosen}
    elif what < 0.85:
        latest = max(0, min(len(network.axis) - 1, round(max(due.values()))))
        slots = chance.integers(latest + 1, size=few)
        changed = {
            network.axis.sessions[int(slot)]: float(chance.choice(_LEADS_OF_A_SESSION))
            for slot in slots
        }
        return replace(rule, leads={**rule.leads, **changed})
    elif what < 0.93:
        return replace(rule, lead=float(np.exp(chance.uniform(1.5, 6.0))))
    else:
        return replace(rule, calm=float(chance.uniform(0.0, _MOST_CALM)))
    shift = {**rule.shift, **{key: rule.shift.get(key, 0.0) + by for key, by in moved.items()}}
    return replace(rule, shift=shift)
