"""The interface on a real database: what is recorded on screen is in the journal."""

from __future__ import annotations

import asyncio
import datetime as dt
import threading
import time
from dataclasses import replace

import pytest
from textual.widgets import Input

from finplan.journal.entries import EntryKind
from finplan.services.journal import entries_of
from finplan.services.projects import load_file
from finplan.services.session import open_session
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.models.table import as_text
from finplan.tui.screens.start import StartPage
from finplan.tui.shop import Shop
from finplan.tui.widgets.table_view import TableView
from finplan.tui.widgets.timeline import Timeline
from tests.cli.conftest import BENCH, CUT_LIST
from tests.tui.conftest import settle, toasts

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def data(tmp_path):
    return str(tmp_path / "shop.db")


def kinds(data):
    with open_session(data, NOW) as session:
        return [one.entry.kind for one in entries_of(session)]


async def load(pilot, name):
    await settle(pilot)
    table = pilot.app.screen.query_one("#choices", TableView)
    table.go_to(f"sample:{name}")
    await pilot.press("enter")
    await settle(pilot)
    await settle(pilot)


async def test_from_the_first_start_to_a_recorded_corrected_and_undone_step(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await settle(pilot)
        assert isinstance(app.screen, StartPage)
        await load(pilot, "oak_door")
        assert app.current_mode == "bench"
        top = app.screen.query_one("#todo", TableView).key
        assert top.startswith("oak_door/door/1/")
        await pilot.press("d", "enter")
        await settle(pilot)
        await settle(pilot)
        assert kinds(data) == [EntryKind.STEP_DONE]
        assert app.view.step(top).done
        await pilot.press("5", "e")
        await pilot.pause()
        assert isinstance(app.screen, FormDialog)
        app.screen.query_one("#field-note", Input).value = "ends sealed twice"
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert kinds(data) == [EntryKind.STEP_DONE, EntryKind.CORRECTION]
        await pilot.press("u")
        await settle(pilot)
        await settle(pilot)
        assert kinds(data)[-1] is EntryKind.UNDO


async def test_a_new_project_is_asked_for_and_planned(data):
    app = FinplanApp(Shop(data, NOW, zone="Europe/Vienna"))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settle(pilot)
        await pilot.press("enter")
        await pilot.pause()
        app.screen.query_one("#field-title", Input).value = "Stool for the boathouse"
        app.screen.query_one("#field-quantity", Input).value = "4"
        app.screen.query_one("#field-size", Input).value = "430 x 60 x 30 mm"
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert [project.name for project in app.view.projects] == ["stool_for_the_boathouse"]
        assert app.current_mode == "bench"
        assert app.view.projects[0].parts[0].quantity == 4
        assert app.view.steps


def air_in(app, space):
    return next(one for one in app.view.overview.air if one.space == space)


async def test_a_reading_of_the_air_is_kept_and_shows(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("6", "a")
        await pilot.pause()
        app.screen.query_one("#field-temperature_c", Input).value = "65F"
        app.screen.query_one("#field-humidity_percent", Input).value = "61"
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert "u undoes reading kept: loft, 18.3 °C, 61 %" in toasts(app)
        now = air_in(app, "loft")
        assert now.source == "reading"
        assert now.temperature_c == pytest.approx(18.33, abs=0.01)
        await pilot.press("u")
        await settle(pilot)
        await settle(pilot)
        assert "undone: reading of 18.3 °C, 61 % in loft, Tue 6 Oct 2026 19:00" in toasts(app)
        assert air_in(app, "loft").temperature_c != now.temperature_c
        await pilot.press("r")
        await settle(pilot)
        await settle(pilot)
        assert air_in(app, "loft") == now


async def test_a_database_that_cannot_be_read_is_one_sentence(tmp_path):
    broken = tmp_path / "broken.db"
    broken.write_bytes(b"no database at all" * 100)
    app = FinplanApp(Shop(str(broken), NOW))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        said = [one.message for one in app._notifications]
        assert len(said) == 1 and "broken.db" in said[0]
        assert "Traceback" not in said[0]


async def test_a_cut_list_is_shown_before_its_parts_are_taken(data, tmp_path):
    cut_list = tmp_path / "more.csv"
    cut_list.write_text(
        "name;quantity;length;width;thickness;wood\nledge;2;0,5 m;60 mm;20 mm;white oak\n"
    )
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("3", "i")
        await pilot.pause()
        app.screen.query_one("#field-path", Input).value = str(cut_list)
        await pilot.press("enter")
        await pilot.pause()
        assert "Take more.csv" in app.screen.form.title
        assert "ledge" not in [part.name for part in app.view.projects[0].parts]
        await pilot.press("enter")
        await settle(pilot)
        assert "ledge" in [part.name for part in app.view.projects[0].parts]


async def test_looking_for_a_better_plan_says_what_it_came_to(data):
    class Quick(Shop):
        def read(self, seconds=0.0, stopped=lambda: False):
            return super().read(min(seconds, 0.01), stopped)

    app = FinplanApp(Quick(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("t")
        await settle(pilot)
        said = " ".join(one.message for one in app._notifications)
        assert "plan" in said and ("stands" in said or "better plan" in said.lower())


async def test_the_same_key_stops_looking_for_a_better_plan(data):
    waiting, going_on = threading.Event(), threading.Event()

    class Slow(Shop):
        def read(self, seconds=0.0, stopped=lambda: False):
            if seconds:
                waiting.set()
                while not stopped():
                    time.sleep(0.01)
                going_on.set()
            return super().read(0.0)

    app = FinplanApp(Slow(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("t")
        assert await asyncio.to_thread(waiting.wait, 10)
        assert not going_on.is_set()
        await pilot.press("t")
        assert await asyncio.to_thread(going_on.wait, 10)
        await settle(pilot)
        assert "plan stands" in " ".join(one.message for one in app._notifications)


async def test_a_changed_step_changes_the_plan_at_once(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        before = next(s for s in app.view.steps if s.step == "sand").minutes
        await pilot.press("3")
        table = app.screen.query_one("#schedule", TableView)
        table.focus()
        table.go_to("door/sand")
        await pilot.press("e")
        await pilot.pause()
        app.screen.query_one("#field-minutes_per_m2", Input).value = "40"
        await pilot.press("enter")
        await settle(pilot)
        assert next(s for s in app.view.steps if s.step == "sand").minutes > before


async def test_a_refused_record_names_the_field_as_the_form_does(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("d")
        await pilot.pause()
        app.screen.query_one("#field-at", Input).value = "2026-10-07 09:00"
        await pilot.press("enter")
        await settle(pilot)
        told = str(app.screen.query_one("#form-fault").content)
        assert told.startswith("✗ Done at: Wed 7 Oct 2026 09:00 is in the future")
        assert kinds(data) == []
        app.screen.query_one("#field-at", Input).value = "now"
        await pilot.pause()
        assert not app.screen.query_one("#form-fault").display
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert kinds(data) == [EntryKind.STEP_DONE]


async def test_a_note_taken_back_is_told_by_its_words(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("5", "m")
        await pilot.pause()
        app.screen.query_one("#field-note", Input).value = "ends sealed twice"
        await pilot.press("enter")
        await settle(pilot)
        assert "noted" in toasts(app) and "noted:" not in toasts(app)
        await pilot.press("u")
        await settle(pilot)
        assert "undone: note: ends sealed twice" in toasts(app)
        rows = as_text(app.screen.query_one(TableView).table).splitlines()
        assert "undo\tnote: ends sealed twice" in rows[1]


async def test_a_stale_change_is_refused_with_a_sentence(data):
    shop = Shop(data, NOW)
    app = FinplanApp(shop)
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        await pilot.press("3")
        app.screen.query_one("#parts", TableView).focus()
        await pilot.press("e")
        await pilot.pause()
        shop.edit("oak_door", None, lambda project: replace(project, title="Other"), "renamed")
        app.screen.query_one("#field-quantity", Input).value = "2"
        await pilot.press("enter")
        await settle(pilot)
        said = " ".join(one.message for one in app._notifications)
        assert "changed elsewhere" in said and "what you typed is kept" in said
        assert app.view.projects[0].parts[0].quantity == 1
        assert app.view.projects[0].title == "Other"
        await pilot.press("e")
        await pilot.pause()
        assert app.screen.query_one("#field-quantity", Input).value == "2"
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert app.view.projects[0].parts[0].quantity == 2


async def test_where_no_plan_is_possible_the_bench_says_why_and_what_frees_it(data, tmp_path):
    (tmp_path / "cut_list.csv").write_text(CUT_LIST)
    short = BENCH.replace("minutes = 180", "minutes = 45").replace("minutes = 540", "minutes = 45")
    (tmp_path / "bench.toml").write_text(short)
    with open_session(data, NOW) as session:
        load_file(session, tmp_path / "bench.toml")
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await settle(pilot)
        assert "since Maker works 45 min at a stretch at most" in app.view.ways_out[0]
        assert "Any one of these frees it: each session of Maker" in app.view.ways_out[0]
        assert app.current_mode == "bench"


async def test_the_timeline_tells_a_range_once_it_is_known(data):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(110, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        assert not app.ranges
        await pilot.press("2")
        await settle(pilot)
        likely = app.ranges["oak_door"]
        assert likely.early < app.view.planned.ready_of("oak_door").safe
        assert likely.early < likely.late
        chart = app.screen.query_one(Timeline)
        assert "in 8 of 10" in "".join(segment.text for segment in chart.render_line(2))


async def test_a_better_plan_that_was_found_is_kept(data, monkeypatch):
    app = FinplanApp(Shop(data, NOW))
    async with app.run_test(size=(110, 30), notifications=True) as pilot:
        await load(pilot, "oak_door")
        kept = []
        monkeypatch.setattr(app.shop, "keep", kept.append)
        monkeypatch.setattr("finplan.tui.reading_app.gained", lambda before, after: "sooner")
        monkeypatch.setattr("finplan.tui.reading_app.THINK_S", 0.2)
        await pilot.press("t")
        await settle(pilot)
        assert kept == [app.view.planned]
