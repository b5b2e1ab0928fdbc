"""Pieces by keyboard on a real database: installed, changed, kept free, out of use and back."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

from textual.widgets import Input

from finplan.services.session import open_session
from finplan.services.upkeep import record_upkeep
from finplan.tracking.upkeep.pieces import UpkeepEntry, UpkeepKind
from finplan.trade.errors import BadInput
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.screens.start import StartPage
from finplan.tui.screens.upkeep import UpkeepPage
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts
from tests.tui.upkeep_house import NOW, about_piece, pick, pieces, started, upkeep, write


async def test_from_nothing_to_a_piece_with_its_years(nothing):
    async with started(Shop(nothing, NOW)) as (app, pilot):
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
        assert "Bath bench installed: next renewal in" in toasts(app)
        assert app.screen.query_one("#pieces", TableView).key == "bath_bench"
        assert "2031" in app.screen.query_one("#upkeep-years", Lines).to_copy()()
        app._look()
        await settle(pilot)
        assert isinstance(app.screen, UpkeepPage)
    (only,) = pieces(nothing).values()
    assert (only.piece.place, only.piece.area_m2) == ("Town flat", 0.8)


async def test_a_piece_is_changed_and_a_stale_change_refused(jetty):
    async with upkeep(jetty, "steps") as (app, pilot):
        await pilot.press("e")
        await pilot.pause()
        write(app, season="may-jun", days="sat")
        await pilot.press("enter")
        await settle(pilot)
        assert "Steps of the jetty changed: next renewal in" in toasts(app)
        assert pieces(jetty)["steps"].piece.season == (5, 6)
        await pilot.press("e")
        await pilot.pause()
        app.shop.change_piece("steps", app.shop.piece_version("steps"), {"coats": 3})
        write(app, season="")
        await pilot.press("enter")
        await settle(pilot)
        assert "was changed elsewhere" in toasts(app)
        assert pieces(jetty)["steps"].piece.season == (5, 6)


async def test_guests_keep_days_free_on_all_pieces_of_a_place(jetty):
    async with upkeep(jetty) as (app, pilot):
        await pilot.press("b")
        await pilot.pause()
        write(app, first="2027-07-01", last="2027-07-14", why="guests")
        await pilot.press("enter")
        await settle(pilot)
        assert "1 stretch kept free on 2 pieces" in toasts(app)
        assert "1 Jul 2027 to 14 Jul 2027 (guests)" in about_piece(app)
    for one in pieces(jetty).values():
        assert [(b.first, b.why) for b in one.piece.blocked] == [(dt.date(2027, 7, 1), "guests")]


class FinishedShop(Shop):
    """A shop whose projects are all finished."""

    def read(self, seconds=0.0):
        view = super().read(seconds)
        if view.overview is None:
            return view
        done = tuple(replace(one, state="finished") for one in view.overview.projects)
        return replace(view, overview=replace(view.overview, projects=done))


async def test_a_finished_project_is_offered_and_installed_with_what_it_tells(nothing):
    async with started(FinishedShop(nothing, NOW)) as (app, pilot):
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
    only = pieces(nothing)["oak_door"].piece
    assert (only.place, only.finish, only.invented) == ("Boathouse", "spar varnish", True)


async def test_a_finished_project_without_a_coat_is_installed_by_hand(nothing, monkeypatch):
    def coatless(self, project):
        raise BadInput("this project has no coat: give its finish and area", project)

    monkeypatch.setattr(FinishedShop, "told_by_project", coatless)
    async with started(FinishedShop(nothing, NOW)) as (app, pilot):
        app.screen.query_one("#choices", TableView).go_to("sample:oak_door")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        await pilot.press("8", "enter")
        await pilot.pause()
        assert "this project has no coat" in toasts(app)
        assert app.screen.query_one("#field-finish", Input).value == ""


async def test_a_piece_is_taken_out_of_use_and_put_back(jetty):
    hour_ago = NOW - dt.timedelta(hours=1)
    with open_session(jetty, hour_ago) as session:
        entry = UpkeepEntry(uuid.uuid4(), "rail", UpkeepKind.GONE, hour_ago, hour_ago)
        record_upkeep(session, "rail", entry)
    async with upkeep(jetty) as (app, pilot):
        assert [row.key for row in app.screen.query_one("#pieces", TableView).table.rows] == [
            "steps"
        ]
        await pilot.press("o")
        await pilot.pause()
        write(app, note="sold")
        await pilot.press("enter")
        await settle(pilot)
        await settle(pilot)
        assert "Steps of the jetty is out of use; its history is kept" in toasts(app)
        table = app.screen.query_one("#pieces", TableView)
        assert table.table.rows == () and table.has_focus
        assert isinstance(app.screen, UpkeepPage)
        await pilot.press("x", "c", "d", "o", "e", "s", "b", "n")
        await settle(pilot)
        assert "No piece is marked" in toasts(app)
        await pilot.press("i")
        await pilot.pause()
        assert isinstance(app.screen, FormDialog)
        await pilot.press("escape")
        await pilot.press("u")
        await settle(pilot)
        await settle(pilot)
        assert "undone: taken out of use, Wed 14 Oct 2026, Steps of the jetty" in toasts(app)
        assert table.key == "steps"
        await pilot.press("r")
        await settle(pilot)
        await settle(pilot)
        assert table.table.rows == ()
    assert pieces(jetty) == {}
