"""How long a finish takes, asked and answered on screen."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.widgets import Input, Static

from finplan.services.dry import dry
from finplan.services.session import open_session
from finplan.services.what_if import WhatIf
from finplan.tui.app import FinplanApp
from finplan.tui.commands import Actions
from finplan.tui.dialogs.how_long import HowLong
from finplan.tui.models.air import spaces_of
from finplan.tui.models.words import GOVERNS
from finplan.tui.screens.finishes import FinishesPage
from finplan.tui.shop import Shop
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)
OIL = "penetrating oil"


@pytest.fixture
def data(door):
    return door


async def asking(pilot, **fields):
    """Open the question on the oil where it is not open yet, fill it in, and take the answer."""
    if not isinstance(pilot.app.screen, HowLong):
        await pilot.press("7")
        await settle(pilot)
        pilot.app.screen.query_one("#finishes", TableView).go_to(OIL)
        await pilot.press("h")
        await settle(pilot)
    for key, text in fields.items():
        pilot.app.screen.query_one(f"#field-{key}", Input).value = text
    await pilot.press("enter")
    await settle(pilot)
    return str(pilot.app.screen.query_one("#how-long", Static).content)


def line_for(data, **question):
    with open_session(data, NOW) as session:
        return dry(session, OIL, **question).in_one_line


async def test_cold_and_damp_then_what_if_it_were_heated(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        cold = await asking(pilot, temperature_c="9 C", humidity_percent="85")
        heated = await asking(pilot, heat_to_c="18 C")
    air = (9.0, 85.0)
    assert cold.startswith(f"{line_for(data, constant=air)}. {GOVERNS}\n")
    warm = line_for(data, constant=air, what_if=WhatIf(heat_to_c=18.0))
    assert heated.startswith(f"{warm}. {GOVERNS}\n")
    assert warm != line_for(data, constant=air)
    assert "heated to 18 °C" in heated


async def test_without_air_it_is_the_room_s_and_wet_wood_is_told(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        room = await asking(pilot)
        space = spaces_of(app.view)[0]
        assert room.startswith(line_for(data, space=space))
        assert f"air of {space}" in room
        assert "22 % moisture by the meter" in await asking(pilot, wood_percent="22")


async def test_half_of_an_air_or_nonsense_is_refused_in_words(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "both temperature and humidity" in await asking(pilot, temperature_c="9 C")
        before = await asking(pilot, temperature_c="warm")
        fault = str(app.screen.query_one("#form-fault", Static).content)
        assert "✗ Air" in fault and "both temperature" in before
        await pilot.press("escape")
        await settle(pilot)
        assert isinstance(app.screen, FinishesPage)


async def test_the_palette_has_it(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await pilot.press("7")
        await settle(pilot)
        words = {hit.text async for hit in Actions(app.screen).discover()}
    assert "Here: How long" in words
