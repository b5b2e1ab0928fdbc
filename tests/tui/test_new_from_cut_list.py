"""A project from a cut list, from the first start to its plan, with the keyboard alone."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.widgets import Input

from finplan.services.session import open_session
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.screens.start import StartPage
from finplan.tui.shop import Shop
from finplan.tui.widgets.fields import Fields
from finplan.tui.widgets.table_view import TableView
from tests.cli.conftest import CUT_LIST
from tests.tui.conftest import settle

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def data(tmp_path):
    return str(tmp_path / "shop.db")


@pytest.fixture
def app(data):
    return FinplanApp(Shop(data, NOW, zone="Europe/Vienna"))


def echo(app, key):
    return app.screen.query_one(Fields).echo(key)


async def write(pilot, words):
    """Type into the field that has the focus and go on to the next."""
    assert isinstance(pilot.app.focused, Input)
    pilot.app.focused.value = ""
    for letter in words:
        pilot.app.focused.insert_text_at_cursor(letter)
        await pilot.pause(0)
    await pilot.press("tab")


async def test_from_the_start_screen_to_the_plan(app, data, tmp_path):
    cut_list = tmp_path / "parts.csv"
    cut_list.write_text(CUT_LIST)
    async with app.run_test(size=(100, 40), notifications=True) as pilot:
        await settle(pilot)
        assert isinstance(app.screen, StartPage)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, FormDialog)
        assert app.focused.id == "field-title"
        await write(pilot, "Seat for the landing stage")
        assert app.focused.id == "field-cut_list"
        await write(pilot, str(cut_list))
        assert "12 pieces: slat, leg" in echo(app, "cut_list")
        before = app.screen.texts["job"]
        await pilot.press("right")
        job = app.screen.texts["job"]
        assert job != before
        for _ in range(20):
            if app.focused.id == "field-in_service_by":
                break
            await pilot.press("tab")
        await write(pilot, "20 Dec")
        assert "Sun 20 Dec 2026" in echo(app, "in_service_by")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        (project,) = app.view.projects
        assert project.title == "Seat for the landing stage"
        assert [(part.name, part.quantity) for part in project.parts] == [("slat", 8), ("leg", 4)]
        assert project.in_service_by == dt.date(2026, 12, 20)
        assert app.current_mode == "bench"
        assert app.screen.query_one("#todo", TableView).key.startswith(project.name)
        await pilot.press("3")
        await settle(pilot)
        steps = app.screen.query_one("#schedule", TableView).to_copy()()
        assert "Coat 1" in steps
    with open_session(data, NOW) as session, session.store.unit(writes=False) as unit:
        assert list(unit.projects.names()) == [project.name]


async def test_a_fault_in_the_list_is_said_in_the_form_and_mended_there(app, tmp_path):
    cut_list = tmp_path / "parts.csv"
    cut_list.write_text(CUT_LIST.replace("slat,8", "slat,x"))
    async with app.run_test(size=(100, 40), notifications=True) as pilot:
        await settle(pilot)
        await pilot.press("down", "enter")
        await pilot.pause()
        await write(pilot, "Rack")
        await write(pilot, str(cut_list))
        await pilot.press("enter")
        await settle(pilot)
        assert isinstance(app.screen, FormDialog)
        fault = str(app.screen.query_one("#form-fault").content)
        assert "parts.csv" in fault and "row 2" in fault and "quantity" in fault
        assert app.view.projects == ()
        cut_list.write_text(CUT_LIST)
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert [one.title for one in app.view.projects] == ["Rack"]
