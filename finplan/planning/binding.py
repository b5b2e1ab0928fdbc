"""What a proven bound comes from: what would have to be away for a plan to be sooner."""

from __future__ import annotations

import math
from dataclasses import replace

from finplan.planning.bound import Bound
from finplan.planning.by_sessions import improve_by_sessions
from finplan.planning.forward import Found, forward, rank
from finplan.planning.network import Network
from finplan.planning.shop import Stuck

DUST, RACK = "dust against wet", "rack"
TOGETHER = "hours, rack and dust together"

_PASSES = 40
_PLACED_AT_MOST = 10_000
"""Fewer passes where so many steps would be placed in all: what binds is worth no minutes."""


def named(network: Network, bound: Bound, best: Found, seed: int) -> Bound:
    """A bound of all things together, with the name of what binds where one of them does.

    Dust, or the rack, binds where a plan without it is found that is ready before the bound; no
    search is asked to prove that there is none.

    Args:
        network: the network.
        bound: what no plan can beat.
        best: the best layout known.
        seed: fixes the search.
    """
    if bound.by != TOGETHER:
        return bound
    apart = replace(network, dust_apart=(True,) * len(network.dust_apart))
    roomy = replace(network, rack_m2=(math.inf,) * len(network.rack_m2))
    names = [
        name
        for name, eased in ((DUST, apart), (RACK, roomy))
        if _sooner(eased, bound, rank(network, best)[0], seed)
    ]
    return replace(bound, by=" and ".join(names) if names else TOGETHER)


def _sooner(eased: Network, bound: Bound, unkept: int, seed: int) -> bool:
    """Whether a plan of the eased network is found that is ready before a bound."""
    aim = replace(bound, ready_s=bound.ready_s - 1)
    try:
        found = forward(eased, seed)
        passes = min(_PASSES, max(1, _PLACED_AT_MOST // len(eased.nodes)))
        found = improve_by_sessions(eased, found, aim, passes, seed, lambda: True)
    except Stuck:
        return False
    return found.goal[0] < bound.ready_s and rank(eased, found)[0] <= unkept
