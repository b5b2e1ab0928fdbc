"""Opening every form, and going to every area the first time, against a bare Textual screen.

Run by hand: ``python -m tests.benchmarks.screens_opened [ROUNDS]``. What counts is the processor
time of the event loop's thread until all shows, which other programs lengthen little; the bare
screen has as many Inputs as the form has fields, or the area has panels, and takes turns with it.
Medians are compared; forms are opened again and again, an area shows once in each run.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from textual.app import App, ComposeResult
from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input

from finplan.services.samples import load_sample, samples
from finplan.services.session import open_session
from finplan.tui import collector
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.screens.pages import PAGES
from finplan.tui.shop import Shop
from finplan.tui.widgets.painter import Painter
from tests.tui.conftest import settle

NOW = "2026-10-05T17:00+02:00"
SIZE = (120, 36)
AGAIN = 3
FORMS = {
    "step done": ("1", "d"),
    "step left out": ("1", "s"),
    "hour wished": ("2", "e"),
    "part": ("3", "tab", "e"),
    "step of the schedule": ("3", "tab", "e"),
    "kind of step": ("3", "a"),
    "cut list": ("3", "i"),
    "note": ("5", "m"),
    "reading": ("6", "a"),
    "how long": ("7", "h"),
    "piece put to use": ("8", "i"),
    "piece changed": ("8", "e"),
    "upkeep done": ("8", "d"),
    "new project": ("N", "enter"),
}
Times = dict[str, list[float]]


class Bare(ModalScreen[None]):
    """A screen of Inputs and nothing else."""

    def __init__(self, fields: int) -> None:
        super().__init__()
        self._fields = fields

    def compose(self) -> ComposeResult:
        with VerticalScroll():
            for _ in range(self._fields):
                yield Input("as it was", compact=True)


async def milliseconds(app: App[Any], show: Callable[[], object]) -> float:
    """The processor time of this thread until what ``show`` brings up is drawn."""
    drawn = asyncio.Event()
    before = time.thread_time()
    show()
    app.screen.call_after_refresh(lambda: app.screen.call_after_refresh(drawn.set))
    await drawn.wait()
    taken = (time.thread_time() - before) * 1000
    await asyncio.sleep(0.2)
    return taken


async def of_finplan(data: str, times: Times, sizes: dict[str, int]) -> None:
    """Go to every area, then open every form."""
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=SIZE) as pilot:
        await settle(pilot)
        for area in PAGES:
            if area != app.current_mode:
                times[area].append(await milliseconds(app, partial(app.switch_mode, area)))
                await settle(pilot)
            sizes[area] = sum(node.size.height > 0 for node in app.screen.query(Painter))
        for name, keys in FORMS.items():
            form = await form_behind(pilot, keys)
            sizes[name] = len(form.form.fields)
            for _ in range(AGAIN):
                again = FormDialog(form.form, app.memory)
                times[name].append(await milliseconds(app, partial(app.push_screen, again)))
                again.dismiss(None)
                await settle(pilot)


async def form_behind(pilot: Pilot[None], keys: tuple[str, ...]) -> FormDialog:
    """Return the form some keys open, closed again."""
    for key in keys:
        await pilot.press(key)
    await settle(pilot)
    form = pilot.app.screen
    assert isinstance(form, FormDialog), keys
    form.dismiss(None)
    await settle(pilot)
    return form


async def of_bare(sizes: set[int], times: dict[int, list[float]]) -> None:
    """Open bare screens."""
    app: App[None] = App()
    async with app.run_test(size=SIZE):
        for size in sizes:
            for _ in range(AGAIN):
                bare = Bare(size)
                times[size].append(await milliseconds(app, partial(app.push_screen, bare)))
                bare.dismiss(None)
                await asyncio.sleep(0.1)


def main() -> int:
    """Print the times and their ratios."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    times: Times = defaultdict(list)
    bare: dict[int, list[float]] = defaultdict(list)
    sizes: dict[str, int] = {}
    collector.rest()  # as the program does
    with tempfile.TemporaryDirectory() as folder:
        data = str(Path(folder) / "shop.sqlite")
        with open_session(data, NOW) as session:
            for sample in samples():
                load_sample(session, sample.name)
        for _ in range(rounds):
            asyncio.run(of_finplan(data, times, sizes))
            asyncio.run(of_bare(set(sizes.values()), bare))
    ratios = []
    for name, taken in times.items():
        own, other = statistics.median(taken), statistics.median(bare[sizes[name]])
        ratios.append(own / other)
        print(  # noqa: T201
            f"{name:<22} {sizes[name]:2} {own:6.1f} ms, bare {other:6.1f} ms, "
            f"{ratios[-1]:.2f} times"
        )
    print(f"median {statistics.median(ratios):.2f} times, most {max(ratios):.2f}")  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main())
