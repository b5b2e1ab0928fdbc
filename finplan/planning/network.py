"""The network: activities, lags and resources. Planners know only this."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple, Protocol

from finplan.planning.hours import Axis
from finplan.trade.finishes import Stage

ANY_SLOT = -1
"""A mask with every bit set."""


class State(Enum):
    """What a node of the network asks for."""

    DONE = "done"
    WAIT = "wait"
    WORK = "work"


class Table(Protocol):
    """An instant in seconds by the last slot of the work before it; it never falls."""

    def __getitem__(self, slot: int, /) -> int:
        """The instant after work that ends with a slot."""


class Lag(NamedTuple):
    """A node may not start before an instant set by the end of another.

    The instant is ``fixed_s`` where the other node is done; else ``ready[last slot]`` (seconds,
    by the last slot the other occupies) where drying sets it; else the other's end; ``plus_s``
    comes on top of each but ``fixed_s``. ``stage``: the drying stage it stands for, if any.
    """

    before: int
    ready: Table | None = None
    plus_s: int = 0
    fixed_s: int | None = None
    stage: Stage | None = None


@dataclass(frozen=True, slots=True)
class Wet:
    """What a coat leaves behind, in seconds by the last slot it occupies.

    ``dust_free``: until then no dust in the space. ``handle``: until then it lies on the rack.
    ``closes``: the last instant the next coat may go on without scuffing; None for never.
    """

    dust_free: Table
    handle: Table
    closes: Table | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """Coat ``node`` must start by ``closes[last slot of before]``, or optional nodes come in.

    ``fixed_s`` replaces the table where ``before`` is done.
    """

    node: int
    before: int
    closes: Table | None = None
    fixed_s: int | None = None


@dataclass(slots=True)
class Node:
    """One step of one load; never changed once made, but not frozen: that takes ten times as long.

    ``chain``: the load it belongs to. ``slots``: quarter hours of work, 0 unless WORK.
    ``people``: numbers of those who can do it. ``starts``: mask of slots it may start in.
    ``closed``: mask of slots in which no work is done on its project.
    ``after``: the lags that hold its start. ``glued``: least and most slots between the end of
    the node before and its own start, with no break in the hours between. ``offset_s``: how far
    into its first slot it really starts. ``release_s``: not before. ``started_s``, ``ended_s``:
    for DONE. ``skipped``: done with, but nothing was done. ``optional``: comes in only when the
    window of its block is missed. ``fresh``: better done just before the node after it than long
    before.
    """

    id: str
    chain: int
    state: State
    slots: int = 0
    split: bool = False
    people: tuple[int, ...] = ()
    starts: int = ANY_SLOT
    closed: int = 0
    after: tuple[Lag, ...] = ()
    glued: tuple[int, int] | None = None
    offset_s: int = 0
    release_s: int = 0
    started_s: int = 0
    ended_s: int = 0
    space: int = 0
    dusty: bool = False
    wet: Wet | None = None
    wish_s: int | None = None
    optional: bool = False
    fresh: bool = False
    skipped: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """Nodes of a chain that are placed together, in order.

    A block that ``holds`` keeps the load's area on the rack from its first coat until every
    coat in it is dry to handle; ``held_from_s``: it is there already (one side is on and the other
    is not). ``windows``: what its coats have to be in time for. ``more``, ``goes_on``: it is a part
    of a block, and its load stays on the rack for the next part, or is there from the one before.
    """

    nodes: tuple[int, ...]
    holds: bool = False
    windows: tuple[Window, ...] = ()
    held_from_s: int | None = None
    more: bool = False
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class Chain:
    """A load of a batch (or the whole batch, once its loads are joined), block by block.

    ``area_m2`` is what it takes on the rack.
    """

    name: str
    space: int
    area_m2: float
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Stay:
    """Something that is already so: wet or on the rack from ``start_s`` until ``end_s``."""

    chain: int
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True)
class Network:
    """All that is to be planned together.

    ``rack_m2`` and ``dust_apart`` by space. ``settle_s``: dust in the air settles that long
    before a coat. ``least_slots``: the shortest piece of a split node. ``wet_now``, ``on_rack``:
    what earlier coats still hold. ``finals``: per project the nodes whose ends make it ready.
    ``optional``, ``done``: the nodes that are, and when what is done ended.
    """

    axis: Axis
    nodes: tuple[Node, ...]
    chains: tuple[Chain, ...]
    rack_m2: tuple[float, ...]
    dust_apart: tuple[bool, ...]
    settle_s: int
    least_slots: int
    finals: tuple[tuple[int, ...], ...]
    wet_now: tuple[Stay, ...] = ()
    dust_now: tuple[Stay, ...] = ()
    on_rack: tuple[Stay, ...] = ()
    optional: frozenset[int] = field(init=False, compare=False, repr=False)
    done: dict[int, int] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Look through the nodes once for what every placement asks."""
        nodes = list(enumerate(self.nodes))
        optional = frozenset(index for index, node in nodes if node.optional)
        object.__setattr__(self, "optional", optional)
        done = {index: node.ended_s for index, node in nodes if node.state is State.DONE}
        object.__setattr__(self, "done", done)


class Placed(NamedTuple):
    """Where a node went: the slots it occupies (rising) and the person's number."""

    slots: tuple[int, ...]
    person: int


@dataclass(slots=True)
class Layout:
    """A placement of the whole network; optional nodes that did not come in are absent."""

    placed: dict[int, Placed] = field(default_factory=dict)


def start_s(network: Network, node: int, place: Placed) -> int:
    """When a placed node starts, in seconds."""
    return network.axis.starts[place.slots[0]] + network.nodes[node].offset_s


def lag_s(lag: Lag, ends: dict[int, int], last: dict[int, int]) -> int:
    """The instant a lag allows, in seconds; 0 if the node before did not come in.

    Args:
        lag: the lag.
        ends: end in seconds of every node known so far.
        last: last slot of every placed node.
    """
    if lag.fixed_s is not None:
        return lag.fixed_s
    if lag.before not in ends:
        return 0
    if lag.ready is not None:
        return lag.ready[last[lag.before]] + lag.plus_s
    return ends[lag.before] + lag.plus_s
