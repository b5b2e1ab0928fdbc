"""Colours, sizes and hostile names: what must hold on every screen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from textual.color import Color

from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.too_small import TooSmall
from finplan.tui.models.paint import Role
from finplan.tui.models.view import View
from finplan.tui.screens.page import Page
from finplan.tui.settings import Chosen
from finplan.tui.shop import Shop
from finplan.tui.themes import DARK, LIGHT
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.painter import CURSOR, CURSOR_AWAY
from finplan.tui.widgets.table_view import TableView
from finplan.tui.widgets.timeline import Timeline
from tests.tui.conftest import settle
from tests.tui.demo_plan import DemoPlanned, demo_view
from tests.tui.demo_shop import DemoShop
from tests.tui.demo_trade import BENCH, DOOR, NOW, ZONE

AREAS = "12345678"
WCAG_AA = 4.5
"""Least contrast of body text: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3."""


def luminance(color: Color) -> float:
    """Relative luminance by WCAG 2.2."""
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in color.normalized
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: Color, other: Color) -> float:
    """Contrast ratio by WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [DARK.name, LIGHT.name])
async def test_every_role_is_legible_on_every_background(opened, theme):
    async with opened() as pilot:
        pilot.app.theme = theme
        await pilot.pause()
        backgrounds = {
            name: pilot.app.get_component_styles(f"role--{name}").background
            for name in (CURSOR, CURSOR_AWAY)
        }
        variables = pilot.app.get_css_variables()
        backgrounds["page"] = Color.parse(variables["background"])
        backgrounds["sheet"] = Color.parse(variables["surface"])
        backgrounds["bar"] = Color.parse(variables["panel"])
        for role in Role:
            styles = pilot.app.get_component_styles(f"role--{role.value}")
            own = styles.background
            for name, background in backgrounds.items():
                behind = background + own if own.a else background
                ratio = contrast(behind, behind + styles.color)
                assert ratio >= WCAG_AA, (theme, role, name, ratio)


@pytest.mark.parametrize("size", [(60, 16), (160, 48)])
async def test_every_area_draws_at_every_size(opened, size):
    async with opened(size=size) as pilot:
        for key in AREAS:
            await pilot.press(key)
            await pilot.pause()
            assert "Traceback" not in pilot.app.export_screenshot()
            for node in pilot.app.screen.focus_chain:
                assert node.region.width > 0 and node.region.height > 0, node


def hostile_view():
    name = "[bold red]x[/] \x1b[31m\x07\u202e" + "W" * 10_000
    view = demo_view()
    planned = view.planned
    projects = {
        BENCH.name: replace(BENCH, title=name, notes=name),
        DOOR.name: replace(DOOR, parts=tuple(replace(p, name=name) for p in DOOR.parts)),
    }
    steps = tuple(replace(s, title=name, reason=name, person=name) for s in view.steps)
    plan = replace(planned.plan, steps=steps)
    hostile = DemoPlanned(plan, planned.workshop, projects, planned.progress, planned.finishes)
    entries = tuple(replace(e, by=name, details={"note": name}) for e in view.entries)
    return replace(view, planned=hostile, entries=entries)


async def test_hostile_names_break_nothing(opened):
    async with opened(DemoShop(hostile_view()), size=(120, 36)) as pilot:
        for key in AREAS:
            await pilot.press(key)
            await pilot.pause()
            picture = pilot.app.export_screenshot()
            assert "\x1b" not in picture and "\u202e" not in picture
        await pilot.press("1", "d")
        await pilot.pause()
        assert "[bold" in pilot.app.screen.form.title
        await pilot.press("escape", "enter")
        await pilot.pause()
        await pilot.press("escape", "v")
        await pilot.pause()


async def test_without_colour_every_state_still_has_its_symbol_and_word(monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    app = FinplanApp(DemoShop())
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        text = app.screen.query_one("#todo", TableView).to_copy()()
        assert "! overdue" in text and "● now" in text and "○ planned" in text
        picture = app.export_screenshot()
        assert app.no_color and "overdue" in picture


@pytest.mark.parametrize("colours", ["ansi-dark", "ansi-light"])
async def test_the_terminals_own_colours_may_be_kept(colours):
    app = FinplanApp(DemoShop(), chosen=Chosen(colours=colours))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert app.theme == colours
        assert app.screen.query_one("#todo", TableView).key


async def test_without_a_plan_the_reason_stands_on_the_bench_and_no_area_breaks(opened):
    why = "no work window is as long as sanding takes: 3 h are needed"
    shop = DemoShop(View(NOW, ZONE, None, None, (), why))
    async with opened(shop) as pilot:
        lines = pilot.app.screen.query_one("#drying", Lines)
        assert why in lines.to_copy()().replace("\n", " ")
        for key in AREAS:
            await pilot.press(key)
        await pilot.press("d", "v")
        await pilot.pause()
        assert pilot.app.screen is not None


async def test_the_timeline_changes_its_colours_with_the_theme(opened):
    async with opened() as pilot:
        await pilot.press("2")
        await pilot.pause()
        line = pilot.app.screen.query_one(Timeline)
        before = [segment.style for segment in line.render_line(3)]
        await pilot.press("f9")
        await pilot.pause()
        after = [segment.style for segment in line.render_line(3)]
        assert before[0].bgcolor != after[0].bgcolor


async def test_too_small_is_said_in_every_area_and_goes_away_in_every_area(tmp_path):
    app = FinplanApp(Shop(str(tmp_path / "empty.db"), "2026-10-13T18:40:00+02:00"))
    async with app.run_test(size=(59, 15)) as pilot:
        await settle(pilot)
        assert app.current_mode == "start"
        assert isinstance(app.screen, TooSmall)
        await pilot.resize_terminal(80, 24)
        await settle(pilot)
        for key in ("1", "2", "N"):
            await pilot.press(key)
            await settle(pilot)
            assert isinstance(app.screen, Page), key
