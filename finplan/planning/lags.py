"""The bare network core: activities with least and greatest lags on limited resources.

The closest published problem is RCPSP/max. Lags run from start to start; a greatest lag is a
negative one the other way round. What follows from the lags alone is worked out first (all-pairs
longest paths, and orders forced where two activities cannot run side by side); often that already
proves that there is no plan.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

NO_LAG = -(1 << 40)
"""Stands for 'no lag' in a matrix of lags."""

_ROUNDS, _TIGHTENING_SHARE = 20, 0.2

Matrix = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class LagNetwork:
    """Activities 0 to n + 1, the first and last being start and end of all.

    ``durations``: shape (n + 2,). ``lags``: shape (n + 2, n + 2), start to start, NO_LAG for
    none. ``demands``: shape (n + 2, m). ``capacities``: shape (m,). Whole numbers throughout.
    """

    durations: Matrix
    lags: Matrix
    demands: Matrix
    capacities: Matrix


@dataclass(frozen=True, slots=True)
class Answer:
    """``status``: optimal, feasible, infeasible or unknown; ``starts`` empty without a plan."""

    status: str
    makespan: int | None
    bound: int | None
    starts: tuple[int, ...] = ()


def longest_paths(lags: Matrix) -> Matrix | None:
    """The tightest lag between every two activities; None if the lags contradict each other.

    Args:
        lags: shape (n, n), NO_LAG for none.
    """
    paths = lags.copy()
    size = len(paths)
    paths[np.arange(size), np.arange(size)] = np.maximum(np.diagonal(paths), 0)
    for through in range(size):
        longer = paths[:, through, None] + paths[None, through, :]
        np.maximum(paths, longer, out=paths)
        if paths.diagonal().max() > 0:
            return None
    paths[paths < NO_LAG // 2] = NO_LAG
    return paths


def tightened(network: LagNetwork, going_on: Callable[[], bool] = lambda: True) -> Matrix | None:
    """All lags that follow, also from pairs that cannot run side by side; None if infeasible.

    Args:
        network: what is to be planned.
        going_on: asked before each round; what is known by then is told.
    """
    paths = longest_paths(network.lags)
    takes = network.durations > 0  # what is over at once takes nothing of a resource
    if paths is None or np.any(network.demands[takes] > network.capacities):
        return None
    apart = np.any(
        network.demands[:, None, :] + network.demands[None, :, :] > network.capacities, axis=2
    )
    np.fill_diagonal(apart, False)
    durations = network.durations
    apart &= takes[:, None] & takes[None, :]
    for _ in range(_ROUNDS):
        if not going_on():
            break
        # The second cannot be over before the first starts: then it comes after it.
        ordered = apart & (paths > -durations[None, :])
        if np.any(ordered & ordered.T):
            return None
        forced = np.where(ordered, np.maximum(paths, durations[:, None]), paths)
        if np.array_equal(forced, paths):
            return paths
        again = longest_paths(forced)
        if again is None:
            return None
        paths = again
    return paths


def schedule(
    network: LagNetwork,
    seconds: float,
    workers: int = 2,
    seed: int = 0,
    clock: Callable[[], float] = time.monotonic,
) -> Answer:
    """Find the shortest plan, and prove it if there is time.

    Args:
        network: what to plan.
        seconds: time limit.
        workers: solver threads.
        seed: fixes the search's chance.
        clock: seconds that pass, for the time limit.
    """
    begun = clock()
    paths = tightened(network, lambda: clock() - begun < _TIGHTENING_SHARE * seconds)
    if paths is None:
        return Answer("infeasible", None, None)
    bound = int(paths[0, -1])
    left = max(0.01, seconds - (clock() - begun))
    return _solve(network, paths, bound, left, workers, seed)


def _solve(
    network: LagNetwork, paths: Matrix, bound: int, seconds: float, workers: int, seed: int
) -> Answer:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    size = len(network.durations)
    most = _horizon(network)
    heads, tails = paths[0], paths[:, -1]
    starts = [
        model.new_int_var(max(0, int(heads[at])), int(most - max(0, int(tails[at]))), "")
        for at in range(size)
    ]
    model.add(starts[0] == 0)
    for before, after in zip(*np.nonzero(network.lags > NO_LAG), strict=True):
        if before != after:
            model.add(starts[after] >= starts[before] + int(network.lags[before, after]))
    intervals = [
        model.new_fixed_size_interval_var(starts[at], int(network.durations[at]), "")
        for at in range(size)
    ]
    for resource, capacity in enumerate(network.capacities):
        used = (network.demands[:, resource] > 0) & (network.durations > 0)
        users = np.flatnonzero(used).tolist()
        model.add_cumulative(
            [intervals[at] for at in users],
            [int(network.demands[at, resource]) for at in users],
            int(capacity),
        )
    model.minimize(starts[-1])
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    # No presolve: it takes a good part of a short time, and finds little in tightened bounds.
    solver.parameters.cp_model_presolve = False
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Answer("infeasible", None, None)
    proved = max(bound, int(np.ceil(solver.best_objective_bound - 1e-6)))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer("unknown", None, proved)
    found = tuple(solver.value(start) for start in starts)
    word = "optimal" if status == cp_model.OPTIMAL or found[-1] <= proved else "feasible"
    return Answer(word, found[-1], proved, found)


def _horizon(network: LagNetwork) -> int:
    """No shortest plan is longer: each activity's duration or longest lag, one after the other."""
    lags = np.where(network.lags > NO_LAG, network.lags, 0)
    longest = np.maximum(lags.max(axis=1), network.durations)
    return int(longest.sum())
