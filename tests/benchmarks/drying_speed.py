"""How fast the drying clock is against the obvious loop, as ratios of one run.

Run: ``python -m tests.benchmarks.drying_speed``. Prints a table, then JSON.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable

import numpy as np

from finplan.air.climate import normals_series
from finplan.air.series import AirSeries
from finplan.drying.bands import stage_band
from finplan.drying.clock import clock_for
from finplan.drying.rates import rate
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.workshop import MonthlyNormals
from tests.finishes_for_tests import make, number, span

SEED = 20_260_101
FINISHES = 50
YEAR_HOURS = 365 * 24
QUARTER_S = 900.0
START_S = 1_767_225_600.0  # 2026-01-01 UTC
RECOAT = Stage.DRY_TO_RECOAT

SHED = MonthlyNormals(
    (2, 2, 5, 9, 14, 17, 19, 19, 15, 10, 6, 3), (7,) * 12, (75,) * 12, "invented for a benchmark"
)


def year_of_air(hours: int = YEAR_HOURS) -> AirSeries:
    """Hourly air of a shed with weather on top of its normals."""
    rng = np.random.default_rng(SEED)
    air = normals_series(SHED, "Europe/Oslo", START_S, START_S + hours * 3600.0)
    weather = np.convolve(rng.normal(0, 1, hours + 71), np.ones(72) / 72**0.5, "valid")
    return AirSeries(
        air.at_s,
        air.temperature_c + 2.5 * weather,
        np.clip(air.humidity_percent + 8 * rng.permutation(weather), 20, 100),
        air.source,
    )


def finishes(count: int = FINISHES) -> list[Finish]:
    """Invented finishes of every chemistry that cures."""
    rng = np.random.default_rng(SEED)
    chemistries = [c for c in Chemistry if c is not Chemistry.NON_CURING]
    made = []
    for i in range(count):
        low = float(rng.uniform(2, 24))
        made.append(
            make(
                chemistries[i % len(chemistries)],
                name=f"finish-{i}",
                stages={RECOAT: span(low, low * float(rng.uniform(1.2, 3)))},
                refuse_below_c=number(float(rng.uniform(2, 8))),
            )
        )
    return made


def by_clock(finish: Finish, air: AirSeries, ends: np.ndarray) -> np.ndarray:
    """Likely times by the clock, built anew."""
    return clock_for(finish, air).likely(ends, RECOAT)


def by_loop(finish: Finish, air: AirSeries, ends: np.ndarray) -> np.ndarray:
    """Likely times by walking over the hours from each end, speeds given."""
    speeds = rate(finish, air.temperature_c, air.humidity_percent).tolist()
    steps = air.at_s.tolist()
    band = stage_band(finish, RECOAT)
    assert band is not None
    found = []
    for end in ends.tolist():
        left = band.median * 3600.0
        index = min(int((end - steps[0]) // 3600.0), len(steps) - 1)
        now = end
        while index < len(steps) - 1:
            gain = (steps[index + 1] - now) * speeds[index]
            if gain >= left:
                break
            left -= gain
            now = steps[index + 1]
            index += 1
        found.append(now + left / speeds[index] if speeds[index] > 0 else np.inf)
    return np.array(found)


def seconds(work: Callable[[], object]) -> float:
    """Best of three runs of some work."""
    best = np.inf
    for _ in range(3):
        began = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - began)
    return float(best)


def measure() -> dict[str, float]:
    """All figures of the benchmark."""
    air, made = year_of_air(), finishes()
    ends = START_S + np.arange(0.0, YEAR_HOURS * 3600.0 + 1.0, QUARTER_S)

    def all_finishes(count: int = FINISHES, some: np.ndarray = ends, in_air: AirSeries = air):
        return [by_clock(finish, in_air, some) for finish in made[:count]]

    worst = 0.0
    began = time.perf_counter()
    loops = [by_loop(finish, air, ends) for finish in made]
    loop = time.perf_counter() - began
    for finish, looped in zip(made, loops, strict=True):
        mine = by_clock(finish, air, ends)
        assert np.array_equal(np.isinf(mine), np.isinf(looped))
        known = np.isfinite(looped)
        worst = max(worst, float(np.abs(mine[known] - looped[known]).max()))
    clock = seconds(all_finishes)
    half_year = year_of_air(YEAR_HOURS // 2)
    half_ends = ends[: ends.size // 2]
    one = clock_for(made[0], air)
    single = seconds(lambda: [one.ready(end, RECOAT) for end in half_ends[:5000].tolist()]) / 5000
    return {
        "starts": float(ends.size),
        "clock_s": clock,
        "loop_s": loop,
        "times_faster": loop / clock,
        "largest_difference_s": worst,
        "time_for_half_the_finishes": seconds(lambda: all_finishes(FINISHES // 2)) / clock,
        "time_for_half_the_hours": seconds(lambda: all_finishes(some=half_ends, in_air=half_year))
        / clock,
        "one_start_at_a_time_us": single * 1e6,
    }


def main() -> None:
    """Measure and print."""
    figures = measure()
    for name, value in figures.items():
        print(f"{name:32} {value:14.4g}")  # noqa: T201
    print(json.dumps(figures))  # noqa: T201


if __name__ == "__main__":
    main()
