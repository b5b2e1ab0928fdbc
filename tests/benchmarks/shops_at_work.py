"""Invented shops of growing size, by stated rules, and how the planner does on them.

    python tests/benchmarks/shops_at_work.py --batches 1 3 5 --seeds 5 --seconds 10

Rules, all drawn from the seed: a batch has 4 to 6 coats of one of five finishes (oxidative oil
and varnish, waterborne, solvent, two-component), on all sides at once or turned, scuffed always
or only when the window is missed (or never, where none closes); 3 to 12 slats. One room takes all
wet work and all sanding, with rack for about four loads. A hobby shop works weekday evenings 18:30
to 21:30 and Saturdays 8 to 17; a workshop works 7 to 16 from Monday to Friday. Nights are cold: the
room falls to 8 to 13 °C (with --warm: 17 to 20 °C) and warms by 8 to 12 °C in the day. A finish
that bears no hour of such air (two-component under 16 °C, waterborne under 10 °C for 24 hours) is
not used: another one is drawn.
"""

from __future__ import annotations

import argparse
import datetime as dt
import multiprocessing
import os
import sys
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from finplan.air.series import AirSeries
from finplan.drying.limits import may_coat
from finplan.journal.progress import Progress
from finplan.library.load import finishes, templates
from finplan.planning.bound import lower_bound
from finplan.planning.build import build
from finplan.planning.forward import PASSES, Found, Orders, forward, rank, tails_of
from finplan.planning.network import Network
from finplan.planning.optimise import optimise
from finplan.planning.request import PlanRequest
from finplan.planning.search_words import Effort
from finplan.trade.numbers import Number
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import Scuffing, Sides, expand
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

NOW = dt.datetime(2026, 5, 4, 6, 0, tzinfo=dt.UTC)
DAY_S = 86400.0
NORMALS = MonthlyNormals((18.0,) * 12, (10.0,) * 12, (55.0,) * 12, "invented for the benchmark")
HOBBY = (
    WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180),
    WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(8), 540),
)
SHOP = (WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(7), 540),)
COLD, WARM = (8.0, 13.0), (17.0, 20.0)
TEMPLATES = (
    "oiled outdoor bench",
    "varnished door",
    "waterborne table",
    "shellac box",
    "two-component counter",
)


def days_ahead(batches: int) -> int:
    """How far ahead the work hours of a shop are laid out, days."""
    return 180 + 6 * batches


def shop(batches: int, seed: int, hours: str, nights: tuple[float, float] = COLD) -> PlanRequest:
    """One invented shop; ``nights``: the ends of what a room falls to, °C."""
    chance = np.random.default_rng([seed, batches])
    at = NOW.timestamp() + 3600.0 * np.arange(-24 * 20, 24 * (days_ahead(batches) + 180))
    night, swing = chance.uniform(*nights), chance.uniform(8, 12)
    mid = night + swing / 2
    temperature = mid + swing / 2 * np.sin(2 * np.pi * (at / DAY_S - 0.35))
    humidity = np.clip(55.0 - 2.5 * (temperature - mid), 25.0, 78.0)
    air = AirSeries(at, temperature, humidity, np.zeros(len(at), np.uint8))
    borne = [
        name
        for name in TEMPLATES
        if may_coat(finishes()[templates()[name].finish], air, at[24 * 20 : 24 * 48]).any()
    ]
    parts, made = [], []
    for number in range(batches):
        part = Part(f"slat {number}", int(chance.integers(3, 13)), 1200, 90, 19, "oak")
        parts.append(part)
        template = templates()[str(chance.choice(borne))]
        finish = finishes()[template.finish]
        scuffing = [Scuffing.ALWAYS, Scuffing.WINDOW_MISSED]
        if finish.window_closes_hours is None:
            scuffing.append(Scuffing.NEVER)
        template = replace(
            template,
            coats=Number(float(chance.integers(4, 7)), "drawn"),
            sides=Sides.TURNED if chance.random() < 0.5 else Sides.ALL_AT_ONCE,
            scuffing=scuffing[int(chance.integers(len(scuffing)))],
        )
        name = f"batch-{number:03}"
        made.append(Batch(name, (part.name,), "room", expand(template, finish)))
    project = Project(
        "work",
        "Work",
        "shop",
        tuple(parts),
        tuple(made),
        uuid.UUID(int=seed + 1),
        assembled_together=False,
    )
    windows = HOBBY if hours == "hobby" else SHOP
    workshop = Workshop(
        "shop", "Europe/Oslo", (Person("one", windows),), (Space("room", 6.0, NORMALS),)
    )
    return PlanRequest(
        (project,), workshop, finishes(), {"room": air}, {"work": Progress()}, NOW, seed=seed
    )


def run(
    asked: argparse.Namespace, batches: int, seed: int, nights: tuple[float, float]
) -> dict[str, float]:
    """Plan one shop; days from now, seconds and megabytes."""
    built = build(shop(batches, seed, asked.hours, nights), days_ahead(batches))
    network, now_s = built.network, int(NOW.timestamp())
    orders, weights = Orders(network), tails_as_weights(network)
    first, single = fastest(lambda: orders.lay_out(weights, by_time=True))
    plan, several = fastest(lambda: forward(network, seed, PASSES))
    bound = lower_bound(network)
    begun = time.perf_counter()
    with Memory() as memory:
        best = optimise(network, plan, now_s, Effort(asked.seconds, asked.workers, seed))
    spent = time.perf_counter() - begun
    days = [
        (at - now_s) / DAY_S
        for at in (
            first.goal[0],
            plan.goal[0],
            bound.ready_s,
            best.bound.ready_s,
            best.found.goal[0],
        )
    ]
    last = network.axis.first_at_or_after(first.goal[0]) - 1
    return {
        "nodes": len(network.nodes),
        "windows": len(set(network.axis.sessions[: last + 1])),
        "single pass": days[0],
        "forward": days[1],
        "easy bound": days[2],
        "bound": days[4] if best.proved else days[3],
        "best": days[4],
        "proved": float(best.proved),
        "worse": float(rank(network, best.found) > rank(network, plan)),
        "pass s": single,
        "forward s": several,
        "search s": spent,
        "megabytes": memory.most,
    }


def fastest(plans: Callable[[], Found]) -> tuple[Found, float]:
    """A plan, and the least seconds of processor time one of a few tries took."""
    times = []
    while len(times) < 3 or (len(times) < 30 and sum(times) < 0.5):
        begun = time.thread_time()
        found = plans()
        times.append(time.thread_time() - begun)
    return found, min(times)


class Memory:
    """The most memory this process and the solver's child ever have together, looked at often."""

    def __init__(self) -> None:
        self.most = 0.0
        self._over = threading.Event()
        self._watch = threading.Thread(target=self._look, daemon=True)

    def __enter__(self) -> Memory:
        self._watch.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._watch.join()

    def _look(self) -> None:
        while not self._over.wait(0.05):
            children = [child.pid for child in multiprocessing.active_children()]
            self.most = max(self.most, sum(resident(pid) for pid in (os.getpid(), *children)))


def resident(pid: int | None) -> float:
    """Megabytes of memory a process holds, as Linux tells; 0 where nothing tells it."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024


def tails_as_weights(network: Network) -> list[list[float]]:
    """The weights of a single pass: the plain tails."""
    return [[float(tail) for tail in row] for row in tails_of(network)]


def main() -> int:
    """Run and print a row for each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, nargs="+", default=[1, 3, 5, 10])
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--hours", choices=["hobby", "shop"], default="hobby")
    parser.add_argument("--warm", action="store_true", help="nights of 17 to 20 °C")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    head = (
        "batches nodes windows proved worse gain% gap% easy-gap% pass-ms forward-ms "
        "us-a-node-and-window search-s MB"
    )
    sys.stdout.write(head + "\n")
    for batches in asked.batches:
        rows = [
            run(asked, batches, seed, WARM if asked.warm else COLD) for seed in range(asked.seeds)
        ]
        gain = mean(100 * (1 - row["best"] / row["single pass"]) for row in rows)
        gap = mean(100 * (row["best"] / row["bound"] - 1) for row in rows)
        easy = mean(100 * (row["forward"] / row["easy bound"] - 1) for row in rows)
        each = median(1e6 * row["pass s"] / row["nodes"] / row["windows"] for row in rows)
        sys.stdout.write(
            f"{batches} {mean(row['nodes'] for row in rows):.0f} "
            f"{mean(row['windows'] for row in rows):.0f} "
            f"{sum(row['proved'] for row in rows):.0f}/{len(rows)} "
            f"{sum(row['worse'] for row in rows):.0f} {gain:.1f} {gap:.1f} {easy:.1f} "
            f"{1000 * median(row['pass s'] for row in rows):.1f} "
            f"{1000 * median(row['forward s'] for row in rows):.1f} {each:.2f} "
            f"{median(row['search s'] for row in rows):.2f} "
            f"{max(row['megabytes'] for row in rows):.0f}\n"
        )
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
