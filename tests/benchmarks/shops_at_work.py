"""Invented shops of growing size, by stated rules, and how the planner does on them.

    python tests/benchmarks/shops_at_work.py --batches 1 3 5 --seeds 5 --seconds 10

Rules, all drawn from the seed: a batch has 4 to 6 coats of one of five finishes (oxidative oil
and varnish, waterborne, solvent, two-component), on all sides at once or turned, scuffed always
or only when the window is missed (or never, where none closes); 3 to 12 slats. One room takes all
wet work and all sanding, with rack for about four loads. A hobby shop works weekday evenings 18:30
to 21:30 and Saturdays 8 to 17; a workshop works 7 to 16 from Monday to Friday. Nights are cold: the
room falls to 8 to 13 °C and warms by 8 to 12 °C in the day. A finish that bears no hour of such air
(two-component under 16 °C, waterborne under 10 °C for 24 hours) is not used: another one is drawn.
"""

from __future__ import annotations

import argparse
import datetime as dt
import sys
import time
import uuid
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
from finplan.planning.forward import PASSES, Orders, forward, tails_of
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


def shop(batches: int, seed: int, hours: str) -> PlanRequest:
    """One invented shop."""
    chance = np.random.default_rng([seed, batches])
    at = NOW.timestamp() + 3600.0 * np.arange(-24 * 20, 24 * (days_ahead(batches) + 180))
    night, swing = chance.uniform(8, 13), chance.uniform(8, 12)
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


def run(batches: int, seed: int, hours: str, seconds: float, workers: int) -> dict[str, float]:
    """Plan one shop; days from now and seconds."""
    built = build(shop(batches, seed, hours), days_ahead(batches))
    network, now_s = built.network, int(NOW.timestamp())
    begun = time.perf_counter()
    first = Orders(network).lay_out(tails_as_weights(network), by_time=True)
    single = time.perf_counter() - begun
    begun = time.perf_counter()
    plan = forward(network, seed, PASSES)
    several = time.perf_counter() - begun
    bound = lower_bound(network)
    begun = time.perf_counter()
    best = optimise(network, plan, now_s, Effort(seconds, workers, seed))
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
    return {
        "nodes": len(network.nodes),
        "single pass": days[0],
        "forward": days[1],
        "easy bound": days[2],
        "bound": days[4] if best.proved else days[3],
        "best": days[4],
        "proved": float(best.proved),
        "pass s": single,
        "forward s": several,
        "search s": spent,
    }


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
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    head = "batches nodes proved gain% gap% easy-gap% pass-ms forward-ms search-s"
    sys.stdout.write(head + "\n")
    for batches in asked.batches:
        rows = [
            run(batches, seed, asked.hours, asked.seconds, asked.workers)
            for seed in range(asked.seeds)
        ]
        gain = mean(100 * (1 - row["best"] / row["single pass"]) for row in rows)
        gap = mean(100 * (row["best"] / row["bound"] - 1) for row in rows)
        easy = mean(100 * (row["forward"] / row["easy bound"] - 1) for row in rows)
        proved = int(sum(row["proved"] for row in rows))
        sys.stdout.write(
            f"{batches} {mean(row['nodes'] for row in rows):.0f} {proved}/{len(rows)} {gain:.1f} "
            f"{gap:.1f} {easy:.1f} {1000 * median(row['pass s'] for row in rows):.1f} "
            f"{1000 * median(row['forward s'] for row in rows):.1f} "
            f"{median(row['search s'] for row in rows):.2f}\n"
        )
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
