"""On tiny networks the optimiser finds what trying every layout finds.

Waits vary by the hour, windows close, work is split, racks are full, dust meets wet coats.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from finplan.planning.any_layout import any_layout
from finplan.planning.bound import alone, lower_bound
from finplan.planning.flat import Kept, flatten
from finplan.planning.forward import forward, missed_windows
from finplan.planning.hours import NEVER_S, SLOT_S, Axis
from finplan.planning.network import (
    ANY_SLOT,
    Block,
    Chain,
    Lag,
    Network,
    Node,
    State,
    Wet,
    Window,
)
from finplan.planning.rebuild import rebuilt
from finplan.planning.search_words import Effort, Job
from finplan.planning.shop import Stuck
from finplan.planning.solve import solve

HOUR = 3600
GROUPS, EACH = 10, 20
"""Two hundred cases are compared, whatever their seeds."""


def rising(chance, axis, low, high):
    """A rising table of instants by last slot: the wait from each slot's end, hour by hour."""
    waits = chance.integers(low, high, len(axis)) * SLOT_S
    ends = np.array([axis.end_s(slot) for slot in range(len(axis))])
    return np.maximum.accumulate(ends + waits).tolist()


def small_axis(chance, shortest=2):
    """Three or four sessions of two slots or more with hours between; one or two people."""
    starts, at = [], 0
    for _ in range(int(chance.integers(3, 5))):
        for _ in range(int(chance.integers(shortest, shortest + 3))):
            starts.append(at)
            at += SLOT_S
        at += int(chance.integers(1, 6)) * HOUR
    starts += [at + number * SLOT_S for number in range(6)]
    joined = sum(
        1 << slot for slot in range(len(starts) - 1) if starts[slot + 1] == starts[slot] + SLOT_S
    )
    everything = (1 << len(starts)) - 1
    free = [everything]
    if chance.random() < 0.4:
        free.append(everything & int(chance.integers(0, everything)))
    return Axis(starts, joined, tuple(free))


def tiny(seed, spaces=(0, 0), *, cleaned=False):
    """A load in each of some spaces: sand, coat, (scuff,) coat, wait; about three nodes each.

    ``cleaned``: dust comes off before the first coat of each, and some have to be wiped soon.
    """
    chance = np.random.default_rng(seed)
    axis = small_axis(chance, 3 if cleaned else 2)
    people = tuple(range(len(axis.free)))
    rooms = range(max(spaces) + 1)
    nodes, chains, finals = [], [], []
    for number, space in enumerate(spaces):
        first = len(nodes)
        sand = Node(
            f"{number}/sand",
            number,
            State.WORK,
            int(chance.integers(1, 4)),
            split=True,
            people=people,
            dusty=True,
        )
        nodes.append(sand)
        last = first + 1 if cleaned else first
        if cleaned:
            nodes.append(_light(number, "clean", last - 1, people, fresh=True))
        last += 1
        nodes.append(_coat(chance, axis, number, "coat", (Lag(last - 1),), people))
        if cleaned and chance.random() < 0.3:
            gaps = [(0, 0), (0, 1), (1, 2)][int(chance.integers(3))]
            nodes.append(_light(number, "wipe", last, people, glued=gaps))
        blocks = [Block((first,)), Block(tuple(range(first + 1, len(nodes))), holds=True)]
        if number == 0:
            last = _second_coat(chance, axis, nodes, blocks, last, people)
        nodes.append(
            Node(
                f"{number}/release",
                number,
                State.WAIT,
                after=(Lag(last, rising(chance, axis, 1, 20)),),
            )
        )
        blocks.append(Block((len(nodes) - 1,)))
        nodes[first:] = [replace(node, space=space) for node in nodes[first:]]
        finals.append(len(nodes) - 1)
        chains.append(Chain(f"load {number}", space, 1.0, tuple(blocks)))
    return Network(
        axis=axis,
        nodes=tuple(nodes),
        chains=tuple(chains),
        rack_m2=tuple(float(chance.choice([1.0, 2.0])) for _ in rooms),
        dust_apart=tuple(bool(chance.random() < 0.2) for _ in rooms),
        settle_s=int(chance.integers(0, 3)) * SLOT_S,
        least_slots=int(chance.integers(1, 3)),
        finals=tuple((final,) for final in finals),
    )


def _light(chain, name, before, people, **changes):
    """A quarter hour of work that follows another."""
    after = (Lag(before),)
    return Node(f"{chain}/{name}", chain, State.WORK, 1, people=people, after=after, **changes)


def _coat(chance, axis, chain, name, after, people):
    good = ANY_SLOT
    if chance.random() < 0.3:
        good = int(chance.integers(1, 1 << len(axis))) | (1 << (len(axis) - 2))
    dust_free = rising(chance, axis, 1, 8)
    handle = [max(a, b) for a, b in zip(dust_free, rising(chance, axis, 1, 14), strict=True)]
    closes = rising(chance, axis, 10, 26)
    return Node(
        f"{chain}/{name}",
        chain,
        State.WORK,
        int(chance.integers(1, 3)),
        people=people,
        starts=good,
        after=after,
        wet=Wet(dust_free, handle, closes),
    )


def _second_coat(chance, axis, nodes, blocks, below, people):
    """A second coat over ``below``, with a scuff that comes in if the window is missed."""
    wet, last = nodes[below].wet, len(nodes) - 1
    recoat = [max(a, b) for a, b in zip(wet.handle, rising(chance, axis, 1, 16), strict=True)]
    scuff = len(nodes)
    through = [at + int(chance.integers(0, 8)) * SLOT_S for at in recoat]
    through = np.maximum.accumulate(through).tolist()
    nodes.append(
        Node(
            "0/scuff",
            0,
            State.WORK,
            1,
            people=people,
            after=(Lag(last), Lag(below, through)),
            dusty=True,
            optional=True,
        )
    )
    nodes.append(
        _coat(chance, axis, 0, "coat-2", (Lag(last), Lag(scuff), Lag(below, recoat)), people)
    )
    window = Window(scuff + 1, below, wet.closes)
    blocks.append(Block((scuff, scuff + 1), holds=True, windows=(window,)))
    return scuff + 1


def layouts_of(network, node):
    """Every set of slots, with the person, a piece of work can take."""
    axis = network.axis
    for person in node.people:
        own = [slot for slot in range(len(axis)) if (axis.free[person] >> slot) & 1]
        for slots in combinations(own, node.slots):
            runs = [[slots[0]]]
            for slot in slots[1:]:
                if axis.starts[slot] == axis.starts[slot - 1] + SLOT_S and slot - 1 == runs[-1][-1]:
                    runs[-1].append(slot)
                else:
                    runs.append([slot])
            least = min(network.least_slots, node.slots) if node.split else node.slots
            if all(len(run) >= least for run in runs) and (node.starts >> slots[0]) & 1:
                yield slots, person


@cache
def mask_of(slots):
    """Slots as the bits of one number."""
    return sum(1 << slot for slot in slots)


class Brute:
    """Tries every layout, cutting off only what is already too late or not allowed."""

    def __init__(self, network):
        self.network = network
        self.best = None
        self.choices = [
            sorted(layouts_of(network, node)) if node.state is State.WORK else []
            for node in network.nodes
        ]
        self.harmed = {}

    def run(self):
        for scuffed in (False, True):
            self._next(0, {}, {}, scuffed)
        return self.best

    def _next(self, index, taken, ends, scuffed):
        network = self.network
        if index == len(network.nodes):
            ready = max(ends[node] for each in network.finals for node in each)
            if self.best is None or ready < self.best:
                self.best = ready
            return
        node = network.nodes[index]
        if node.optional and not scuffed:
            self._next(index + 1, taken, ends, scuffed)
            return
        earliest = 0
        for lag in node.after:
            if lag.before in ends:
                at = ends[lag.before]
                if lag.ready is not None:
                    at = lag.ready[taken[lag.before][0][-1]]
                earliest = max(earliest, at)
        if self.best is not None and earliest >= self.best:
            return
        if node.state is State.WAIT:
            self._next(index + 1, taken, {**ends, index: earliest}, scuffed)
            return
        for slots, person in self._free_choices(index, taken, earliest):
            new = {**taken, index: (slots, person)}
            if self._allowed(index, new, scuffed):
                end = network.axis.end_s(slots[-1])
                self._next(index + 1, new, {**ends, index: end}, scuffed)

    def _free_choices(self, index, taken, earliest):
        """Layouts of a piece of work with a free person and no dust on anything wet."""
        network, node = self.network, self.network.nodes[index]
        taken_up, harmed, dusty = [0] * len(network.axis.free), 0, 0
        for other, (slots, person) in taken.items():
            taken_up[person] |= mask_of(slots)
            if network.dust_apart[node.space] or network.nodes[other].space != node.space:
                continue
            if node.dusty:
                harmed |= self._harmed_by_dust(other, slots[0], slots[-1])
            if network.nodes[other].dusty:
                dusty |= mask_of(slots)
        for slots, person in self.choices[index]:
            if network.axis.starts[slots[0]] < earliest:
                continue
            if mask_of(slots) & (taken_up[person] | harmed):
                continue
            if not dusty & self._harmed_by_dust(index, slots[0], slots[-1]):
                yield slots, person

    def _allowed(self, index, taken, scuffed):
        network, axis = self.network, self.network.axis
        slots, _ = taken[index]
        node = network.nodes[index]
        if node.wet is not None and not self._room(taken, node.space):
            return False
        if not self._near(index, taken):
            return False
        for block in network.chains[node.chain].blocks:
            for window in block.windows:
                if window.node == index and not scuffed:
                    return axis.starts[slots[0]] <= window.closes[taken[window.before][0][-1]]
        return True

    def _near(self, index, taken):
        """Cleaning and coat in one session; wiping as soon after the coat as it has to be."""
        node, sessions = self.network.nodes[index], self.network.axis.sessions
        if node.wet is None and node.glued is None:
            return True
        before = self.network.nodes[index - 1]
        if node.glued is None and not before.fresh:
            return True
        ended, begun = taken[index - 1][0][-1], taken[index][0][0]
        if sessions[ended] != sessions[begun]:
            return False
        return node.glued is None or node.glued[0] <= begun - ended - 1 <= node.glued[1]

    def _harmed_by_dust(self, index, first, last):
        """The slots whose dust would settle on a coat laid from first to last, as a mask."""
        wet = self.network.nodes[index].wet
        if wet is None:
            return 0
        if (index, first, last) not in self.harmed:
            axis, settle_s = self.network.axis, self.network.settle_s
            self.harmed[index, first, last] = mask_of(
                tuple(
                    slot
                    for slot in range(len(axis))
                    if axis.starts[slot] < wet.dust_free[last]
                    and axis.end_s(slot) + settle_s > axis.starts[first]
                )
            )
        return self.harmed[index, first, last]

    def _room(self, taken, space):
        network, axis = self.network, self.network.axis
        stays = [
            (
                axis.starts[slots[0]],
                network.nodes[at].wet.handle[slots[-1]],
                network.nodes[at].chain,
            )
            for at, (slots, _) in taken.items()
            for node in [network.nodes[at]]
            if node.wet is not None and node.space == space
        ]
        return all(
            len({chain for start, end, chain in stays if start <= moment < end})
            <= network.rack_m2[space]
            for moment, _, _ in stays
        )


def first_layout(network):
    """What optimising starts from: the forward plan or, where it is stuck, any the solver finds."""
    try:
        return forward(network, passes=12)
    except Stuck:
        pass
    try:
        early = alone(network)
    except Stuck:
        return None
    tasks = flatten(network, early, NEVER_S, 0, kept=Kept())
    if tasks is None or not all(task.optional or any(task.starts.values()) for task in tasks.tasks):
        return None
    layout = any_layout(tasks, NEVER_S, 10.0, 0)
    return rebuilt(network, layout) if layout else None


def optimum(network, start):
    """The last ready time the solver proves to be the earliest, in quarter hours."""
    best, words = [start.goal[0]], []

    def tell(word):
        words.append(word)
        if word.layout is not None:
            best.append(rebuilt(network, word.layout).goal[0])

    solve(Job(network, 0, start.layout.placed, start.goal[0], Effort(10.0, 1)), tell)
    assert max(word.bound_quarters for word in words) >= quarters(min(best))
    return quarters(min(best))


def quarters(ready_s):
    """The model reckons ready times in whole quarter hours, rounded up."""
    return -(-ready_s // SLOT_S)


@pytest.mark.parametrize("group", range(GROUPS))
def test_the_optimum_is_the_one_of_trying_everything(group):
    compared = 0
    for seed in range(30 * group, 30 * group + 30):
        network = tiny(seed)
        best, start = Brute(network).run(), first_layout(network)
        assert (best is None) == (start is None), seed
        if best is None:
            continue
        assert lower_bound(network).ready_s <= best <= start.goal[0], seed
        assert not missed_windows(network, start)
        assert optimum(network, start) == quarters(best), seed
        compared += 1
        if compared == EACH:
            break
    assert compared == EACH, "too few cases have any plan: nothing was compared in the others"


@pytest.mark.parametrize("seed", range(300, 330))
def test_more_rack_more_hours_or_sanding_elsewhere_never_make_the_optimum_later(seed):
    network = tiny(seed)
    start = first_layout(network)
    if start is None:
        assert Brute(network).run() is None
        return
    before = optimum(network, start)
    everything = (1 << len(network.axis)) - 1
    more_hours = replace(network.axis, free=tuple(everything for _ in network.axis.free))
    for freed in (
        replace(network, rack_m2=(network.rack_m2[0] + 1.0,)),
        replace(network, axis=more_hours),
        replace(network, dust_apart=(True,)),
    ):
        better = first_layout(freed)
        assert better is not None
        assert optimum(freed, better) <= before
