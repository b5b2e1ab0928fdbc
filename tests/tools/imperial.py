"""What no output may hold where imperial units are asked for, and samples to look at."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from pathlib import Path

from finplan.cli.app import main
from tests.tools.working import work_until

NAMES = ("beech_worktop", "locust_bench", "oak_door")
BEGINS = dt.datetime.fromisoformat("2026-10-05T17:00+02:00")
LATER = dt.datetime.fromisoformat("2026-10-16T18:45+02:00")

METRIC = re.compile(r"m²|°C|\d[ \N{NO-BREAK SPACE}]?(?:mm|cm|m|ml|l|L|litres?)\b|\blitres?\b")
"""A unit of the metric system where a reader would meet it. Hours, minutes, % and Pa are both's."""

CAN = re.compile(r"× ?[\d.]+ (L|ml) \((?=[\d.]+ (gal|fl oz)\))")
"""The size that stands on a can, with the other unit behind it."""


def metric_lines(lines: Iterable[str]) -> list[str]:
    """Return the lines in which a metric unit stands alone."""
    return [line for line in lines if METRIC.search(CAN.sub("", line))]


def worked_samples(folder: Path) -> str:
    """All samples, eleven days of work done, and a piece in use; return the database."""
    data = str(folder / "one.sqlite")

    def run(*words: str, now: dt.datetime = BEGINS) -> None:
        assert main(["--data", data, "--now", now.isoformat(), *words]) == 0

    for name in NAMES:
        run("sample", name)
    work_until(data, BEGINS, LATER, NAMES)
    run(
        "install", "jetty_steps", "--finish", "penetrating oil", "--area", "26ft2", "--place",
        "boathouse", "--installed", "2026-04-01", "--exposed", "flat", "--season", "apr-oct",
        now=LATER,
    )  # fmt: skip
    measured = ("--amount", "12 fl oz", "--temp", "59F", "--rh", "61")
    run("record", "coat", "locust_bench", *measured, now=LATER)
    return data
