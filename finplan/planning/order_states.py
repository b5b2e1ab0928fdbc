"""States of the shop in a search over all orders, and which of them make others needless."""

from __future__ import annotations

from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Done(NamedTuple):
    """The work done last: its line, step, first slot and slots, and what was done before."""

    before: Done | None
    line: int
    step: int
    start: int
    slots: int


class State(NamedTuple):
    """The shop once some work is done.

    ``at``: by line how far it is. ``held``: by line what holds up the steps still ahead: the first
    slot each may start in, or ``FAR`` less the last; less is better. ``air``: by space the first
    slot that takes dust, then the first that takes a coat. ``lie``: by line the slot in which it is
    off the rack, if that is small, or ``FAR`` while more coats are to come. ``need``: by deadline,
    the slots of work that are left until then. ``promised``: slots of coats that have to be on in
    this session.
    """

    at: tuple[int, ...]
    held: tuple[tuple[int, ...], ...]
    air: tuple[int, ...]
    lie: tuple[int, ...]
    need: NDArray[np.int64]
    promised: int
    done: Done | None


class Ahead:
    """The states still to be looked at, by the slot the person is free from, and those seen."""

    def __init__(self) -> None:
        self._layers: dict[int, dict[tuple[int, ...], list[State]]] = {}
        self._slots: list[int] = []
        self._seen: dict[tuple[int, ...], list[State]] = {}

    def __bool__(self) -> bool:
        return bool(self._slots)

    def add(self, slot: int, state: State) -> None:
        """Take a state in, unless another makes it needless."""
        if slot not in self._layers:
            self._layers[slot] = {}
            heappush(self._slots, slot)
        group = self._layers[slot].setdefault(state.at, [])
        if not group:
            group.append(state)
        elif not led(group, state, slot):
            group[:] = [other for other in group if not leads(state, other, slot)]
            group.append(state)

    def next(self) -> tuple[int, list[list[State]]]:
        """The first slot there are states for, and those, by the work done."""
        slot = heappop(self._slots)
        return slot, list(self._layers.pop(slot).values())

    def seen(self, at: tuple[int, ...]) -> list[State]:
        """The states with the same work done that were looked at."""
        return self._seen.setdefault(at, [])


def led(states: list[State], other: State, slot: int) -> bool:
    """Whether any of some states is as good as another."""
    return any(leads(state, other, slot) for state in reversed(states))


def leads(state: State, other: State, slot: int) -> bool:
    """Whether a state is as good as another in all that counts from a slot on."""
    if state.air != other.air:
        for one, two in zip(state.air, other.air, strict=True):
            if one > two and one > slot:
                return False
    if state.lie != other.lie:
        for one, two in zip(state.lie, other.lie, strict=True):
            if one > two and one > slot:
                return False
    if state.held != other.held:
        for mine, theirs in zip(state.held, other.held, strict=True):
            if mine != theirs:
                for one, two in zip(mine, theirs, strict=True):
                    if one > two and one > slot:
                        return False
    return True
