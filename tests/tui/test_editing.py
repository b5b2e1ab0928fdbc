"""A project changed on its screen: the dates follow, and u takes it back."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from textual.widgets import Input

from finplan.trade.steps import StepKind
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.models.measures import Measures
from finplan.tui.models.schedule import step_form
from finplan.tui.shop import Shop
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts
from tests.tui.demo_trade import BENCH

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
async def pilot(door):
    """The project area on a sample, the schedule focused."""
    app = FinplanApp(Shop(door, NOW))
    async with app.run_test(size=(110, 40), notifications=True) as pilot:
        await settle(pilot)
        await pilot.press("3")
        app.screen.query_one("#schedule", TableView).focus()
        await pilot.pause()
        yield pilot


def schedule(pilot) -> TableView:
    return pilot.app.screen.query_one("#schedule", TableView)


def keys(pilot):
    return [step.key for step in pilot.app.view.projects[0].batches[0].steps]


def ready(pilot):
    return pilot.app.view.planned.ready_of("oak_door").safe


async def press(pilot, *pressed):
    await pilot.press(*pressed)
    await settle(pilot)
    await settle(pilot)


async def test_a_whole_coat_is_added_taken_back_and_added_again(pilot):
    before, date = keys(pilot), ready(pilot)
    await press(pilot, "a", "enter")
    assert len(keys(pilot)) > len(before)
    assert ready(pilot) > date
    assert "a coat more" in toasts(pilot.app) and "Ready" in toasts(pilot.app)
    await press(pilot, "u")
    assert (keys(pilot), ready(pilot)) == (before, date)
    assert "undone: door: a coat more" in toasts(pilot.app)
    await press(pilot, "r")
    assert len(keys(pilot)) > len(before)


async def test_a_single_step_is_asked_for_and_comes_behind_the_marked_one(pilot):
    schedule(pilot).go_to("door/sand")
    await press(pilot, "a")
    choice = pilot.app.screen.query_one("#field-kind", Choice)
    while pilot.app.screen.texts["kind"] != StepKind.CLEAN.value:
        choice.action_turn(1)
        await pilot.pause()
    await press(pilot, "enter")
    assert isinstance(pilot.app.screen, FormDialog)
    pilot.app.screen.query_one("#field-title", Input).value = "Brush the slots out"
    await press(pilot, "enter")
    own = keys(pilot)
    added = own[own.index("sand") + 1]
    assert schedule(pilot).key == f"door/{added}"
    assert "Brush the slots out added" in toasts(pilot.app)


async def test_a_step_moves_and_the_cursor_with_it(pilot):
    first, second = keys(pilot)[:2]
    schedule(pilot).go_to(f"door/{first}")
    await press(pilot, "J")
    assert keys(pilot)[:2] == [second, first]
    assert schedule(pilot).key == f"door/{first}"
    await press(pilot, "K")
    assert keys(pilot)[:2] == [first, second]
    await press(pilot, "K")
    assert "the first already" in toasts(pilot.app)


async def test_a_step_is_taken_out_and_brought_back(pilot):
    before = keys(pilot)
    schedule(pilot).go_to("door/sand")
    await press(pilot, "x")
    assert "sand" not in keys(pilot)
    await press(pilot, "u")
    assert keys(pilot) == before


async def test_what_cannot_be_done_is_refused_with_a_sentence_and_changes_nothing(pilot):
    before = keys(pilot)
    turn = next((key for key in before if key.startswith("turn")), None)
    assert turn is not None, "the sample turns its door"
    schedule(pilot).go_to(f"door/{turn}")
    await press(pilot, "x")
    assert "put a turn before" in toasts(pilot.app)
    assert keys(pilot) == before


async def test_each_step_shows_its_day_and_the_title_when_all_is_ready(pilot):
    rows = schedule(pilot).to_copy()().splitlines()
    assert rows[0].split("\t")[2] == "date"
    assert all(row.split("\t")[2] for row in rows[1:])
    assert "ready" in str(pilot.app.screen.query_one("#schedule-panel").border_title)


async def test_parts_are_added_and_taken_out(pilot):
    pilot.app.screen.query_one("#parts", TableView).focus()
    await press(pilot, "a")
    form = pilot.app.screen
    form.query_one("#field-name", Input).value = "ledge"
    form.query_one("#field-size", Input).value = "500 x 60 x 20 mm"
    form.query_one("#field-wood", Input).value = "white oak"
    await press(pilot, "enter")
    project = pilot.app.view.projects[0]
    assert "ledge" in [part.name for part in project.parts]
    assert "ledge" in project.batches[0].parts
    pilot.app.screen.query_one("#parts", TableView).go_to("ledge")
    await press(pilot, "x")
    assert "ledge" not in [part.name for part in pilot.app.view.projects[0].parts]
    await press(pilot, "u")
    assert "ledge" in pilot.app.view.projects[0].batches[0].parts


def test_minutes_are_asked_for_in_the_units_of_the_screen():
    from finplan.trade.quantities import M2_PER_FT2, Units

    step = replace(BENCH.batches[0].steps[0], minutes_per_m2=12.0)
    form = step_form("Step", "slats", step, (), Measures(Units.IMPERIAL))
    field = next(one for one in form.fields if one.key == "minutes_per_m2")
    assert (field.label, field.initial) == ("Each ft²", "1.1")
    assert field.read("1.1")[0] == 12.0, "unchanged is unchanged"
    assert field.read("2")[0] == pytest.approx(2 / M2_PER_FT2)
    assert "min each ft²" in field.read("2")[1]
