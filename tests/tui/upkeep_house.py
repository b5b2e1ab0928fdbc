"""A house with two pieces in use, and what the tests of its upkeep do with the application."""

from __future__ import annotations

import datetime as dt
from contextlib import asynccontextmanager

from textual.widgets import Input

from finplan.services.installing import install_said
from finplan.services.session import open_session
from finplan.services.upkeep import seen_pieces
from finplan.tui.app import FinplanApp
from finplan.tui.models.paint import join
from finplan.tui.settings import Memory
from finplan.tui.shop import Shop
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle

NOW = dt.datetime(2026, 10, 14, 16, 42, tzinfo=dt.UTC)
TOLD_S = 600.0
"""How long a message stays: longer than a test takes on a busy machine."""


def build_house(data):
    """Two pieces at one place."""
    with open_session(data, NOW) as session:
        for name, title in (("steps", "Steps of the jetty"), ("rail", "Rail of the jetty")):
            said = {
                "title": title, "place": "Lake house", "finish": "penetrating oil",
                "area_m2": 2.4, "installed": dt.date(2026, 4, 1), "zone": "Europe/Oslo",
            }  # fmt: skip
            install_said(session, name, said, None, change=False)


@asynccontextmanager
async def started(shop, size=(100, 30), memory=None):
    """The application on a shop once it shows: the application, and who presses its keys."""
    app = FinplanApp(shop, memory or Memory())
    app.NOTIFICATION_TIMEOUT = TOLD_S
    async with app.run_test(size=size, notifications=True) as pilot:
        await settle(pilot)
        yield app, pilot


@asynccontextmanager
async def upkeep(data, piece="", memory=None, size=(100, 30)):
    """The same at the upkeep, the cursor on a piece."""
    async with started(Shop(data, NOW), size, memory) as (app, pilot):
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to(piece)
        yield app, pilot


def pieces(data):
    with open_session(data, NOW) as session:
        return {one.piece.name: one for one in seen_pieces(session)}


def write(app, **texts):
    for key, text in texts.items():
        app.screen.query_one(f"#field-{key}", Input).value = text


def pick(app, key, times):
    choice = app.screen.query_one(f"#field-{key}", Choice)
    for _ in range(times):
        choice.action_turn(1)


def about_piece(app):
    return join(app.screen.query_one("#piece", Lines).in_full(80))
