"""The network flattened for the solver: work only, with the slots each piece of work may take."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from finplan.planning.bound import Alone, Latest
from finplan.planning.hours import NEVER_S, SLOT_S
from finplan.planning.network import Lag, Network, Node, State, Table, Wet, lag_s
from finplan.planning.shop import Shop

_WHOLE_AT_MOST = 220
"""Pieces of work solved as a whole; more are bettered a few loads at a time."""


def pieces(node: Node) -> int:
    """Into how many pieces the solver may cut a node's work."""
    if node.state is not State.WORK:
        return 0
    return node.slots if node.split else 1


def solved_whole(network: Network) -> bool:
    """Whether a network is small enough to be solved as a whole."""
    return sum(pieces(node) for node in network.nodes) <= _WHOLE_AT_MOST


@dataclass(frozen=True, slots=True)
class FlatLag:
    """A lag from a piece of work (or, with ``before`` -1, from a fixed instant)."""

    before: int
    ready: Table | None = None
    plus_s: int = 0
    fixed_s: int = 0


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work. ``starts``: by person, the slots it (or a unit of split work) may take.

    ``gaps``: for wiping, the slots between and the coat's starts each of them goes with.
    ``pinned``: the slot it is kept at, as somebody wished.
    """

    node: int
    chain: int
    space: int
    slots: int
    split: bool
    people: tuple[int, ...]
    starts: dict[int, list[int]]
    after: tuple[FlatLag, ...]
    dusty: bool
    wet: Wet | None
    optional: bool
    glued: tuple[int, int] | None = None
    glued_to: int = -1
    pinned: int | None = None
    gaps: tuple[tuple[int, list[int]], ...] = ()


@dataclass(frozen=True, slots=True)
class FlatWindow:
    """Coat ``node`` must start by a window's end, unless the optional work comes in."""

    node: int
    before: int | None
    closes: Table | None
    most: int
    optional: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FlatStay:
    """A load on the rack from its first coat (``held``: from now) till all coats can be handled."""

    chain: int
    coats: tuple[int, ...]
    held: bool


@dataclass(frozen=True, slots=True)
class FixedStay:
    """Rack area taken from a slot until another, whatever is planned."""

    space: int
    area_m2: float
    first: int
    until: int


@dataclass(frozen=True, slots=True)
class Kept:
    """What a layout keeps to, and every better one has to.

    ``pinned``: the slots of work put where somebody wished it. ``missed``: coats whose windows
    cannot be kept, so that they do not count. ``together``: fresh work and the coat that has to be
    in its session.
    """

    pinned: Mapping[int, int] = field(default_factory=dict)
    missed: frozenset[int] = frozenset()
    together: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Tasks:
    """All the work, and the tables the model asks for."""

    network: Network
    tasks: tuple[Task, ...]
    by_node: dict[int, Task]
    finals: tuple[tuple[FlatLag, ...], ...]
    windows: tuple[FlatWindow, ...]
    together: tuple[tuple[int, int], ...]
    stays: tuple[FlatStay, ...]
    fixed_stays: tuple[FixedStay, ...]
    now_s: int

    def lag_s(self, lag: FlatLag, last: int) -> int:
        """The instant a lag allows if the work before ends with a slot."""
        if lag.ready is not None:
            return lag.ready[last] + lag.plus_s
        return self.network.axis.end_s(last) + lag.plus_s

    def allowed(self, lag: FlatLag, reach: int) -> Callable[[int], int]:
        """By the start before: the first slot a lag allows."""
        return lambda start: self.network.axis.first_at_or_after(self.lag_s(lag, start + reach))

    def settled(self, task: Task) -> Callable[[int], int]:
        """By a slot of dusty work: the first slot a coat may start in after it."""
        axis, settle = self.network.axis, self.network.settle_s
        return lambda slot: axis.first_at_or_after(axis.end_s(slot) + settle)

    def dust_free(self, coat: Task) -> Callable[[int], int]:
        """By a coat's start: the first slot that may make dust after it."""
        return self._after(coat, coat.wet.dust_free if coat.wet is not None else ())

    def session_end(self, slot: int) -> int:
        """The last slot of the session a slot lies in."""
        ahead = ~self.network.axis.joined >> slot
        return slot + (ahead & -ahead).bit_length() - 1

    def handled(self, coat: Task) -> Callable[[int], int]:
        """By a coat's start: the first slot the load may be off the rack in."""
        return self._after(coat, coat.wet.handle if coat.wet is not None else ())

    def _after(self, coat: Task, table: Table) -> Callable[[int], int]:
        axis = self.network.axis
        return lambda start: axis.first_at_or_after(table[start + coat.slots - 1])

    def until(self, window: FlatWindow, reach: int) -> Callable[[int], int]:
        """By the start below: the last slot the next coat may start in."""
        closes: Table = window.closes if window.closes is not None else ()
        starts = self.network.axis.starts
        return lambda start: bisect_right(starts, closes[start + reach]) - 1

    def quarters(self, at_s: int) -> int:
        """Quarter hours from now, rounded up."""
        return -(-(min(at_s, NEVER_S) - self.now_s) // SLOT_S)

    def quarters_after(self, lag: FlatLag, reach: int) -> Callable[[int], int]:
        """By a start: quarter hours from now at which the lag is over."""
        return lambda start: self.quarters(self.lag_s(lag, start + reach))


def flatten(
    network: Network,
    early: Alone,
    ready_s: int,
    now_s: int,
    *,
    kept: Kept,
    shop: Shop | None = None,
    free: frozenset[int] | None = None,
    within: Mapping[int, tuple[int, int]] | None = None,
) -> Tasks | None:
    """Flatten a network, keeping only slots from which all can be ready by an instant.

    Args:
        network: the network.
        early: every load by itself.
        ready_s: the instant by which everything has to be ready.
        now_s: the instant ready times are counted from.
        kept: what the layout to start from keeps to.
        shop: the shop with all loads that stay where they are.
        free: the loads to be laid out, None for all.
        within: by node the first and last slot it may use, where it is to stay near.

    Returns:
        None if the drying alone does not allow it.
    """
    late = Latest(network, early).lasts(ready_s)
    if late is None:
        return None
    around = _Around(network, shop or Shop(network), free, within or {})
    blocks = [block for chain in network.chains for block in chain.blocks]
    early, late = _with_optional(network, early, late)
    previous = {
        after: before
        for block in blocks
        for before, after in zip(block.nodes, block.nodes[1:], strict=False)
    }
    tasks = []
    for index, node in enumerate(network.nodes):
        if node.state is not State.WORK or not around.frees(node.chain):
            continue
        task = _task(around, index, early, late, previous.get(index, -1))
        tasks.append(replace(task, pinned=kept.pinned.get(index)))
    by_node = {task.node: task for task in tasks}
    return Tasks(
        network=network,
        tasks=tuple(tasks),
        by_node=by_node,
        finals=tuple(
            tuple(lag for node in each for lag in around.ends_of(node)) for each in network.finals
        ),
        windows=tuple(
            one for one in _windows(network) if one.node in by_node and one.node not in kept.missed
        ),
        together=tuple(pair for pair in kept.together if pair[0] in by_node),
        stays=tuple(stay for stay in _stays(network) if around.frees(stay.chain)),
        fixed_stays=tuple(around.fixed_stays()),
        now_s=now_s,
    )


@dataclass(frozen=True, slots=True)
class _Around:
    """What is to be laid out, and the shop with all the rest in it."""

    network: Network
    shop: Shop
    free: frozenset[int] | None
    within: Mapping[int, tuple[int, int]]

    def frees(self, chain: int) -> bool:
        """Whether a load is to be laid out."""
        return self.free is None or chain in self.free

    def flat(self, lag: Lag, plus_s: int) -> list[FlatLag]:
        """A lag as lags from work or fixed instants, seen through waits."""
        if lag.fixed_s is not None:
            return [FlatLag(-1, fixed_s=lag.fixed_s + plus_s)]
        node = self.network.nodes[lag.before]
        if node.state is State.DONE or not self.frees(node.chain):
            at_s = lag_s(lag, self.shop.ends, self.shop.last)
            return [FlatLag(-1, fixed_s=at_s + plus_s)] if at_s else []
        if node.state is State.WORK:
            return [FlatLag(lag.before, lag.ready, lag.plus_s + plus_s)]
        through = [flat for own in node.after for flat in self.flat(own, plus_s + lag.plus_s)]
        return [*through, FlatLag(-1, fixed_s=node.release_s + lag.plus_s + plus_s)]

    def ends_of(self, index: int) -> list[FlatLag]:
        """When a last node ends, as lags."""
        if index in self.shop.ends:
            return [FlatLag(-1, fixed_s=self.shop.ends[index])]
        return self.flat(Lag(index), 0)

    def fixed_stays(self) -> list[FixedStay]:
        """What lies on the racks whatever is laid out."""
        first = self.network.axis.first_at_or_after
        return [
            FixedStay(space, hold.area_m2, first(hold.start_s), first(hold.end_s))
            for space, rack in enumerate(self.shop.racks)
            for hold in rack.holds
            if hold.end_s < NEVER_S
        ]


def _with_optional(
    network: Network, early: Alone, late: dict[int, int]
) -> tuple[Alone, dict[int, int]]:
    """First and last slots of optional work: between the coat below and the coat it is for."""
    first, late = dict(early.first), dict(late)
    for chain in network.chains:
        for block in chain.blocks:
            must = [node for node in block.nodes if node in late]
            for node in block.nodes:
                if network.nodes[node].optional and must:
                    late[node] = late[must[0]]
                    below = [lag.before for lag in network.nodes[node].after]
                    first[node] = max((early.last.get(one, -1) + 1 for one in below), default=0)
    return Alone(first, early.last, early.ends), late


def _task(around: _Around, index: int, early: Alone, late: dict[int, int], before: int) -> Task:
    network, shop = around.network, around.shop
    node = network.nodes[index]
    lags = [flat for lag in node.after for flat in around.flat(lag, 0)]
    release = max([node.release_s, *(lag.fixed_s for lag in lags if lag.before < 0)])
    near = around.within.get(index, (0, len(network.axis) - 1))
    low = max(network.axis.first_at_or_after(release), early.first.get(index, 0), near[0])
    last = min(late.get(index, near[1]), near[1])
    high = last if node.split else last - node.slots + 1
    starts = {person: _slots(_allowed(shop, node, person), low, high) for person in node.people}
    if node.wet is not None and shop.dust[node.space]:
        starts = {
            person: [slot for slot in slots if shop.dust_after(node, slot) is None]
            for person, slots in starts.items()
        }
    gaps: tuple[tuple[int, list[int]], ...] = ()
    if node.glued is not None:
        coat = network.nodes[before]
        gaps = tuple(
            (gap, _slots(network.axis.unbroken(coat.slots + gap), 0, len(network.axis)))
            for gap in range(node.glued[0], node.glued[1] + 1)
        )
    return Task(
        node=index,
        chain=node.chain,
        space=node.space,
        slots=node.slots,
        split=node.split and node.slots > 1,
        people=node.people,
        starts=starts,
        after=tuple(lag for lag in lags if lag.before >= 0 and node.glued is None),
        dusty=node.dusty,
        wet=node.wet,
        optional=node.optional,
        glued=node.glued,
        glued_to=before,
        gaps=gaps,
    )


def _allowed(shop: Shop, node: Node, person: int) -> int:
    if node.split:
        return shop.open_slots(node, person)
    mask = shop.runs(node, person) & node.starts
    if node.wet is None:
        return mask
    mask &= ~shop.no_coat[node.space]
    return mask


def _slots(mask: int, low: int, high: int) -> list[int]:
    """The slots of a mask from ``low`` to ``high``."""
    if high < low or mask <= 0:
        return []
    part = (mask >> low) & ((1 << (high - low + 1)) - 1)
    bits = np.frombuffer(part.to_bytes(part.bit_length() // 8 + 1, "little"), np.uint8)
    slots: list[int] = (np.flatnonzero(np.unpackbits(bits, bitorder="little")) + low).tolist()
    return slots


def _windows(network: Network) -> list[FlatWindow]:
    windows = []
    for chain in network.chains:
        for block in chain.blocks:
            optional = tuple(node for node in block.nodes if network.nodes[node].optional)
            for window in block.windows:
                fixed = window.fixed_s
                if fixed is None and window.closes is None:
                    continue
                most = bisect_right(network.axis.starts, fixed) - 1 if fixed is not None else 0
                before = None if fixed is not None else window.before
                windows.append(FlatWindow(window.node, before, window.closes, most, optional))
    return windows


def _stays(network: Network) -> list[FlatStay]:
    return [
        FlatStay(
            number,
            tuple(node for node in block.nodes if network.nodes[node].wet is not None),
            block.held_from_s is not None,
        )
        for number, chain in enumerate(network.chains)
        for block in chain.blocks
        if block.holds
    ]
