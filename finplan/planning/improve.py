"""A search over the orders the forward planner takes the blocks in."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from finplan.planning.bound import Bound
from finplan.planning.forward import Found, Orders, rank, tails_of
from finplan.planning.network import Network
from finplan.planning.shop import Stuck

Weights = list[NDArray[np.float64]]

_SHAKE = 0.6
_FEW = 0.15
_WORSE_AT_FIRST = 0.02
"""The search takes a step that is worse by that share of the time to go, less and less so."""


def improve(
    network: Network,
    start: Found,
    bound: Bound,
    passes: int,
    seed: int,
    going_on: Callable[[], bool],
) -> Found:
    """Shake the order of the blocks and keep what is better, for a number of passes.

    Args:
        network: the network.
        start: the layout to better; the result is never worse.
        bound: the search ends when it is met, if nothing else could be ready sooner.
        passes: the most passes.
        seed: fixes the shaking.
        going_on: asked before each pass.
    """
    chance = np.random.default_rng(seed)
    orders = Orders(network)
    tails = [np.array(row, float) for row in tails_of(network)]
    here_weights, here, best = [row.copy() for row in tails], start, start
    room = max(1, start.goal[0] - bound.ready_s)
    for done in range(passes):
        if bound.ends_search(network, best.goal[0]) or not going_on():
            break
        weights = _shaken(here_weights, chance)
        by_time = bool(chance.random() < 0.5)
        try:
            found = orders.lay_out(weights, by_time)
        except Stuck:
            continue
        if rank(network, found)[0] > rank(network, best)[0]:
            continue
        heat = room * _WORSE_AT_FIRST * (1 - done / passes)
        if found.goal[0] <= here.goal[0] + chance.random() * heat:
            here_weights, here = weights, found
        if rank(network, found) < rank(network, best):
            best = found
    return best


def _shaken(weights: Weights, chance: np.random.Generator) -> Weights:
    """Weights with a few loads, or single blocks, made more or less urgent."""
    shaken = [row.copy() for row in weights]
    few = max(1, round(_FEW * len(shaken)))
    for _ in range(int(chance.integers(1, few + 1))):
        row = shaken[int(chance.integers(len(shaken)))]
        factor = float(np.exp(chance.normal(0.0, _SHAKE)))
        if chance.random() < 0.5:
            row *= factor
        elif len(row):
            row[int(chance.integers(len(row)))] *= factor
    return shaken
