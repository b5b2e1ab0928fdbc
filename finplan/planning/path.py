"""What the date no plan can beat is made of: drying, work, and the waiting between them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from finplan.planning.bound import Alone
from finplan.planning.hours import SLOT_S
from finplan.planning.network import ANY_SLOT, Lag, Network, Node, State, lag_s
from finplan.planning.words import length

_WORTH_TELLING_S = 3600


@dataclass(frozen=True, slots=True)
class Path:
    """How the time until a load is ready is spent if it has the shop alone, in seconds.

    ``last``: the node the path ends with. ``drying``: with the short waits for dust to settle and
    for oil to soak in. ``hours``: until work hours come round in which the work fits. ``air``:
    until the air is good enough then. ``held``: until work may begin at all, or goes on after a
    stretch its project is blocked in.
    """

    last: int
    drying: int = 0
    work: int = 0
    hours: int = 0
    air: int = 0
    held: int = 0


def path_of(network: Network, early: Alone, now_s: int) -> Path:
    """The path of the load that is ready last even alone, followed back to now.

    Args:
        network: the network.
        early: every load by itself.
        now_s: the instant it is, seconds.
    """
    finals = [node for each in network.finals for node in each if node in early.ends]
    last = max(finals, key=lambda node: early.ends[node])
    return _Walk(network, early, now_s).back_from(last)


def in_words(path: Path, whose: str) -> str:
    """What a path is made of, as a sentence without its full stop.

    Args:
        path: the path.
        whose: the batch it ends with; empty where it goes without saying.
    """
    parts = [
        f"{what} {length(seconds)}"
        for seconds, what in (
            (path.drying, "the drying alone takes"),
            (path.work, "the work" if path.drying else "the work takes"),
            (path.hours, "waiting for work hours it fits into"),
            (path.air, "waiting for air good enough"),
            (path.held, "waiting until work may begin or go on"),
        )
        if seconds >= _WORTH_TELLING_S or (seconds and what.startswith("the"))
    ]
    if not parts:
        return "there is nothing left to wait for"
    words = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    return f"of {whose} {words}" if whose else words


class _Walk:
    """Goes from a node to the one that holds it, until there is none to be done."""

    def __init__(self, network: Network, early: Alone, now_s: int) -> None:
        self._network, self._early, self._now_s = network, early, now_s

    def back_from(self, last: int) -> Path:
        """Add up what lies between now and the end of a node."""
        path, index, until_s = Path(last), last, self._early.ends[last]
        while True:
            node = self._network.nodes[index]
            start_s = until_s
            if node.state is State.WORK:
                start_s = self._network.axis.starts[self._early.first[index]]
                work = node.slots * SLOT_S
                path = replace(
                    path, work=path.work + work, hours=path.hours + until_s - start_s - work
                )
            held_s, lag, cleaning, settling = self._held(node)
            from_s = max(held_s, self._now_s)
            cleaning = min(cleaning, max(0, start_s - from_s))
            settling = min(settling, max(0, start_s - from_s - cleaning))
            path = replace(path, work=path.work + cleaning, drying=path.drying + settling)
            path = self._waited(path, index, from_s, start_s - cleaning - settling)
            if lag is None:
                return replace(path, held=path.held + max(0, held_s - self._now_s))
            before_s = max(self._ends(lag.before), self._now_s)
            path = replace(path, drying=path.drying + max(0, held_s - before_s))
            if before_s <= self._now_s or lag.before not in self._early.ends:
                return path
            index, until_s = lag.before, before_s

    def _held(self, node: Node) -> tuple[int, Lag | None, int, int]:
        """What holds a node longest: until when, by which lag; cleaning and settling before it.

        Cleaning is done late, just before its coat, so that what holds a coat lies behind it.
        """
        by: Lag | None = None
        held_s, cleaning, settling = node.release_s, 0, 0
        for lag in node.after:
            at_s, own = lag_s(lag, self._early.ends, self._early.last), lag
            before = self._network.nodes[lag.before]
            if before.fresh and lag.before in self._early.first:
                cleaning, settling = before.slots * SLOT_S, lag.plus_s
                at_s, behind, _, _ = self._held(before)
                if behind is None:
                    continue
                own = behind
            if at_s >= held_s:
                held_s, by = at_s, own
        return held_s, by, cleaning, settling

    def _ends(self, index: int) -> int:
        return self._early.ends.get(index, self._now_s)

    def _waited(self, path: Path, index: int, from_s: int, to_s: int) -> Path:
        """Add the time between what holds a node and its start, by what it was spent on."""
        node, axis = self._network.nodes[index], self._network.axis
        waited = max(0, to_s - from_s)
        if not waited or node.state is not State.WORK:
            return path
        first = axis.first_at_or_after(from_s)
        between = ((1 << self._early.first[index]) - 1) & ~((1 << first) - 1)
        fit = axis.anybody(node.people) & axis.unbroken(1 if node.split else node.slots) & between
        if fit & node.closed:
            return replace(path, held=path.held + waited)
        if node.starts != ANY_SLOT and fit & ~node.starts:
            return replace(path, air=path.air + waited)
        return replace(path, hours=path.hours + waited)
