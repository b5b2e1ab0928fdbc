"""Runs the network core on a folder of ``.sch`` files.

    python tests/benchmarks/rcpsp_max.py FOLDER --seconds 10 --json

``--bare`` solves the same model without what is worked out beforehand, for comparison.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))


from finplan.planning.lags import Answer, LagNetwork, schedule
from tests.benchmarks.sch import by_number, read_sch


def bare(network: LagNetwork, seconds: float, workers: int) -> Answer:
    """The plain constraint model: lags and resources as they stand."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    size = len(network.durations)
    most = int(
        sum(max(d, row.max()) for d, row in zip(network.durations, network.lags, strict=True))
    )
    starts = [model.new_int_var(0, most, "") for _ in range(size)]
    for before in range(size):
        for after in range(size):
            if network.lags[before, after] > -most - 1:
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


def main() -> int:
    """Solve every instance and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--first", type=int, default=None, help="only the first so many")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--bare", action="store_true")
    asked = parser.parse_args()
    if not asked.folder.is_dir():
        sys.stderr.write(f"{asked.folder}: no such folder: give one with .sch files\n")
        return 2
    solve = bare if asked.bare else schedule
    instances = []
    for path in by_number(asked.folder)[: asked.first]:
        begun = time.perf_counter()
        answer = solve(read_sch(path), asked.seconds, asked.workers)
        instances.append(
            {
                "name": path.name,
                "status": answer.status,
                "makespan": answer.makespan,
                "bound": answer.bound,
                "seconds": round(time.perf_counter() - begun, 4),
            }
        )
        if not asked.json:
            sys.stdout.write(" ".join(str(value) for value in instances[-1].values()) + "\n")
    if asked.json:
        sys.stdout.write(json.dumps({"instances": instances}, indent=2) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
