"""States of the shop in a search over all orders, and which of them make others needless."""

from __future__ import annotations

from heapq import heappop, heappush
from typing import NamedTuple

from finplan.planning.rows import Rows


class Done(NamedTuple):
    """The work done last: its line, step, first slot and slots, and what was done before."""

    before: Done | None
    line: int
    step: int
    start: int
    slots: int


class State(NamedTuple):
    """The shop once some work is done.

    ``at``: by line how far it is. ``held``: a row of what holds up the work still ahead, less is
    better, and 0 what no longer does: for the steps the first slot each may start in, or ``FAR``
    less the last; by space the first slot that takes dust, and the first that takes a coat; by line
    the slot in which it is off the rack, if that is small, or ``FAR`` while more coats are to come.
    ``need``: a row, by deadline, of the slots of work that are left until then. ``promised``: slots
    of coats that have to be on in this session.
    """

    at: tuple[int, ...]
    held: int
    need: int
    promised: int
    done: Done | None


class Ahead:
    """The states still to be looked at, by the slot the person is free from, and those seen.

    Of two states with the same work done, one that is free no later and held up by nothing for
    longer makes the other needless.
    """

    def __init__(self, rows: Rows) -> None:
        self._no_more, self._at_least = rows.no_more, rows.at_least
        self._layers: dict[int, dict[tuple[int, ...], list[State]]] = {}
        self._slots: list[int] = []
        self._seen: dict[tuple[int, ...], list[int]] = {}

    def __bool__(self) -> bool:
        return bool(self._slots)

    def add(self, slot: int, state: State) -> None:
        """Take a state in, unless another makes it needless."""
        layer = self._layers.get(slot)
        if layer is None:
            layer = self._layers[slot] = {}
            heappush(self._slots, slot)
        group = layer.get(state.at)
        if group is None:
            layer[state.at] = [state]
            return
        held, no_more = state.held, self._no_more
        for other in group:
            if no_more(other.held, held):
                return
        group[:] = [other for other in group if not no_more(held, other.held)]
        group.append(state)

    def next(self) -> tuple[int, list[State]]:
        """The first slot there are states for, and those."""
        slot = heappop(self._slots)
        return slot, [state for group in self._layers.pop(slot).values() for state in group]

    def is_new(self, state: State, slot: int) -> bool:
        """Whether no state that was seen makes one needless."""
        before = self._seen.get(state.at)
        if before is None:
            return True
        most, no_more = self._at_least(state.held, slot), self._no_more
        return not any(no_more(held, most) for held in reversed(before))

    def see(self, state: State) -> None:
        """Remember a state that was looked at."""
        self._seen.setdefault(state.at, []).append(state.held)
