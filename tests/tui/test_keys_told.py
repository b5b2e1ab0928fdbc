"""Keys are told of wherever they live: in the footer, in the help, in the palette."""

from __future__ import annotations

import pytest

from finplan.tui.commands import Actions
from finplan.tui.dialogs.sheet import Sheet
from finplan.tui.keys import in_order
from finplan.tui.screens.pages import PAGES
from finplan.tui.widgets.key_line import KeyLine
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.top_bar import AREAS
from tests.tui.conftest import settle

KEYS = {area: key for key, area, _ in AREAS} | {"start": "N", "workshop": "S"}
SIZES = [(60, 16), (80, 24), (120, 36), (200, 50)]
DIALOGS = {"form": "d", "step": "enter", "help": "question_mark", "check": "c"}


def focusable(screen):
    """Every widget of a page that takes the focus, or None where none does."""
    return list(screen.focus_chain) or [None]


def told_below(pilot):
    """Words in the footer, all of them in sight."""
    foot = pilot.app.screen.query_one(KeyLine)
    shown = "".join(segment.text for segment in foot.render_line(0))
    assert foot.region.bottom == pilot.app.size.height
    words = [words for _, _, words in foot.live]
    assert all(one in shown for one in words), (words, shown)
    return words


def test_there_is_a_key_for_every_page():
    assert set(KEYS) == set(PAGES)


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_the_footer_has_three_to_five_keys_whatever_has_the_focus(opened, size):
    async with opened(size=size) as pilot:
        for key in KEYS.values():
            await pilot.press(key)
            await settle(pilot)
            for widget in focusable(pilot.app.screen):
                if widget is not None:
                    widget.focus()
                await pilot.pause()
                assert 3 <= len(told_below(pilot)) <= 5, (key, widget, told_below(pilot))


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("key", DIALOGS.values(), ids=DIALOGS)
async def test_so_has_the_footer_of_a_dialog(opened, size, key):
    async with opened(size=size) as pilot:
        await pilot.press("down", key)
        await settle(pilot)
        assert 3 <= len(told_below(pilot)) <= 5, told_below(pilot)


@pytest.mark.parametrize("area", KEYS)
async def test_help_and_palette_tell_every_live_key_of_every_thing(opened, area):
    async with opened() as pilot:
        await pilot.press(KEYS[area])
        await settle(pilot)
        page = pilot.app.screen
        for widget in focusable(page):
            if widget is not None:
                widget.focus()
            await pilot.pause()
            live = {
                (one.binding.description, pilot.app.get_key_display(one.binding))
                for one in in_order(page.active_bindings.values())
            }
            assert len(live) > len(KEYS), "the keys of the areas alone are too few"
            palette = {hit.text: str(hit.display) async for hit in Actions(page).discover()}
            here = {
                f"Here: {one.binding.description}": pilot.app.get_key_display(one.binding)
                for one in in_order(page.active_bindings.values())
                if one.node is not pilot.app
            }
            for words in here:
                keys = {k for said, k in live if f"Here: {said}" == words}
                assert any(palette[words].endswith(f"·  {key}") for key in keys), words
            await pilot.press("question_mark")
            await pilot.pause()
            assert isinstance(pilot.app.screen, Sheet)
            lines = pilot.app.screen.query_one("#sheet-lines", Lines)
            told = " ".join("".join(run.text for run in one) for one in lines.in_full(70))
            if widget is not None and getattr(widget, "HELP", ""):
                assert widget.HELP.split()[0] in told
            for words, key in live:
                assert words in told and f"{key} " in told, (widget, words, key)
            await pilot.press("escape")
            await pilot.pause()


async def test_dead_keys_are_not_told(opened):
    async with opened() as pilot:
        await pilot.press("6")
        await settle(pilot)
        ids = {one.binding.id for one in pilot.app.screen.active_bindings.values()}
        assert not ids & {"list.search", "list.all"}
        await pilot.press("1")
        await settle(pilot)
        ids = {one.binding.id for one in pilot.app.screen.active_bindings.values()}
        assert "list.search" in ids and "list.all" not in ids
        await pilot.press("slash", "d", "o", "enter")
        await settle(pilot)
        ids = {one.binding.id for one in pilot.app.screen.active_bindings.values()}
        assert "list.all" in ids


@pytest.mark.parametrize("size", [(60, 16), (80, 24)], ids=str)
async def test_a_sheet_scrolls_and_says_what_is_left(opened, size):
    async with opened(size=size) as pilot:
        await pilot.press("question_mark")
        await settle(pilot)
        lines = pilot.app.screen.query_one("#sheet-lines", Lines)
        title = pilot.app.screen.query_one("#form-title")
        assert f"{lines.max_scroll_y} lines more: ↓" in str(title.content)
        for _ in range(8):
            await pilot.press("space")
        await pilot.pause()
        assert lines.scroll_offset.y == lines.max_scroll_y > 0
        assert "more" not in str(title.content)
        sheet = pilot.app.screen.query_one("#sheet")
        assert lines.region.bottom <= sheet.region.bottom - 1
