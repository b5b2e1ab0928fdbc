"""Make the pictures of the README from the samples: ``python -m tests.tools.pictures``.

The three sample projects are worked through by the plan until a Friday evening; then the terminal
interface and the chart of the plan are drawn as they stand. Takes about a minute.
"""

from __future__ import annotations

import asyncio
import datetime as dt
import re
import tempfile
from pathlib import Path

from finplan.services.prints import write_plan_chart
from finplan.services.samples import load_sample, samples
from finplan.services.session import open_session
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from tests.tools.working import work_until

PICTURES = Path(__file__).resolve().parents[2] / ".ci" / "pictures"
SEEN_AT = dt.datetime.fromisoformat("2026-10-16T18:42+02:00")
SIZE = (120, 30)
SAMPLES = ("beech_worktop", "locust_bench", "oak_door")
"""Those of one workshop: one picture shows one plan."""


async def screenshot(data: str) -> str:
    """Return the first screen as SVG, without fonts fetched from elsewhere."""
    app = FinplanApp(Shop(data, SEEN_AT))
    app.animation_level = "none"
    async with app.run_test(size=SIZE) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        svg = app.export_screenshot(title="finplan")
    svg = re.sub(r"@font-face\s*{[^}]*}", "", svg)
    svg = re.sub(r"terminal-\d+", "terminal", svg)  # else a new number at every run
    return svg.replace("Fira Code", "DejaVu Sans Mono")


def main() -> None:
    """Write all pictures."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        data = str(Path(folder) / "boathouse.sqlite")
        told = [sample for sample in samples() if sample.name in SAMPLES]
        begins = min(sample.as_of for sample in told if sample.as_of is not None)
        with open_session(data, begins) as session:
            for name in SAMPLES:
                load_sample(session, name)
        work_until(data, begins, SEEN_AT, list(SAMPLES))
        with open_session(data, SEEN_AT) as session:
            write_plan_chart(session, SAMPLES, PICTURES / "plan.svg")
        (PICTURES / "terminal.svg").write_text(asyncio.run(screenshot(data)), encoding="utf-8")


if __name__ == "__main__":
    main()
