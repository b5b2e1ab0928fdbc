"""Time to the first useful screen, as a ratio to a bare Textual app, measured side by side.

Run by hand: ``python -m tests.benchmarks.screen_start [ROUNDS]``. Both programs run on a pseudo
terminal of 80 by 24, taking turns; the clock stops when the words that matter are written to it:
the list of what to do, or the last row of one DataTable in a program that imports sqlmodel as
well. Both run from byte code, as an installed program does, written in one start beforehand.
Medians are compared; ends with 1 where the goal is missed.

Processor time until then is told too, with that of the process that reads the data: finplan uses
two processors at once, so the clock says less of it where they are busy.
"""

from __future__ import annotations

import fcntl
import os
import pty
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

MOST_TIMES_BARE = 1.8
PATIENCE_S = 60.0
ROWS = 15
BARE = f"""
import sqlmodel
from textual.app import App
from textual.widgets import DataTable

class Bare(App):
    def compose(self):
        yield DataTable()

    def on_mount(self):
        table = self.query_one(DataTable)
        table.add_columns("state", "when", "what", "load")
        for number in range({ROWS}):
            table.add_row("planned", "18:30", f"bare row {{number}}", "door")

Bare().run()
"""


def seconds(words: list[str], until: bytes, environment: dict[str, str]) -> tuple[float, float]:
    """Return how long a program took until it wrote some words, by the clock and of processors."""
    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    began = time.perf_counter()
    child = subprocess.Popen(
        words, stdin=follower, stdout=follower, stderr=follower, env=environment
    )
    os.close(follower)
    told = b""
    try:
        while until not in told:
            if time.perf_counter() - began > PATIENCE_S:
                raise TimeoutError(f"{words[:3]} did not write {until!r}")
            told += os.read(leader, 65536)
        by_the_clock = time.perf_counter() - began
    finally:
        child.kill()
        _, child.returncode, used = os.wait4(child.pid, 0)
        os.close(leader)
    return by_the_clock, used.ru_utime + used.ru_stime


def main() -> int:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    finplan = [sys.executable, "-m", "finplan"]
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            **os.environ,
            "HOME": folder,
            "XDG_STATE_HOME": folder,
            "XDG_CONFIG_HOME": folder,
            "TERM": "xterm-256color",
            "PYTHONPYCACHEPREFIX": str(Path(folder) / "byte code"),
        }
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        data = ["--data", str(Path(folder) / "shop.sqlite"), "--now", "2026-10-05T17:00+02:00"]
        subprocess.run([*finplan, *data, "sample", "locust_bench"], check=True, capture_output=True)
        programs = {
            "bare": ([sys.executable, "-c", BARE], f"bare row {ROWS - 1}".encode()),
            "finplan": ([*finplan, *data], b"To do "),
        }
        taken: dict[str, list[tuple[float, float]]] = {name: [] for name in programs}
        for words, until in programs.values():
            seconds(words, until, environment)
        for _ in range(rounds):
            for name, (words, until) in programs.items():
                taken[name].append(seconds(words, until, environment))
    ratios = []
    for number, kind in enumerate(("by the clock", "of processors")):
        middle = {n: statistics.median(one[number] for one in found) for n, found in taken.items()}
        ratios.append(middle["finplan"] / middle["bare"])
        print(  # noqa: T201
            f"{kind}: bare {middle['bare']:.2f} s, finplan {middle['finplan']:.2f} s, "
            f"ratio {ratios[-1]:.2f}"
        )
    print(f"goal: {MOST_TIMES_BARE} by the clock")  # noqa: T201
    return int(ratios[0] > MOST_TIMES_BARE)


if __name__ == "__main__":
    sys.exit(main())
