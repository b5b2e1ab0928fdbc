"""The network core beside a bare CP-SAT model and PyJobShop, on the same instances in one run.

    python tests/benchmarks/rcpsp_max_against.py FOLDER... --seconds 10
    python tests/benchmarks/rcpsp_max_against.py --make 50 100 200 --first 20

Each instance is given to all solvers one after the other, with the same time limit and threads, the
first of them another one each time. Reported are proofs (optimal or infeasible), how often the best
makespan of all was found, and total seconds beside those of the bare model. PyJobShop
(``pip install 'finplan[bench]'``) is left out where it is not there.

``--make`` invents harder instances by a stated rule; see ``invented``.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from finplan.planning.lags import NO_LAG, Answer, LagNetwork, schedule
from finplan.trade.errors import BadInput
from tests.benchmarks.sch import instances

Solve = Callable[[LagNetwork, float, int], Answer]


def bare(network: LagNetwork, seconds: float, workers: int) -> Answer:
    """The plain constraint model: lags and resources as they stand."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    size = len(network.durations)
    most = longest(network)
    starts = [model.new_int_var(0, most, "") for _ in range(size)]
    for before, after in zip(*np.nonzero(network.lags > NO_LAG), strict=True):
        model.add(starts[after] >= starts[before] + int(network.lags[before, after]))
    intervals = [
        model.new_fixed_size_interval_var(starts[at], int(network.durations[at]), "")
        for at in range(size)
    ]
    for resource, capacity in enumerate(network.capacities):
        model.add_cumulative(intervals, network.demands[:, resource].tolist(), int(capacity))
    model.add(starts[0] == 0)
    model.minimize(starts[-1])
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.status_name(solver.solve(model)).lower()
    if status in ("optimal", "feasible"):
        return Answer(status, int(solver.objective_value), int(solver.best_objective_bound + 0.5))
    return Answer("infeasible" if status == "infeasible" else "unknown", None, None)


def pyjobshop(network: LagNetwork, seconds: float, workers: int) -> Answer:
    """The same by PyJobShop, which refuses what takes more of a resource than there is."""
    from pyjobshop import Model

    takes = network.durations > 0
    if np.any(network.demands[takes] > network.capacities):
        return Answer("infeasible", None, None)
    model = Model()
    resources = [model.add_renewable(int(capacity)) for capacity in network.capacities]
    most = longest(network)
    tasks = [model.add_task(latest_start=most) for _ in network.durations]
    for at, task in enumerate(tasks):
        used = np.flatnonzero(network.demands[at] * takes[at]).tolist()
        model.add_mode(
            task,
            [resources[number] for number in used],
            int(network.durations[at]),
            [int(network.demands[at, number]) for number in used],
        )
    for before, after in zip(*np.nonzero(network.lags > NO_LAG), strict=True):
        if before != after:
            lag = int(network.lags[before, after])
            model.add_start_before_start(tasks[before], tasks[after], lag)
    result = model.solve(time_limit=seconds, num_workers=workers, display=False)
    status = result.status.value.lower()
    if status in ("optimal", "feasible"):
        return Answer(status, int(result.objective), int(np.ceil(result.lower_bound - 1e-6)))
    return Answer("infeasible" if status == "infeasible" else "unknown", None, None)


def longest(network: LagNetwork) -> int:
    """An end no shortest plan is beyond: every activity after the longest it or its lags take."""
    lags = np.where(network.lags > NO_LAG, network.lags, 0)
    return int(np.maximum(lags.max(axis=1), network.durations).sum())


def invented(activities: int, seed: int) -> LagNetwork:
    """An instance by rule, all drawn from the seed.

    Durations 1 to 10; five resources, each needed (1 to 10) by an activity with probability 0.6.
    An activity precedes on average two of the ten after it, by a least lag of 0 to 1.5 times its
    duration. One in twenty such pairs also gets a greatest lag, of the longest path between the two
    and 5 to 15 more, as a negative lag backwards. A capacity is the largest demand
    and up to a quarter of what more is needed when all start as early as the lags allow.
    """
    chance = np.random.default_rng([activities, seed])
    size = activities + 2
    durations = np.concatenate(([0], chance.integers(1, 11, activities), [0]))
    demands = np.zeros((size, 5), np.int64)
    needs = chance.random((activities, 5)) < 0.6
    demands[1:-1] = np.where(needs, chance.integers(1, 11, (activities, 5)), 0)
    lags = np.full((size, size), NO_LAG, np.int64)
    lags[0, 1:] = 0
    for before in range(1, activities + 1):
        lags[before, -1] = durations[before]
        for after in range(before + 1, min(before + 11, activities + 1)):
            if chance.random() < 0.2:
                lags[before, after] = int(chance.integers(0, int(1.5 * durations[before]) + 1))
    earliest = np.zeros(size, np.int64)
    paths = np.where(np.eye(size, dtype=bool), 0, NO_LAG)
    for after in range(size):
        for before in np.flatnonzero(lags[:after, after] > NO_LAG):
            reached = paths[:, before] > NO_LAG
            longer = paths[reached, before] + lags[before, after]
            paths[reached, after] = np.maximum(paths[reached, after], longer)
        earliest[after] = max(0, paths[0, after])
    for before, after in zip(*np.nonzero(lags[1:-1, 1:-1] > NO_LAG), strict=True):
        if chance.random() < 0.05:
            path = int(paths[before + 1, after + 1])
            lags[after + 1, before + 1] = -(path + int(chance.integers(5, 16)))
    peak = np.zeros(5, np.int64)
    for hour in range(int(earliest.max()) + 11):
        running = (earliest <= hour) & (hour < earliest + durations)
        peak = np.maximum(peak, demands[running].sum(axis=0))
    least = demands.max(axis=0)
    capacities = least + (chance.uniform(0.0, 0.25, 5) * np.maximum(0, peak - least)).astype(int)
    return LagNetwork(durations, lags, demands, capacities)


def compare(
    named: list[tuple[str, LagNetwork]], solvers: dict[str, Solve], seconds: float, workers: int
) -> None:
    """Give every instance to every solver and print a row for each solver."""
    answers: dict[str, list[Answer]] = {name: [] for name in solvers}
    spent = dict.fromkeys(solvers, 0.0)
    for number, (_, network) in enumerate(named):
        names = list(solvers)
        turn = number % len(names)
        for name in names[turn:] + names[:turn]:
            begun = time.perf_counter()
            answers[name].append(solvers[name](network, seconds, workers))
            spent[name] += time.perf_counter() - begun
    all_found = list(zip(*answers.values(), strict=True))
    best = [
        min((a.makespan for a in row if a.makespan is not None), default=None) for row in all_found
    ]
    ours = answers["finplan"]
    for name, given in answers.items():
        optimal = sum(answer.status == "optimal" for answer in given)
        infeasible = sum(answer.status == "infeasible" for answer in given)
        reached = sum(
            makespan is not None and answer.makespan == makespan
            for answer, makespan in zip(given, best, strict=True)
        )
        not_ours = sum(
            answer.status in ("optimal", "infeasible") and own.status != answer.status
            for answer, own in zip(given, ours, strict=True)
        )
        sys.stdout.write(
            f"{name}: {optimal} optimal, {infeasible} infeasible, best makespan {reached} of "
            f"{sum(one is not None for one in best)}, {spent[name]:.2f} s "
            f"({spent[name] / spent['bare CP-SAT']:.2f} of bare), proved but not by finplan "
            f"{not_ours}\n"
        )
    for (name, _), row in zip(named, all_found, strict=True):
        proved = {a.makespan for a in row if a.status == "optimal"}
        if len(proved) > 1 or (proved and any(a.status == "infeasible" for a in row)):
            sys.stdout.write(f"{name}: the solvers contradict each other\n")
    sys.stdout.flush()


def main() -> int:
    """Read or invent the instances and compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", type=Path, nargs="*")
    parser.add_argument("--make", type=int, nargs="+", default=[], help="so many activities")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--first", type=int, default=20, help="how many of each set")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    solvers: dict[str, Solve] = {"finplan": schedule, "bare CP-SAT": bare}
    if find_spec("pyjobshop") is not None:
        solvers["PyJobShop"] = pyjobshop
    else:
        sys.stdout.write("PyJobShop is not installed: it is left out\n")
    try:
        sets = [(str(folder), instances(folder, asked.first)) for folder in asked.folders]
    except BadInput as fault:
        sys.stderr.write(f"{fault}\n")
        return 2
    sets += [
        (f"invented, {size} activities", [(str(s), invented(size, s)) for s in range(asked.first)])
        for size in asked.make
    ]
    schedule(invented(5, 0), 1.0)  # the solver is loaded before anything is timed
    for title, named in sets:
        sys.stdout.write(f"{title}: {len(named)} instances, {asked.seconds:g} s each\n")
        compare(named, solvers, asked.seconds, asked.workers)
    return 0


if __name__ == "__main__":
    sys.exit(main())
