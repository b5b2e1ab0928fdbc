"""A key press on the timeline to its painting: 10,000 steps against 100, in one run.

Run by hand: ``python -m tests.benchmarks.timeline_paint``. Ends with 1 where the goal is missed.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import time
from dataclasses import replace

from textual.app import ComposeResult

from finplan.tui.models.timeline import Chart, chart
from finplan.tui.themes import DARK
from finplan.tui.widgets.painter import RoleApp
from finplan.tui.widgets.timeline import Timeline
from tests.tui.demo_plan import DemoPlanned, all_steps, demo_view

MANY_TO_FEW = 1.5
FEW, MANY = 100, 10_000
KEYS = 60


class Alone(RoleApp):
    """The timeline by itself."""

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DARK.variables

    def compose(self) -> ComposeResult:
        yield Timeline(id="timeline")


def laid_out(count: int) -> Chart:
    """The demo's bench over and over, until there are ``count`` steps."""
    view = demo_view()
    steps = []
    number = 0
    while len(steps) < count:
        number += 1
        steps += [
            replace(
                step,
                id=step.id.replace(step.batch, f"{step.batch}{number}", 1),
                batch=f"{step.batch}{number}",
            )
            for step in all_steps()
            if step.project == "locust_bench"
        ]
    plan = replace(view.planned.plan, steps=tuple(steps[:count]))
    own = view.planned
    made = DemoPlanned(plan, own.workshop, own.projects, own.progress, own.finishes)
    return chart(replace(view, planned=made))


async def milliseconds(count: int) -> float:
    """The median time of a key press with all lines drawn after it."""
    app = Alone()
    async with app.run_test(size=(120, 36)) as pilot:
        line = app.query_one(Timeline)
        line.show(laid_out(count))
        await pilot.pause()
        times = []
        for number in range(KEYS):
            start = time.perf_counter()
            line.action_step(1 if number % 2 else -1)
            for y in range(36):
                line.render_line(y)
            times.append(time.perf_counter() - start)
        return statistics.median(times) * 1000


def main() -> int:
    """Print both times and their ratio."""
    few, many = asyncio.run(milliseconds(FEW)), asyncio.run(milliseconds(MANY))
    ratio = many / few
    print(f"{FEW} steps {few:.2f} ms, {MANY} steps {many:.2f} ms, ratio {ratio:.2f}")  # noqa: T201
    return int(ratio > MANY_TO_FEW)


if __name__ == "__main__":
    sys.exit(main())
