"""Pauses of the event loop with 5,000 parts on the screen, seen by a heartbeat.

Run by hand: ``python -m tests.benchmarks.many_parts``. The project is kept by another process, then
read and planned as any other; a task that should wake every few milliseconds measures by how much
it is late. Ends with 1 where a pause is longer than the goal.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from textual.pilot import Pilot

from finplan.services.samples import load_sample
from finplan.services.session import open_session
from finplan.tui import collector
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle

PARTS = 5_000
MOST_MS = 100.0
BEAT_S = 0.005
NOW = "2026-10-05T17:00+02:00"


class Heart:
    """Beats on the event loop.

    ``late_ms`` is the longest it was kept from beating. Two are in processor time, which other
    programs do not lengthen: ``held_ms``, the most that all threads of this one worked while a beat
    was due, and ``worked_ms``, the most that the loop's own thread worked between two beats.
    """

    def __init__(self) -> None:
        self.late_ms = 0.0
        self.held_ms = 0.0
        self.worked_ms = 0.0

    async def beat(self) -> None:
        """Beat until cancelled."""
        while True:
            due = time.perf_counter() + BEAT_S
            before, own = time.process_time() + BEAT_S, time.thread_time()
            await asyncio.sleep(BEAT_S)
            late_ms = (time.perf_counter() - due) * 1000
            self.worked_ms = max(self.worked_ms, (time.thread_time() - own) * 1000)
            self.held_ms = max(self.held_ms, min((time.process_time() - before) * 1000, late_ms))
            self.late_ms = max(self.late_ms, late_ms)


def many_parts(data: str) -> None:
    """Keep a project of very many parts."""
    with open_session(data, NOW) as session:
        load_sample(session, "oak_door")
        with session.store.unit() as unit:
            project = unit.projects.get("oak_door")
            (part, *_), (batch, *_) = project.parts, project.batches
            parts = tuple(
                replace(
                    part,
                    name=f"slat {number}",
                    quantity=1,
                    length_mm=60.0,
                    width_mm=12.0 + number % 9,
                    thickness_mm=6.0,
                    holes=(),
                )
                for number in range(PARTS)
            )
            shop = unit.workshops.get(project.workshop)
            roomy = tuple(replace(space, rack_area_m2=30.0) for space in shop.spaces)
            unit.workshops.put(replace(shop, spaces=roomy))
            batches = (replace(batch, parts=tuple(one.name for one in parts)),)
            unit.projects.put(replace(project, parts=parts, batches=batches))
            unit.commit()


async def pauses(data: str) -> dict[str, float]:
    """Return the longest pause in milliseconds of each thing a person does."""
    app = FinplanApp(Shop(data, NOW))
    found: dict[str, float] = {}
    async with app.run_test(size=(120, 36)) as pilot:

        async def during(name: str, *keys: str, reload: bool = False) -> None:
            heart = Heart()
            beating = asyncio.create_task(heart.beat())
            await asyncio.sleep(0.05)
            if reload:
                app.reload()
            for key in keys:
                await pilot.press(key)
            await _rest(pilot)
            beating.cancel()
            found[name] = heart.late_ms
            print(  # noqa: T201
                f"{name:<20} late {heart.late_ms:6.1f} ms, held {heart.held_ms:6.1f} ms, "
                f"at work {heart.worked_ms:6.1f} ms",
                flush=True,
            )

        await during("first reading")
        await during("to the project", "3")
        app.screen.query_one("#parts", TableView).focus()
        await during("down and pages", "down", "down", "pagedown", "pagedown", "G", "g")
        await during("search", "slash", *"slat 4", "enter")
        await during("all rows again", "escape")
        await during("reading again", reload=True)
        await during("copy", "y")
    return found


async def _rest(pilot: Pilot[None]) -> None:
    """Wait until nothing is read any more; planning so many parts takes its time."""
    for _ in range(10):
        try:
            await settle(pilot)
        except TimeoutError:
            continue
        await pilot.pause()
        return
    raise TimeoutError("the workers do not come to rest")


def main() -> int:
    """Print the pauses."""
    with tempfile.TemporaryDirectory() as folder:
        data = str(Path(folder) / "shop.sqlite")
        keeping = multiprocessing.get_context("spawn").Process(target=many_parts, args=(data,))
        keeping.start()
        keeping.join()
        collector.rest()  # as the program does
        found = asyncio.run(pauses(data))
    worst = max(found.values())
    print(f"longest pause {worst:.1f} ms (goal {MOST_MS:.0f})")  # noqa: T201
    return int(worst > MOST_MS)


if __name__ == "__main__":
    sys.exit(main())
