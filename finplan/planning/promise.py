"""How likely a half-filled shop is to be ready in time: a guide for searches, no bound."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence

import numpy as np

from finplan.planning.bound import Latest, alone
from finplan.planning.by_sessions import Key
from finplan.planning.network import Network
from finplan.planning.shop import Shop

_FULL = 0.85
"""The share of the hours that is taken to be used: the rest goes to settling and odd ends."""

_STEEP = 0.03
"""By that much more each slot of being late counts, in natural logarithms."""

_WORK = 5.0
"""So much the work that is left counts, beside one for each load."""

_MOST = 400.0


class Promise:
    """Measures how late the loads, and the work that is left, would be for a date."""

    def __init__(self, network: Network, ready_s: int, due: Mapping[Key, float]) -> None:
        """Work out what is asked for every state.

        Args:
            network: the network.
            ready_s: when all should be ready.
            due: by block, the slot it has to start at for that.
        """
        self._network, self._due = network, due
        early = alone(network)
        latest = Latest(network, early)
        while (late := latest.lasts(ready_s)) is None:
            ready_s += 86_400
        self._order = sorted(
            (index for index in late if index in early.first), key=late.__getitem__
        )
        self._lates = np.array([late[index] for index in self._order], np.int64)
        self._slots = np.array([network.nodes[index].slots for index in self._order], np.int64)
        axis = network.axis
        self._hours = axis.work_before(range(len(axis.free)))
        self._until = self._hours[np.minimum(self._lates + 1, len(axis))]

    def unlikely(self, shop: Shop, pending: Sequence[tuple[int, int, int]], session: int) -> float:
        """How little a shop filled up to a session promises; less is better."""
        axis, nodes = self._network.axis, self._network.nodes
        after = bisect_right(axis.sessions, session)
        left = np.array([index not in shop.placed for index in self._order])
        need = np.cumsum(self._slots * left) / _FULL
        late = (need - (self._until - self._hours[after]))[left]
        spread = float(np.exp(_STEEP * np.clip(late, -_MOST, _MOST)).sum())
        unlikely = _WORK * spread / max(1, len(late))
        for own, chain, number in pending:
            block = self._network.chains[chain].blocks[number]
            first = axis.first_at_or_after(shop.earliest_s(nodes[block.nodes[0]]))
            late_by = max(after, own, first) - self._due[chain, number]
            unlikely += float(np.exp(_STEEP * min(max(late_by, -_MOST), _MOST)))
        return unlikely
