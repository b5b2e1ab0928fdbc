"""The network core against published optima.

Sets UBO10 and UBO20 of the ProGen/max generator (C. Schwindt), published with PSPLIB; optima from
the ``optimum.csv`` beside the instances. Found in FINPLAN_RCPSP_MAX or in the folder
``../shared/data/rcpsp_max`` next to the project.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import numpy as np
import pytest

from finplan.planning.lags import NO_LAG, Answer, LagNetwork, longest_paths, schedule
from tests.benchmarks.sch import by_number, read_sch

FOLDER = Path(
    os.environ.get("FINPLAN_RCPSP_MAX")
    or Path(__file__).resolve().parents[2].parent / "shared" / "data" / "rcpsp_max"
)
EACH = 20
SECONDS = 15.0


def published(folder: Path) -> dict[str, str]:
    with (folder / "optimum.csv").open(newline="") as lines:
        return {row["problem"]: row["optimum"] for row in csv.DictReader(lines)}


def holds(network: LagNetwork, answer: Answer) -> bool:
    """Whether a plan keeps every lag and every capacity, looked at hour by hour."""
    starts = np.array(answer.starts)
    for before, after in zip(*np.nonzero(network.lags > NO_LAG), strict=True):
        if starts[after] < starts[before] + network.lags[before, after]:
            return False
    for hour in range(int(answer.makespan or 0)):
        running = (starts <= hour) & (hour < starts + network.durations)
        if np.any(network.demands[running].sum(axis=0) > network.capacities):
            return False
    return True


@pytest.mark.parametrize("name", ["ubo10", "ubo20"])
def test_the_published_optima_are_met(name):
    folder = FOLDER / name
    if not folder.is_dir():
        pytest.skip(f"no instances in {folder}: point FINPLAN_RCPSP_MAX to them")
    optima = published(folder)
    for path in by_number(folder)[:EACH]:
        network = read_sch(path)
        answer = schedule(network, SECONDS)
        known = optima[path.name]
        if known == "unsat":
            assert answer.status == "infeasible", path.name
            continue
        assert answer.status == "optimal", path.name
        assert holds(network, answer), path.name
        low, _, high = known.partition("..")
        assert int(low) <= answer.makespan <= int(high or low), path.name


def test_contradicting_lags_are_found_without_search():
    lags = np.full((3, 3), NO_LAG, np.int64)
    lags[0, 1], lags[1, 2], lags[2, 0] = 2, 3, -4
    assert longest_paths(lags) is None
    lags[2, 0] = -5
    paths = longest_paths(lags)
    assert paths is not None
    assert paths[0, 2] == 5
