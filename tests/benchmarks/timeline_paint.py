"""A key press on the timeline's page to its painting: 10,000 steps against 100, in one run.

Run by hand: ``python -m tests.benchmarks.timeline_paint``. What counts is the processor time of the
event loop's thread from the key's action until the page, with the panels beside the chart, is drawn
again; medians, the two taking turns. Ends with 1 where the goal is missed for any key.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from finplan.tui.app import FinplanApp
from finplan.tui.models.view import View
from finplan.tui.widgets.timeline import Timeline
from tests.tui.conftest import settle
from tests.tui.demo_plan import DemoPlanned, all_steps, demo_view
from tests.tui.demo_shop import DemoShop

MANY_TO_FEW = 1.5
FEW, MANY = 100, 10_000
ROUNDS, TURNS = 12, 3
Times = dict[str, list[float]]


def laid_out(count: int) -> View:
    """The demo's bench over and over, until there are ``count`` steps."""
    view = demo_view()
    steps = []
    number = 0
    while len(steps) < count:
        number += 1
        other = partial(_renamed, number=number)
        steps += [other(step) for step in all_steps() if step.project == "locust_bench"]
    plan = replace(view.planned.plan, steps=tuple(steps[:count]))
    own = view.planned
    made = DemoPlanned(plan, own.workshop, own.projects, own.progress, own.finishes)
    return replace(view, planned=made)


def _renamed(step: Any, number: int) -> Any:
    """The step in another batch, waiting for one there."""
    old, new = f"/{step.batch}/", f"/{step.batch}{number}/"
    waits = step.waits_for
    if waits is not None:
        waits = replace(waits, step=waits.step.replace(old, new, 1))
    named = f"{step.batch}{number}"
    return replace(step, id=step.id.replace(old, new, 1), batch=named, waits_for=waits)


def keys(line: Timeline) -> dict[str, tuple[Callable[[], None], ...]]:
    """What a person does, as actions of the chart; the name says what counts for each."""
    in_, out = partial(line.action_zoom, -1), partial(line.action_zoom, 1)
    return {
        "step after and before": (partial(line.action_step, 1), partial(line.action_step, -1)),
        "row down": (partial(line.action_row, 1),),
        "pan": (partial(line.action_pan, 1), partial(line.action_pan, -1)),
        "from an hour to a season": (in_, in_, in_, out, out, out, out, out, in_, in_),
        "to now": (line.action_now,),
        "what it waits for": (line.action_follow, partial(line.action_step, 1)),
    }


async def measure(view: View, times: Times) -> None:
    """Do everything some times over."""
    app = FinplanApp(DemoShop(view))
    async with app.run_test(size=(120, 36)) as pilot:
        await settle(pilot)
        app.switch_mode("timeline")
        await settle(pilot)
        line = app.screen.query_one(Timeline)
        for _ in range(ROUNDS):
            for name, actions in keys(line).items():
                for action in actions:
                    times[name].append(await milliseconds(line, action))


async def milliseconds(line: Timeline, action: Callable[[], None]) -> float:
    """The processor time of this thread until what an action changes is drawn."""
    drawn = asyncio.Event()
    before = time.thread_time()
    action()
    line.screen.call_after_refresh(lambda: line.screen.call_after_refresh(drawn.set))
    await drawn.wait()
    return (time.thread_time() - before) * 1000


def main() -> int:
    """Print all times and their ratios."""
    found: dict[int, Times] = {FEW: defaultdict(list), MANY: defaultdict(list)}
    views = {count: laid_out(count) for count in found}
    for _ in range(TURNS):
        for count, times in found.items():
            asyncio.run(measure(views[count], times))
    worst = 0.0
    for name, taken in found[FEW].items():
        few, many = statistics.median(taken), statistics.median(found[MANY][name])
        worst = max(worst, many / few)
        print(  # noqa: T201
            f"{name:<25} {FEW} steps {few:5.2f} ms, {MANY} steps {many:5.2f} ms, "
            f"ratio {many / few:.2f}"
        )
    print(f"worst ratio {worst:.2f} (goal {MANY_TO_FEW})")  # noqa: T201
    return int(worst > MANY_TO_FEW)


if __name__ == "__main__":
    sys.exit(main())
