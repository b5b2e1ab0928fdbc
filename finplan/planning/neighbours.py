"""Large plans bettered piece by piece: a few loads are laid out anew around all the others."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from ortools.sat.python import cp_model

from finplan.planning.bound import Alone, alone
from finplan.planning.flat import Kept, flatten, pieces
from finplan.planning.forward import Found, missed_windows
from finplan.planning.model import Builder
from finplan.planning.network import Network
from finplan.planning.rebuild import rebuilt, shop_of
from finplan.planning.search_words import Effort, Job, Layouts, Word
from finplan.planning.solving import Teller, hint_layout
from finplan.planning.tidy import kept_together

_TASKS_AT_ONCE = 90
_EACH_S = 5.0
_LATEST_KEPT = 0.6
_REACH = 160
"""How many slots work is moved by at most at once."""


def better_by_pieces(
    job: Job, layout: Layouts, seconds: float, tell: Callable[[Word], None]
) -> Layouts:
    """Free a few loads at a time and solve for their best places, until time is over.

    The load that is ready last is freed every other time, since nothing else moves the date.

    Args:
        job: the network and the effort.
        layout: the layout to start from.
        seconds: how long.
        tell: takes every better layout.
    """
    until = time.monotonic() + seconds
    chance = np.random.default_rng(job.effort.seed)
    best, early = rebuilt(job.network, layout), alone(job.network)
    joined = _joined(job.network)
    number = 0
    while (left := until - time.monotonic()) > 0.2:
        free = _some_loads(job, best, chance, latest_too=number % 2 == 0) | joined
        found = _laid_anew(job, early, best, free, min(_EACH_S, left))
        if found is not None and found.goal <= best.goal:
            if found.goal < best.goal:
                tell(Word(found.layout.placed))
            best = found
        number += 1
    return best.layout.placed


def _joined(network: Network) -> frozenset[int]:
    """Chains that wait for other chains: they are freed every time, as they come after all."""
    return frozenset(
        node.chain
        for node in network.nodes
        for lag in node.after
        if network.nodes[lag.before].chain != node.chain
    )


def _some_loads(
    job: Job, best: Found, chance: np.random.Generator, latest_too: bool
) -> frozenset[int]:
    """Loads that together have about as much work as is solved in a moment."""
    network = job.network
    work = [0] * len(network.chains)
    latest = [0] * len(network.chains)
    for node in network.nodes:
        work[node.chain] += pieces(node)
    for index, end_s in best.shop.ends.items():
        chain = network.nodes[index].chain
        latest[chain] = max(latest[chain], end_s)
    order = [int(chain) for chain in chance.permutation(len(network.chains)) if work[chain]]
    if latest_too:
        order.sort(key=lambda chain: -latest[chain] * (chance.random() < _LATEST_KEPT))
    chosen: list[int] = []
    size = 0
    for chain in order:
        if not chosen or size + work[chain] <= _TASKS_AT_ONCE:
            chosen.append(chain)
            size += work[chain]
    return frozenset(chosen)


def _laid_anew(
    job: Job, early: Alone, best: Found, free: frozenset[int], seconds: float
) -> Found | None:
    """The best layout of some loads with all others where they are; None if none is found."""
    network = job.network
    shop = shop_of(network, best.layout.placed, without=free)
    tasks = flatten(
        network,
        early,
        best.goal[0],
        job.now_s,
        kept=Kept(job.kept.pinned, missed_windows(network, best), kept_together(network, best)),
        shop=shop,
        free=free,
        within=_near(network, best, free),
    )
    if tasks is None or not tasks.tasks:
        return None
    model = Builder(network, tasks, len(network.axis), best.goal[0]).build()
    hint_layout(model, tasks, best.layout.placed)
    first = [own[0] for own in model.starts.values()]
    heavy = len(first) * len(network.axis) + 1
    model.cp.minimize(heavy * (len(model.ready) * model.last_ready + sum(model.ready)) + sum(first))
    held = {
        index: place
        for index, place in best.layout.placed.items()
        if network.nodes[index].chain not in free
    }
    teller = Teller(model, tasks, lambda _: None)
    solver = cp_model.CpSolver()
    _limit(solver, job.effort, seconds)
    if solver.solve(model.cp, teller) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return rebuilt(network, {**held, **teller.layout})


def _near(network: Network, best: Found, free: frozenset[int]) -> dict[int, tuple[int, int]]:
    """Around where work is now, so that the model stays small; optional work by its coat."""
    near = {}
    for chain in free:
        for block in network.chains[chain].blocks:
            here = [node for node in block.nodes if node in best.layout.placed]
            for node in block.nodes if here else ():
                slots = best.layout.placed[node if node in here else here[0]].slots
                near[node] = (slots[0] - _REACH, slots[-1] + _REACH)
    return near


def _limit(solver: cp_model.CpSolver, effort: Effort, seconds: float) -> None:
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
