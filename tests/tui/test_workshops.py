"""Several workshops in one database: one shows, and another is a key away."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from textual.widgets import Input

from finplan.services.record import add_note
from finplan.services.session import open_session
from finplan.services.workshops import change_workshop, with_hours
from finplan.trade.work_hours import parse_hours
from finplan.tui.app import FinplanApp
from finplan.tui.commands import Actions
from finplan.tui.settings import Memory
from finplan.tui.shop import Shop
from finplan.tui.widgets.top_bar import TopBar
from tests.tui.conftest import settle, toasts

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def data(door):
    """Two workshops with a project each."""
    with open_session(door, NOW) as session:
        with session.store.unit() as unit:
            project = unit.projects.get("oak_door")
            shop = unit.workshops.get(project.workshop)
            unit.workshops.put(replace(shop, name="barn"))
            other = replace(project, name="gate", title="Gate", workshop="barn",
                            uid=type(project.uid)(int=9))  # fmt: skip
            unit.projects.put(other)
            unit.commit()
        add_note(session, "oak_door", "about the door")
    return door


def shown(app):
    return app.view.planned.workshop.name, [project.name for project in app.view.projects]


async def test_a_key_goes_to_the_next_workshop_and_a_restart_keeps_it(data, tmp_path):
    memory = tmp_path / "terminal.json"
    app = FinplanApp(Shop(data, NOW), Memory(memory))
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        await settle(pilot)
        first = shown(app)
        await pilot.press("W")
        await settle(pilot)
        second = shown(app)
        assert sorted([first, second])[0] == ("barn", ["gate"])
        assert f"Workshop: {second[0]}" in toasts(app)
        bar = app.screen.query_one(TopBar)
        assert second[0] in "".join(segment.text for segment in bar.render_line(0))
    again = FinplanApp(Shop(data, NOW), Memory(memory))
    async with again.run_test(size=(120, 36)) as pilot:
        await settle(pilot)
        assert shown(again) == second


async def test_hours_are_those_of_the_workshop_that_shows(data):
    with open_session(data, NOW) as session, session.store.unit() as unit:
        unit.workshops.put(replace(unit.workshops.get("barn"), zone="America/St_Johns"))
        unit.commit()
    app = FinplanApp(Shop(data, NOW))
    hours = {"barn": "14:30", "boathouse workshop": "19:00"}
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        for _ in range(3):
            name, _projects = shown(app)
            bar = app.screen.query_one(TopBar)
            assert hours.pop(name, "") in "".join(part.text for part in bar.render_line(0))
            await pilot.press("W")
            await settle(pilot)
    assert not hours


async def test_the_palette_names_every_workshop_and_project(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        words = {hit.text async for hit in Actions(app.screen).discover()}
        assert {"Workshop: barn", "Next workshop"} <= words
        app.action_workshop("barn")
        await settle(pilot)
        words = {hit.text async for hit in Actions(app.screen).discover()}
        assert "Project: Gate" in words


async def test_the_journal_and_undo_keep_to_the_workshop_that_shows(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        app.action_workshop("barn")
        await settle(pilot)
        assert app.view.entries == ()
        await pilot.press("u")
        await settle(pilot)
        assert "nothing to undo" in toasts(app)


async def test_hours_changed_elsewhere_are_undone_and_done_again(data):
    mornings = parse_hours("mon-fri 8-12")
    with open_session(data, NOW + dt.timedelta(minutes=5)) as session:
        change_workshop(session, "barn", [with_hours(None, mornings)])
    app = FinplanApp(Shop(data, NOW + dt.timedelta(minutes=10)))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        app.action_workshop("barn")
        await settle(pilot)
        (person,) = app.view.planned.workshop.people
        assert person.windows == mornings
        for key, word in (("u", "undone"), ("r", "done again")):
            await pilot.press(key)
            await settle(pilot)
            assert f"{word}: hours of {person.name}" in toasts(app)
            (now,) = app.view.planned.workshop.people
            assert (now.windows == mornings) == (key == "r")


@pytest.mark.parametrize("other", [False, True])
async def test_a_new_project_goes_to_the_workshop_that_shows_or_the_one_chosen(data, other):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 36), notifications=True) as pilot:
        await settle(pilot)
        here = next(name for name in app.view.workshops if name != shown(app)[0])
        app.action_workshop(here)
        await settle(pilot)
        await pilot.press("N", "enter")
        await pilot.pause()
        app.screen.query_one("#field-title", Input).value = "Stool"
        app.screen.query_one("#field-size", Input).value = "430 x 60 x 30 mm"
        if other:
            app.screen.query_one("#field-workshop").focus()
            await pilot.press("right")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        meant = next(name for name in app.view.workshops if (name != here) == other)
        assert shown(app)[0] == meant and "stool" in shown(app)[1]


async def test_with_one_workshop_the_key_says_so(opened):
    async with opened() as pilot:
        await pilot.press("W")
        await pilot.pause()
        assert "one workshop only" in toasts(pilot.app)
