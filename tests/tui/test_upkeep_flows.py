"""Upkeep by keyboard on a real database, from the first look to the renewal that is planned."""

from __future__ import annotations

import asyncio

from finplan.tracking.upkeep.pieces import Finding, UpkeepKind, Work
from finplan.tui.dialogs.care import CareDialog
from finplan.tui.reading_app import REST_S
from finplan.tui.screens.upkeep import UpkeepPage
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle, toasts
from tests.tui.upkeep_house import NOW, about_piece, started, upkeep


async def test_the_renewal_is_planned_as_a_project_and_its_downtime_said(jetty):
    async with started(Shop(jetty, NOW)) as (app, pilot):
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
        assert "planned as" in toasts(app) and ", safe." in toasts(app)
        assert any(one.name.startswith(("steps-", "rail-")) for one in app.view.projects)
        await asyncio.sleep(2 * REST_S)
        await settle(pilot)
        assert "Planned as" in about_piece(app)


async def test_the_care_sheet_is_shown_and_written(jetty, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    async with upkeep(jetty, "steps") as (app, pilot):
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, CareDialog)
        await pilot.press("w")
        await settle(pilot)
        assert "care-steps.txt" in toasts(app)
        (tmp_path / "care-steps.pdf").write_bytes(b"mine")
        await pilot.press("f")
        await settle(pilot)
        assert "care-steps-2.pdf" in toasts(app)
    assert (tmp_path / "care-steps.pdf").read_bytes() == b"mine"
    assert (tmp_path / "care-steps-2.pdf").read_bytes().startswith(b"%PDF")
    text = (tmp_path / "care-steps.txt").read_text(encoding="utf-8")
    assert "Care of Steps of the jetty, Lake house" in text
    assert max(map(len, text.splitlines())) <= 78


async def test_the_sample_cabin_from_first_look_to_renewal_by_keyboard(nothing):
    async with started(Shop(nothing, "2026-04-18T10:00:00+02:00"), size=(80, 24)) as (app, pilot):
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


async def test_ten_years_show_as_well(jetty):
    async with upkeep(jetty) as (app, pilot):
        await pilot.press("x")
        await settle(pilot)
        chart = app.screen.query_one("#upkeep-years", Lines)
        assert "next 10" in str(chart.border_title)
        assert any(run.text.startswith("2036") for one in chart.in_full(90) for run in one)


async def test_keys_that_need_a_piece_say_so_where_there_is_none(nothing):
    async with upkeep(nothing) as (app, pilot):
        await pilot.press("c", "b", "n", "s", "u")
        await settle(pilot)
        assert "No piece is marked; i installs one." in toasts(app)
        assert "nothing to undo" in toasts(app)
        assert isinstance(app.screen, UpkeepPage)


async def test_with_pieces_and_no_project_the_bench_lists_their_upkeep(jetty):
    async with started(Shop(jetty, NOW)) as (app, _):
        assert app.current_mode == "bench"
        told = app.screen.query_one("#upkeep-line", Lines).to_copy()()
        assert told.startswith("Upkeep") and "of the jetty" in told
