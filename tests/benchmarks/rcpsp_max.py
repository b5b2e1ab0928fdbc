"""Runs the network core on a folder of ``.sch`` files.

    python tests/benchmarks/rcpsp_max.py FOLDER --seconds 10 --json

``rcpsp_max_against.py`` runs it beside other solvers.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from finplan.planning.lags import schedule
from finplan.trade.errors import BadInput
from tests.benchmarks.sch import instances


def main() -> int:
    """Solve every instance and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--first", type=int, default=None, help="only the first so many")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    try:
        read = instances(asked.folder, asked.first)
    except BadInput as fault:
        sys.stderr.write(f"{fault}\n")
        return 2
    solved = []
    for name, network in read:
        begun = time.perf_counter()
        answer = schedule(network, asked.seconds, asked.workers)
        solved.append(
            {
                "name": name,
                "status": answer.status,
                "makespan": answer.makespan,
                "bound": answer.bound,
                "seconds": round(time.perf_counter() - begun, 4),
            }
        )
        if not asked.json:
            sys.stdout.write(" ".join(str(value) for value in solved[-1].values()) + "\n")
            sys.stdout.flush()
    if asked.json:
        sys.stdout.write(json.dumps({"instances": solved}, indent=2) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
