"""What a person does with the keyboard, from key to result."""

from __future__ import annotations

import datetime as dt
import time

import pytest
from textual.widgets import Input

from finplan.tui.dialogs.form import FormDialog
from finplan.tui.dialogs.too_small import TooSmall
from finplan.tui.keys import own_bindings
from finplan.tui.models.step_forms import wish_form
from finplan.tui.widgets.fields import Fields
from finplan.tui.widgets.key_line import KeyLine
from finplan.tui.widgets.table_view import TableView
from finplan.tui.widgets.timeline import Timeline
from tests.tui.conftest import settle, toasts
from tests.tui.demo_shop import DemoShop
from tests.tui.demo_trade import NOW


async def test_one_key_and_enter_record_the_top_item(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        top = pilot.app.screen.query_one("#todo", TableView).key
        await pilot.press("d")
        assert isinstance(pilot.app.screen, FormDialog)
        await pilot.press("enter")
        await settle(pilot)
        assert shop.written[0][0] == "step done"
        assert shop.written[0][1]["at"] == NOW
        assert pilot.app.view.step(top).done
        assert pilot.app.screen.query_one("#todo", TableView).key != top
        assert "u undoes" in toasts(pilot.app)


async def test_what_was_typed_is_echoed_with_its_weekday(opened):
    async with opened() as pilot:
        await pilot.press("d")
        field = pilot.app.screen.query_one("#field-at", Input)
        field.value = "2026-10-13 17:05"
        await pilot.pause()
        echo = pilot.app.screen.query_one(Fields).echo("at")
        assert "Tue 13 Oct 2026 17:05" in echo


async def test_a_time_with_two_readings_is_refused_and_nothing_written(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        await pilot.press("d")
        pilot.app.screen.query_one("#field-at", Input).value = "4/5"
        await pilot.press("enter")
        await settle(pilot)
        assert isinstance(pilot.app.screen, FormDialog)
        fault = str(pilot.app.screen.query_one("#form-fault").content)
        assert "Done at" in fault
        assert shop.written == []


async def test_esc_keeps_the_draft_and_offers_it_again(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        await pilot.press("d")
        pilot.app.screen.query_one("#field-note", Input).value = "ends drank a lot"
        await pilot.pause()
        await pilot.press("escape")
        assert shop.written == []
        await pilot.press("d")
        assert pilot.app.screen.query_one("#field-note", Input).value == "ends drank a lot"


async def test_undo_says_what_it_took_back_and_redo_brings_it_again(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        top = pilot.app.screen.query_one("#todo", TableView).key
        await pilot.press("d", "enter")
        await settle(pilot)
        await pilot.press("u")
        await settle(pilot)
        assert not pilot.app.view.step(top).done
        assert "undone: Coat 1, second side (door)" in toasts(pilot.app)
        await pilot.press("r")
        await settle(pilot)
        assert pilot.app.view.step(top).done


async def test_undo_with_nothing_to_undo_says_so(opened):
    async with opened() as pilot:
        await pilot.press("u")
        await settle(pilot)
        assert "nothing to undo" in toasts(pilot.app)


async def test_a_refused_record_leaves_a_sentence_and_the_screen(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        await pilot.press("d")
        pilot.app.screen.query_one("#field-at", Input).value = "2026-10-20 10:00"
        await pilot.press("enter")
        await settle(pilot)
        assert shop.written == []
        assert "future" in str(pilot.app.screen.query_one("#form-fault").content)


async def test_a_dryness_check_is_asked_of_the_coat_below(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        await pilot.press("c", "left", "tab", "right", "enter")
        await settle(pilot)
        kind, (stage, reached, _) = shop.written[0]
        assert kind == "dryness check"
        assert stage.value == "dry-to-handle"
        assert reached is False


async def test_below_60_by_16_one_message_that_goes_away_again(opened):
    async with opened() as pilot:
        await pilot.resize_terminal(50, 12)
        await pilot.pause()
        assert isinstance(pilot.app.screen, TooSmall)
        await pilot.press("d")
        assert isinstance(pilot.app.screen, TooSmall)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert pilot.app.screen.query("#todo")


async def test_the_timeline_walks_zooms_and_follows(opened):
    async with opened(size=(120, 36)) as pilot:
        await pilot.press("2")
        await pilot.pause()
        line = pilot.app.screen.query_one(Timeline)
        first = line.chosen
        await pilot.press("right")
        second = line.chosen
        assert second != first
        before = line.zoom_words
        await pilot.press("i")
        assert line.zoom_words != before
        await pilot.press("w")
        assert line.chosen == pilot.app.view.step(second).waits_for.step


async def test_search_leaves_only_rows_with_the_words(opened):
    async with opened() as pilot:
        await pilot.press("5", "slash", *"slats", "enter")
        await pilot.pause()
        table = pilot.app.screen.query_one("#journal", TableView)
        shown = table.to_copy()().splitlines()[1:]
        assert shown and all("slats" in row for row in shown)
        assert len(shown) < len(table.table.rows)
        await pilot.press("escape")
        assert table.words == ""


async def test_copy_says_which_way_was_used(opened, monkeypatch):
    monkeypatch.setenv("SSH_TTY", "/dev/pts/1")
    async with opened() as pilot:
        await pilot.press("y")
        await settle(pilot)
        assert "OSC 52" in toasts(pilot.app)
        assert "Coat" in pilot.app.clipboard


async def test_copy_to_a_file_never_overwrites(opened, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "finplan-bench.txt").write_text("mine", encoding="utf-8")
    async with opened() as pilot:
        await pilot.press("Y")
        await settle(pilot)
    assert (tmp_path / "finplan-bench.txt").read_text(encoding="utf-8") == "mine"
    assert "Coat" in (tmp_path / "finplan-bench-2.txt").read_text(encoding="utf-8")


SAFE = set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") | {
    *(f"f{number}" for number in range(1, 11)),
    *("enter", "space", "up", "down", "left", "right", "tab", "escape", "home", "end"),
    *("pageup", "pagedown", "slash", "question_mark"),
}


def test_every_binding_has_an_id_and_only_safe_keys():
    bindings = list(own_bindings())
    assert len(bindings) > 30
    for binding in bindings:
        assert binding.id, binding
        assert set(binding.key.split(",")) <= SAFE, binding


@pytest.mark.parametrize("area", ["1", "2", "3", "4", "5", "8"])
async def test_the_footer_shows_three_to_five_keys(opened, area):
    async with opened() as pilot:
        await pilot.press(area)
        await pilot.pause()
        shown = {
            active.binding.action
            for active in pilot.app.screen.active_bindings.values()
            if active.binding.show
        }
        assert 3 <= len(shown) <= 5, shown


async def test_a_click_on_a_key_in_the_footer_presses_it(opened):
    async with opened() as pilot:
        await pilot.click(KeyLine, offset=(3, 0))
        await pilot.pause()
        assert isinstance(pilot.app.screen, FormDialog)
        assert pilot.app.screen.form.key.startswith("done:")


async def test_every_key_of_the_screen_is_in_the_palette_too(opened):
    from finplan.tui.commands import Actions

    async with opened() as pilot:
        provider = Actions(pilot.app.screen)
        words = {hit.text async for hit in provider.discover()}
    assert {"Here: Done", "Go to Journal", "Undo what was done last", "Quit"} <= words


async def test_the_palette_runs_an_action_where_the_focus_was(opened):
    async with opened() as pilot:
        await pilot.press("p", *"check")
        await pilot.pause(0.5)
        await pilot.press("enter")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, FormDialog)
        assert pilot.app.screen.form.key.startswith("check:")


async def test_the_view_follows_what_another_window_writes(opened):
    shop = DemoShop()
    async with opened(shop) as pilot:
        step = pilot.app.view.step("locust_bench/legs/1/sand")
        shop.record(step, {"at": NOW - dt.timedelta(minutes=5)})
        pilot.app._look()
        await settle(pilot)
        await settle(pilot)
        assert pilot.app.view.step(step.id).done


async def test_what_is_written_in_haste_is_written_one_after_another(opened):
    class SlowShop(DemoShop):
        def __init__(self):
            super().__init__()
            self.writing = self.most = 0

        def note(self, project, words):
            self.writing += 1
            self.most = max(self.most, self.writing)
            time.sleep(0.05)
            self.writing -= 1
            return super().note(project, words)

    shop = SlowShop()
    async with opened(shop) as pilot:
        for number in range(4):
            pilot.app.act("noted", lambda number=number: shop.note("bench", f"note {number}"))
        await settle(pilot)
    assert len(shop.written) == 4
    assert shop.most == 1


def test_an_empty_wish_is_said_to_be_none():
    view = DemoShop().view
    (field,) = wish_form(view, view.steps[-1]).fields
    assert field.read("") == (None, "no wish")
