"""What is done to a piece, by keyboard on a real database: recorded, corrected, undone, refused."""

from __future__ import annotations

from textual.widgets import Input

from finplan.tracking.upkeep.pieces import Finding, UpkeepKind, Work, standing
from finplan.tui.dialogs.form import FormDialog
from finplan.tui.settings import Memory
from finplan.tui.shop import Shop
from finplan.tui.widgets.choice import Choice
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts
from tests.tui.upkeep_house import NOW, pick, pieces, upkeep, write


async def test_a_look_is_recorded_and_moves_the_date_and_undo_and_redo_say_so(jetty):
    before = pieces(jetty)["steps"].outlook.next(Work.RENEWAL).due
    async with upkeep(jetty, "steps") as (app, pilot):
        await pilot.press("c")
        await pilot.pause()
        pick(app, "water", 2)
        pick(app, "greying", 1)
        write(app, note="the treads first")
        await pilot.press("enter")
        await settle(pilot)
        assert "u undoes" in toasts(app) and "water soaked in and the wood greyed" in toasts(app)
        assert "▲ bare or grey wood" in toasts(app)
        soaked = pieces(jetty)["steps"]
        assert soaked.outlook.next(Work.RENEWAL).due < before
        assert soaked.entries[0].findings == (Finding.SOAKS_IN, Finding.GREYING)
        await pilot.press("u")
        await settle(pilot)
        assert "undone: inspected (water soaks in, greying), Wed 14 Oct 2026" in toasts(app)
        assert pieces(jetty)["steps"].outlook.next(Work.RENEWAL).due == before
        await pilot.press("r")
        await settle(pilot)
        assert "done again: inspected" in toasts(app)
        assert len(standing(pieces(jetty)["steps"].entries)) == 1


async def test_a_renewal_is_recorded_with_litres_and_cost_and_corrected(jetty):
    async with upkeep(jetty, "rail") as (app, pilot):
        await pilot.press("d")
        await pilot.pause()
        kinds = app.screen.query_one("#field-kind", Choice)
        while app.screen.texts["kind"] != "renewed":
            kinds.action_turn(1)
            await pilot.pause()
        write(app, litres="0,4 l", cost="12.5", at="2026-10-10 12:00", by="Ane")
        await pilot.press("enter")
        await settle(pilot)
        (entry,) = pieces(jetty)["rail"].entries
        assert (entry.kind, entry.litres, entry.cost) == (UpkeepKind.RENEWED, 0.4, 12.5)
        app.screen.query_one("#history", TableView).focus()
        await pilot.press("e")
        await pilot.pause()
        assert "Correct" in app.screen.form.title
        assert app.screen.query_one("#field-litres", Input).value == "0.400 l"
        write(app, litres="0.3 l")
        await pilot.press("enter")
        await settle(pilot)
        assert "corrected: renewed" in toasts(app)
        (counts,) = standing(pieces(jetty)["rail"].entries)
        assert (counts.litres, counts.cost, counts.by) == (0.3, 12.5, "Ane")
        table = app.screen.query_one("#history", TableView)
        assert "(corrected)" in table.to_copy()()
        await pilot.press("u")
        await settle(pilot)
        assert standing(pieces(jetty)["rail"].entries)[0].litres == 0.4


async def test_what_cannot_be_keeps_the_form_open_and_esc_keeps_the_draft(jetty):
    memory = Memory()
    async with upkeep(jetty, memory=memory) as (app, pilot):
        await pilot.press("c")
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
    assert all(not one.entries for one in pieces(jetty).values())


async def test_another_window_s_entry_shows_and_search_finds_a_piece(jetty):
    async with upkeep(jetty, "rail") as (app, pilot):
        other = Shop(jetty, NOW)
        rail = next(one.piece for one in app.care.pieces if one.piece.name == "rail")
        other.record_upkeep(rail, UpkeepKind.CLEANED, {"at": NOW, "by": "Jon"})
        app._look()
        await settle(pilot)
        await settle(pilot)
        assert "cleaned" in app.screen.query_one("#history", TableView).to_copy()()
        await pilot.press("slash", *"steps", "enter")
        await pilot.pause()
        assert app.screen.query_one("#pieces", TableView).key == "steps"


async def test_a_refused_entry_keeps_what_was_typed(jetty):
    async with upkeep(jetty) as (app, pilot):
        await pilot.press("d")
        await pilot.pause()
        write(app, at="2025-01-01", note="long ago")
        await pilot.press("enter")
        await settle(pilot)
        told = str(app.screen.query_one("#form-fault").content)
        assert "before the day it was installed" in told
        await pilot.press("escape", "d")
        await pilot.pause()
        assert app.screen.query_one("#field-note", Input).value == "long ago"
