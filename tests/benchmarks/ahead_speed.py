"""How long levers and chances take on the samples, as ratios to one plan, measured in one run.

Run: ``python -m tests.benchmarks.ahead_speed [ROUNDS]``. Prints JSON, in seconds of this process's
own time, so that what else the machine does counts little; the rounds take turns, medians count.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from finplan.library.load import templates
from finplan.planning.chance import RUNS, chances
from finplan.planning.levers import levers
from finplan.planning.make import make_plan
from finplan.services.planned import planned
from finplan.services.samples import load_sample
from finplan.services.session import open_session

SAMPLES = ("beech_worktop", "locust_bench", "oak_door")
NOW = "2026-10-05T17:00:00+02:00"


def seconds(work: Callable[[], object]) -> float:
    """Return how long the process worked on something."""
    began = time.process_time()
    work()
    return time.process_time() - began


def measured(data: Path, name: str, rounds: int) -> dict[str, object]:
    """Return the medians for one sample."""
    with open_session(str(data), NOW) as session:
        load_sample(session, name)
        seen = planned(session, [name])
    request, plan, known = seen.request, seen.plan, templates()
    taken: dict[str, list[float]] = {"plan": [], "levers": [], "chances": []}
    pulled = levers(request, plan, known).levers
    for _ in range(rounds):
        taken["plan"].append(seconds(lambda: make_plan(request)))
        taken["levers"].append(seconds(lambda: levers(request, plan, known)))
        taken["chances"].append(seconds(lambda: chances(request, plan)))
    middle = {what: statistics.median(times) for what, times in taken.items()}
    return {
        "sample": name,
        "seconds": {what: round(one, 3) for what, one in middle.items()},
        "levers": len(pulled),
        "levers in plans": round(middle["levers"] / middle["plan"], 1),
        "runs": RUNS,
        "chances in plans": round(middle["chances"] / middle["plan"], 1),
    }


def main() -> None:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    with tempfile.TemporaryDirectory() as folder:
        found = [measured(Path(folder) / f"{name}.sqlite", name, rounds) for name in SAMPLES]
    sys.stdout.write(json.dumps({"rounds": rounds, "samples": found}, indent=2) + "\n")


if __name__ == "__main__":
    main()
