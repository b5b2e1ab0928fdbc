"""Render screens to PNG, to be looked at: python -m tests.tui.render_screens FOLDER [AREA…].

Needs chromium to turn Textual's SVG into PNG.
"""

from __future__ import annotations

import asyncio
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from finplan.tui.app import FinplanApp
from finplan.tui.reading_app import REST_S
from finplan.tui.shop import Shop
from tests.tui.demo_shop import DemoShop

SIZES = ((80, 24), (120, 36), (160, 48))
SCENES: dict[str, tuple[str, ...]] = {
    "bench": (),
    "timeline": ("2",),
    "project": ("3",),
    "coats": ("4",),
    "journal": ("5",),
    "air": ("6",),
    "finishes": ("7",),
    "upkeep": ("8",),
    "upkeep-look": ("8", "c"),
    "upkeep-done": ("8", "d"),
    "upkeep-install": ("8", "i"),
    "upkeep-change": ("8", "e"),
    "upkeep-block": ("8", "b"),
    "upkeep-care": ("8", "s"),
    "upkeep-all": ("8", "v"),
    "upkeep-ten": ("8", "x"),
    "upkeep-light": ("8", "f9"),
    "empty-upkeep": ("8",),
    "empty-install": ("8", "i"),
    "workshop": ("S",),
    "workshop-rooms": ("S", "tab", "tab"),
    "workshop-hours": ("S", "e"),
    "workshop-off": ("S", "o"),
    "workshop-room": ("S", "tab", "tab", "e"),
    "workshop-light": ("S", "f9"),
    "empty-workshop": ("S",),
    "start": ("N",),
    "new": ("N", "enter"),
    "done": ("d",),
    "check": ("c",),
    "step": ("enter",),
    "date": ("3", "D"),
    "date-light": ("3", "f9", "D"),
    "help": ("question_mark",),
    "palette": ("p",),
    "empty": (),
    "empty-new": ("enter",),
    "light": ("f9",),
    "light-timeline": ("2", "f9"),
}


async def picture(shop: Shop, keys: tuple[str, ...], size: tuple[int, int]) -> str:
    """Return the SVG of the screen after some keys."""
    app = FinplanApp(shop)
    app.animation_level = "none"
    async with app.run_test(size=size, notifications=True) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        for key in keys:
            await pilot.press(key)
        await asyncio.sleep(2 * REST_S)  # a best time is looked for once the cursor rests
        await app.workers.wait_for_complete()
        await pilot.pause()
        return app.export_screenshot()


def to_png(svg: str, path: Path) -> None:
    """Write the SVG as a PNG of its own size, with a font of this machine."""
    svg = re.sub(r"@font-face\s*{[^}]*}", "", svg)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert box is not None
    width, height = (round(float(box[i])) for i in (1, 2))
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "page.html"
        page.write_text(f'<body style="margin:0;background:#000">{svg}</body>', encoding="utf-8")
        subprocess.run(
            [
                "chromium",
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--hide-scrollbars",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                f"--user-data-dir={folder}/user",
                f"--window-size={width},{height}",
                f"--screenshot={path}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
            timeout=120,
        )


def main() -> None:
    """Render the scenes asked for, in all sizes."""
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    sizes = SIZES
    names = [name for name in sys.argv[2:] if name in SCENES] or list(SCENES)
    wanted = [tuple(map(int, name.split("x"))) for name in sys.argv[2:] if "x" in name]
    data = next((name[5:] for name in sys.argv[2:] if name.startswith("data=")), None)
    now = next((name[4:] for name in sys.argv[2:] if name.startswith("now=")), None)
    units = next((name[6:] for name in sys.argv[2:] if name.startswith("units=")), None)
    for name in names:
        for size in wanted or sizes:
            shop = Shop(data, now, units) if data else DemoShop()
            if name.startswith("empty"):
                shop = Shop(f"{folder}/empty.db", "2026-10-13T18:40:00+02:00")
            svg = asyncio.run(picture(shop, SCENES[name], size))
            path = folder / f"{name}-{size[0]}x{size[1]}.png"
            to_png(svg, path)
            print(path)  # noqa: T201


if __name__ == "__main__":
    main()
