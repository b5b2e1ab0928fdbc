"""How long finplan takes to start, as a ratio to bare Python with click, measured side by side.

Run: ``python -m tests.benchmarks.start_speed [ROUNDS]``. Prints JSON. The runs take turns,
so that a busy machine slows all of them alike; medians are compared.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

BARE = """
import click
@click.group()
def root(): pass
@root.command()
def verb(): pass
root(["--help"])
"""


def seconds(words: list[str]) -> float:
    """Return how long one program ran."""
    began = time.perf_counter()
    subprocess.run(words, check=True, capture_output=True, timeout=120)
    return time.perf_counter() - began


def main() -> None:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    finplan = [sys.executable, "-m", "finplan"]
    with tempfile.TemporaryDirectory() as folder:
        data = ["--data", str(Path(folder) / "boathouse.sqlite"), "--now", "2026-10-05T17:00+02:00"]
        subprocess.run([*finplan, *data, "sample", "locust_bench"], check=True, capture_output=True)
        programs = {
            "bare python and click": [sys.executable, "-c", BARE],
            "finplan --help": [*finplan, "--help"],
            "finplan dry": [*finplan, *data, "dry", "hardwax oil", "--temp", "12", "--rh", "70"],
            "finplan projects": [*finplan, *data, "projects"],
            "finplan plan": [*finplan, *data, "plan", "locust_bench"],
        }
        taken: dict[str, list[float]] = {name: [] for name in programs}
        for _ in range(rounds):
            for name, words in programs.items():
                taken[name].append(seconds(words))
    middle = {name: statistics.median(found) for name, found in taken.items()}
    bare = middle["bare python and click"]
    result = {
        "rounds": rounds,
        "median_seconds": {name: round(value, 3) for name, value in middle.items()},
        "times_bare": {name: round(value / bare, 2) for name, value in middle.items()},
    }
    sys.stdout.write(json.dumps(result, indent=2) + "\n")


if __name__ == "__main__":
    main()
