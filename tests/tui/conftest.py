"""What every test of the terminal interface needs."""

from __future__ import annotations

import asyncio
import datetime as dt
import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from finplan.tui.app import FinplanApp
from tests.tui.demo_shop import DemoShop

Opened = Callable[..., AbstractAsyncContextManager[Pilot[None]]]

DOOR_AT = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)
"""When the door of the samples was loaded."""


@pytest.fixture(autouse=True)
def messages_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no message go before it is looked at, however busy the machine is."""
    monkeypatch.setattr(FinplanApp, "NOTIFICATION_TIMEOUT", 60.0)


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
    """Wait until nothing is read or written any more, what one worker starts included."""
    quiet = 0
    for _ in range(1000):
        await asyncio.sleep(0.01)
        await pilot.pause(0)
        quiet = 0 if any(not worker.is_finished for worker in pilot.app.workers) else quiet + 1
        if quiet == 3:
            return
    raise TimeoutError("the workers do not come to rest")


def toasts(app: FinplanApp) -> str:
    """All messages that show, joined."""
    return " | ".join(f"{one.title} {one.message}" for one in app._notifications)


@pytest.fixture
def nothing(tmp_path: Path) -> str:
    """Where data may be kept; there is none yet."""
    return str(tmp_path / "house.db")


@pytest.fixture(scope="session")
def built_door(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data of a shop with the door of the samples in it, made once."""
    from finplan.services.samples import load_sample
    from finplan.services.session import open_session

    path = tmp_path_factory.mktemp("door") / "shop.db"
    with open_session(str(path), DOOR_AT) as session:
        load_sample(session, "oak_door")
    return path


@pytest.fixture
def door(built_door: Path, tmp_path: Path) -> str:
    """The data of the shop, to be changed."""
    return str(shutil.copy(built_door, tmp_path / "shop.db"))


@pytest.fixture(scope="session")
def built_jetty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data of a house with two pieces, made once."""
    from tests.tui.upkeep_house import build_house

    path = tmp_path_factory.mktemp("jetty") / "house.db"
    build_house(str(path))
    return path


@pytest.fixture
def jetty(built_jetty: Path, nothing: str) -> str:
    """The data of the house, to be changed."""
    shutil.copy(built_jetty, nothing)
    return nothing
