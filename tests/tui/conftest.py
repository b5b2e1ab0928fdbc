"""What every test of the terminal interface needs."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager

import pytest
from textual.pilot import Pilot

from finplan.tui.app import FinplanApp
from tests.tui.demo import DemoShop

Opened = Callable[..., AbstractAsyncContextManager[Pilot[None]]]


@pytest.fixture
def opened() -> Opened:
    """Open the application on the demo shop and wait until it shows its first view."""

    @asynccontextmanager
    async def open_app(
        shop: DemoShop | None = None, size: tuple[int, int] = (80, 24)
    ) -> AsyncIterator[Pilot[None]]:
        app = FinplanApp(shop or DemoShop())
        app.animation_level = "none"
        async with app.run_test(size=size, notifications=True) as pilot:
            await settle(pilot)
            yield pilot

    return open_app


async def settle(pilot: Pilot[None]) -> None:
    """Wait until nothing is read or written any more."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
