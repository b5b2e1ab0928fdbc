"""The ranges the timeline shows are looked for once, and no longer once the plan is another."""

from __future__ import annotations

import time

from tests.tui.conftest import settle
from tests.tui.demo_shop import DemoShop

PATIENCE_S = 60.0


class LongRanges(DemoShop):
    """Looks for ranges until it is stopped."""

    def __init__(self):
        super().__init__()
        self.asked = 0
        self.stopped = 0

    def ranges(self, made, stopped):
        self.asked += 1
        if self.asked > 1:
            return super().ranges(made, stopped)
        end_s = time.monotonic() + PATIENCE_S
        while not stopped() and time.monotonic() < end_s:
            time.sleep(0.01)
        self.stopped += stopped()
        return {}


async def test_the_same_plan_is_asked_for_once(opened):
    shop = DemoShop()
    asked = []
    shop.ranges = lambda made, stopped: asked.append(made) or {}
    async with opened(shop) as pilot:
        for key in ("2", "1", "2"):
            await pilot.press(key)
            await settle(pilot)
    assert len(asked) == 1


async def test_another_plan_stops_the_search_and_has_its_own(opened):
    shop = LongRanges()
    async with opened(shop) as pilot:
        await pilot.press("2")
        assert shop.asked == 1
        shop.record(next(step for step in pilot.app.view.steps if not step.done), {})
        pilot.app.reload()
        await settle(pilot)
        await settle(pilot)
        assert (shop.asked, shop.stopped) == (2, 1)
        assert pilot.app.ranges
