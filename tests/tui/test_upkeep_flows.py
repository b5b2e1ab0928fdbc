"""Upkeep by keyboard on a real database: installed, looked at, renewed, corrected, undone."""

from __future__ import annotations

import asyncio
import datetime as dt
import uuid
from dataclasses import replace

import pytest
from textual.widgets import Input

from finplan.services.installing import install_said
from finplan.services.session import open_session
from finplan.services.upkeep import record_upkeep, seen_pieces
from finplan.tracking.upkeep.pieces import Finding, UpkeepEntry, UpkeepKind, Work, standing
from finplan.trade.errors import BadInput
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.care import CareDialog
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.models.paint import join
from finplan.tui.screens.start import StartPage
from finplan.tui.screens.upkeep import REST_S, UpkeepPage
from finplan.tui.settings import Memory
from finplan.tui.shop import Shop
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts

NOW = dt.datetime(2026, 10, 14, 16, 42, tzinfo=dt.UTC)


@pytest.fixture
def data(tmp_path):
    return str(tmp_path / "house.db")


def house(data, **more):
    """Two pieces at one place."""
    with open_session(data, NOW) as session:
        for name, title in (("steps", "Steps of the jetty"), ("rail", "Rail of the jetty")):
            said = {
                "title": title, "place": "Lake house", "finish": "penetrating oil",
                "area_m2": 2.4, "installed": dt.date(2026, 4, 1), "zone": "Europe/Oslo",
            }  # fmt: skip
            install_said(session, name, said | more, None, change=False)


def pieces(data):
    with open_session(data, NOW) as session:
        return {one.piece.name: one for one in seen_pieces(session)}


def said(app):
    return " | ".join(f"{one.title} {one.message}" for one in app._notifications)


def write(app, **texts):
    for key, text in texts.items():
        app.screen.query_one(f"#field-{key}", Input).value = text


def pick(app, key, times):
    choice = app.screen.query_one(f"#field-{key}", Choice)
    for _ in range(times):
        choice.action_turn(1)


def about_piece(app):
    return join(app.screen.query_one("#piece", Lines).in_full(80))


def running(data, **more):
    app = FinplanApp(Shop(data, NOW), **more)
    return app, app.run_test(size=(100, 30), notifications=True)


async def test_from_nothing_to_a_piece_with_its_years(data):
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        assert isinstance(app.screen, StartPage)
        app.screen.query_one("#choices", TableView).go_to("new:in-use")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, UpkeepPage)
        assert "i installs one" in app.screen.query_one("#pieces", TableView).table.empty
        await pilot.press("i")
        await pilot.pause()
        write(
            app, title="Bath bench", place="Town flat", finish="penetrating oil", area_m2="0.8 m2"
        )
        write(app, installed="2026-05-01", zone="Europe/Vienna")
        pick(app, "stands", 2)
        await pilot.press("enter")
        await settle(pilot)
        assert isinstance(app.screen, UpkeepPage)
        assert "Bath bench installed: next renewal in" in said(app)
        assert app.screen.query_one("#pieces", TableView).key == "bath_bench"
        assert "2031" in app.screen.query_one("#upkeep-years", Lines).to_copy()()
        app._look()
        await settle(pilot)
        assert isinstance(app.screen, UpkeepPage)
    (only,) = pieces(data).values()
    assert (only.piece.place, only.piece.area_m2) == ("Town flat", 0.8)


async def test_a_look_is_recorded_and_moves_the_date_and_undo_and_redo_say_so(data):
    house(data)
    before = pieces(data)["steps"].outlook.next(Work.RENEWAL).due
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to("steps")
        await pilot.press("c")
        await pilot.pause()
        pick(app, "water", 2)
        pick(app, "greying", 1)
        write(app, note="the treads first")
        await pilot.press("enter")
        await settle(pilot)
        assert "u undoes" in said(app) and "water soaked in and the wood greyed" in said(app)
        assert "▲ bare or grey wood" in said(app)
        soaked = pieces(data)["steps"]
        assert soaked.outlook.next(Work.RENEWAL).due < before
        assert soaked.entries[0].findings == (Finding.SOAKS_IN, Finding.GREYING)
        await pilot.press("u")
        await settle(pilot)
        assert "undone: inspected (water soaks in, greying), Wed 14 Oct 2026" in said(app)
        assert pieces(data)["steps"].outlook.next(Work.RENEWAL).due == before
        await pilot.press("r")
        await settle(pilot)
        assert "done again: inspected" in said(app)
        assert len(standing(pieces(data)["steps"].entries)) == 1


async def test_a_renewal_is_recorded_with_litres_and_cost_and_corrected(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to("rail")
        await pilot.press("d")
        await pilot.pause()
        kinds = app.screen.query_one("#field-kind", Choice)
        while app.screen.texts["kind"] != "renewed":
            kinds.action_turn(1)
            await pilot.pause()
        write(app, litres="0,4 l", cost="12.5", at="2026-10-10 12:00", by="Ane")
        await pilot.press("enter")
        await settle(pilot)
        (entry,) = pieces(data)["rail"].entries
        assert (entry.kind, entry.litres, entry.cost) == (UpkeepKind.RENEWED, 0.4, 12.5)
        app.screen.query_one("#history", TableView).focus()
        await pilot.press("e")
        await pilot.pause()
        assert "Correct" in app.screen.form.title
        assert app.screen.query_one("#field-litres", Input).value == "0.400 l"
        write(app, litres="0.3 l")
        await pilot.press("enter")
        await settle(pilot)
        assert "corrected: renewed" in said(app)
        (counts,) = standing(pieces(data)["rail"].entries)
        assert (counts.litres, counts.cost, counts.by) == (0.3, 12.5, "Ane")
        table = app.screen.query_one("#history", TableView)
        assert "(corrected)" in table.to_copy()()
        await pilot.press("u")
        await settle(pilot)
        assert standing(pieces(data)["rail"].entries)[0].litres == 0.4


async def test_what_cannot_be_keeps_the_form_open_and_esc_keeps_the_draft(data):
    house(data)
    memory = Memory()
    app, test = running(data, memory=memory)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8", "c")
        await pilot.pause()
        pick(app, "water", 3)
        write(app, note="half filled")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, FormDialog)
        assert "what was found" in str(app.screen.query_one("#form-fault").content)
        await pilot.press("escape", "c")
        await pilot.pause()
        assert app.screen.query_one("#field-note", Input).value == "half filled"
    assert all(not one.entries for one in pieces(data).values())


async def test_a_piece_is_changed_and_a_stale_change_refused(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to("steps")
        await pilot.press("e")
        await pilot.pause()
        write(app, season="may-jun", days="sat")
        await pilot.press("enter")
        await settle(pilot)
        assert "Steps of the jetty changed: next renewal in" in said(app)
        assert pieces(data)["steps"].piece.season == (5, 6)
        await pilot.press("e")
        await pilot.pause()
        app.shop.change_piece("steps", app.shop.piece_version("steps"), {"coats": 3})
        write(app, season="")
        await pilot.press("enter")
        await settle(pilot)
        assert "was changed elsewhere" in said(app)
        assert pieces(data)["steps"].piece.season == (5, 6)


async def test_guests_keep_days_free_on_all_pieces_of_a_place(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8", "b")
        await pilot.pause()
        write(app, first="2027-07-01", last="2027-07-14", why="guests")
        await pilot.press("enter")
        await settle(pilot)
        assert "1 stretch kept free on 2 pieces" in said(app)
        assert "1 Jul 2027 to 14 Jul 2027 (guests)" in about_piece(app)
    for one in pieces(data).values():
        assert [(b.first, b.why) for b in one.piece.blocked] == [(dt.date(2027, 7, 1), "guests")]


async def test_the_renewal_is_planned_as_a_project_and_its_downtime_said(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("N")
        table = app.screen.query_one("#choices", TableView)
        table.go_to("sample:oak_door")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        await pilot.press("8")
        await asyncio.sleep(2 * REST_S)
        await settle(pilot)
        assert "The best time: the wood" in about_piece(app)
        await pilot.press("n")
        await settle(pilot)
        await settle(pilot)
        assert "planned as" in said(app) and ", safe." in said(app)
        assert any(one.name.startswith(("steps-", "rail-")) for one in app.view.projects)
        await asyncio.sleep(2 * REST_S)
        await settle(pilot)
        assert "Planned as" in about_piece(app)


async def test_the_care_sheet_is_shown_and_written(data, tmp_path, monkeypatch):
    house(data)
    monkeypatch.chdir(tmp_path)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to("steps")
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, CareDialog)
        await pilot.press("w")
        await settle(pilot)
        assert "care-steps.txt" in said(app)
        (tmp_path / "care-steps.pdf").write_bytes(b"mine")
        await pilot.press("f")
        await settle(pilot)
        assert "care-steps-2.pdf" in said(app)
    assert (tmp_path / "care-steps.pdf").read_bytes() == b"mine"
    assert (tmp_path / "care-steps-2.pdf").read_bytes().startswith(b"%PDF")
    text = (tmp_path / "care-steps.txt").read_text(encoding="utf-8")
    assert "Care of Steps of the jetty, Lake house" in text
    assert max(map(len, text.splitlines())) <= 78


async def test_another_window_s_entry_shows_and_search_finds_a_piece(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        app.screen.query_one("#pieces", TableView).go_to("rail")
        other = Shop(data, NOW)
        rail = next(one.piece for one in app.care.pieces if one.piece.name == "rail")
        other.record_upkeep(rail, UpkeepKind.CLEANED, {"at": NOW, "by": "Jon"})
        app._look()
        await settle(pilot)
        await settle(pilot)
        assert "cleaned" in app.screen.query_one("#history", TableView).to_copy()()
        await pilot.press("slash", *"steps", "enter")
        await pilot.pause()
        assert app.screen.query_one("#pieces", TableView).key == "steps"


async def test_a_refused_entry_keeps_what_was_typed(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8", "d")
        await pilot.pause()
        write(app, at="2025-01-01", note="long ago")
        await pilot.press("enter")
        await settle(pilot)
        assert "before the day it was installed" in said(app)
        await pilot.press("d")
        await pilot.pause()
        assert app.screen.query_one("#field-note", Input).value == "long ago"


async def test_the_sample_cabin_from_first_look_to_renewal_by_keyboard(data, tmp_path):
    app = FinplanApp(Shop(data, "2026-04-18T10:00:00+02:00"))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settle(pilot)
        app.screen.query_one("#choices", TableView).go_to("sample:lake_cabin")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert "Upkeep" in app.screen.query_one("#upkeep-line", Lines).to_copy()()
        await pilot.press("8")
        table = app.screen.query_one("#pieces", TableView)
        assert len(table.table.rows) == 3
        first = table.key
        assert app.screen.query_one("#history", TableView).table.rows
        await pilot.press("c", "right", "right", "enter")
        await settle(pilot)
        seen = next(one for one in app.care.pieces if one.piece.name == first)
        assert seen.entries[-1].findings == (Finding.SOAKS_IN,)
        await pilot.press("n")
        await settle(pilot)
        await settle(pilot)
        renewal = next(one for one in app.view.projects if one.renews == seen.piece.uid)
        assert any(step.project == renewal.name for step in app.view.steps)
        table.go_to(first)
        await pilot.press("d")
        await pilot.pause()
        assert app.screen.texts["kind"] == "renewed"
        await pilot.press("tab", *"0.2l", "enter")
        await settle(pilot)
        after = next(one for one in app.care.pieces if one.piece.name == first)
        assert (after.entries[-1].kind, after.entries[-1].litres) == (UpkeepKind.RENEWED, 0.2)
        assert after.outlook.next(Work.RENEWAL).on > seen.outlook.next(Work.RENEWAL).on


class FinishedShop(Shop):
    """A shop whose projects are all finished."""

    def read(self, seconds=0.0):
        view = super().read(seconds)
        if view.overview is None:
            return view
        done = tuple(replace(one, state="finished") for one in view.overview.projects)
        return replace(view, overview=replace(view.overview, projects=done))


async def test_a_finished_project_is_offered_and_installed_with_what_it_tells(data):
    app = FinplanApp(FinishedShop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await settle(pilot)
        app.screen.query_one("#choices", TableView).go_to("sample:oak_door")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert "finished: 8, i" in app.screen.query_one("#upkeep-line", Lines).to_copy()()
        await pilot.press("8")
        assert app.screen.query_one("#pieces", TableView).key == "project:oak_door"
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one("#field-finish", Input).value == "spar varnish"
        write(app, place="Boathouse")
        await pilot.press("enter")
        await settle(pilot)
        assert app.screen.query_one("#pieces", TableView).key == "oak_door"
    only = pieces(data)["oak_door"].piece
    assert (only.place, only.finish, only.invented) == ("Boathouse", "spar varnish", True)


async def test_a_finished_project_without_a_coat_is_installed_by_hand(data, monkeypatch):
    def coatless(self, project):
        raise BadInput("this project has no coat: give its finish and area", project)

    monkeypatch.setattr(FinishedShop, "told_by_project", coatless)
    app = FinplanApp(FinishedShop(data, NOW))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await settle(pilot)
        app.screen.query_one("#choices", TableView).go_to("sample:oak_door")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        await pilot.press("8", "enter")
        await pilot.pause()
        assert "this project has no coat" in toasts(app)
        assert app.screen.query_one("#field-finish", Input).value == ""


async def test_ten_years_show_as_well(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8", "x")
        await settle(pilot)
        chart = app.screen.query_one("#upkeep-years", Lines)
        assert "next 10" in str(chart.border_title)
        assert any(run.text.startswith("2036") for one in chart.in_full(90) for run in one)


async def test_keys_that_need_a_piece_say_so_where_there_is_none(data):
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8", "c", "b", "n", "s", "u")
        await settle(pilot)
        assert "No piece is marked; i installs one." in said(app)
        assert "nothing to undo" in said(app)
        assert isinstance(app.screen, UpkeepPage)


async def test_with_pieces_and_no_project_the_bench_lists_their_upkeep(data):
    house(data)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        assert app.current_mode == "bench"
        told = app.screen.query_one("#upkeep-line", Lines).to_copy()()
        assert told.startswith("Upkeep") and "of the jetty" in told


async def test_a_piece_is_taken_out_of_use_and_put_back(data):
    house(data)
    hour_ago = NOW - dt.timedelta(hours=1)
    with open_session(data, hour_ago) as session:
        entry = UpkeepEntry(uuid.uuid4(), "rail", UpkeepKind.GONE, hour_ago, hour_ago)
        record_upkeep(session, "rail", entry)
    app, test = running(data)
    async with test as pilot:
        await settle(pilot)
        await pilot.press("8")
        assert [row.key for row in app.screen.query_one("#pieces", TableView).table.rows] == [
            "steps"
        ]
        await pilot.press("o")
        await pilot.pause()
        write(app, note="sold")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert "Steps of the jetty is out of use; its history is kept" in said(app)
        table = app.screen.query_one("#pieces", TableView)
        assert table.table.rows == () and table.has_focus
        assert isinstance(app.screen, UpkeepPage)
        await pilot.press("x", "c", "d", "o", "e", "s", "b", "n")
        await settle(pilot)
        assert "No piece is marked" in said(app)
        await pilot.press("i")
        await pilot.pause()
        assert isinstance(app.screen, FormDialog)
        await pilot.press("escape")
        await pilot.press("u")
        await settle(pilot)
        await settle(pilot)
        assert "undone: taken out of use, Wed 14 Oct 2026, Steps of the jetty" in said(app)
        assert table.key == "steps"
        await pilot.press("r")
        await settle(pilot)
        await settle(pilot)
        assert table.table.rows == ()
    assert pieces(data) == {}
