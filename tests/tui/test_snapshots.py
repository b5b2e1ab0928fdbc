"""Pictures of the screens; look at the report before taking new ones."""

from __future__ import annotations

import asyncio
import sys

import pytest

from finplan.tui.app import FinplanApp
from finplan.tui.reading_app import REST_S
from finplan.tui.settings import Chosen
from tests.tui.conftest import settle
from tests.tui.demo_shop import DemoShop

pytestmark = pytest.mark.skipif(
    sys.version_info[:2] != (3, 11), reason="pictures are kept for one Python alone"
)

AREAS = {
    "bench": (),
    "timeline": ("2",),
    "project": ("3",),
    "coats": ("4",),
    "journal": ("5",),
    "air": ("6",),
    "finishes": ("7",),
    "upkeep": ("8",),
    "start": ("N",),
}
DARK = [(area, size, keys) for area, keys in AREAS.items() for size in ((80, 24), (120, 36))] + [
    ("done", (80, 24), ("d",)),
    ("step", (80, 24), ("enter",)),
    ("help", (80, 24), ("question_mark",)),
    ("workshop", (80, 24), ("S",)),
    ("workshop", (200, 50), ("S",)),
    ("workshop-hours", (80, 24), ("S", "e")),
]
LIGHT = [
    ("bench", (80, 24), ()),
    ("timeline", (120, 36), ("2",)),
    ("coats", (120, 36), ("4",)),
    ("upkeep", (120, 36), ("8",)),
    ("workshop", (200, 50), ("S",)),
]


def name(scene):
    return f"{scene[0]}-{scene[1][0]}x{scene[1][1]}"


def app_in(colours):
    app = FinplanApp(DemoShop(), chosen=Chosen(colours=colours))
    app.animation_level = "none"
    return app


def compare(snap_compare, scene, colours):
    area, size, keys = scene

    async def ready(pilot):
        await settle(pilot)
        for key in keys:
            await pilot.press(key)
        if area == "upkeep":  # a best time is looked for once the cursor rests
            await asyncio.sleep(2 * REST_S)
        await settle(pilot)
        for field in pilot.app.screen.query("Input"):
            field.cursor_blink = False
        await pilot.pause()

    assert snap_compare(app_in(colours), terminal_size=size, run_before=ready)


@pytest.mark.parametrize("scene", DARK, ids=name)
def test_dark(snap_compare, scene):
    compare(snap_compare, scene, "lamp")


@pytest.mark.parametrize("scene", LIGHT, ids=name)
def test_light(snap_compare, scene):
    compare(snap_compare, scene, "daylight")
