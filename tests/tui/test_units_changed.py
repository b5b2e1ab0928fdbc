"""Inches or metric units: a key changes them, and the next start keeps them."""

from __future__ import annotations

from finplan.tui.app import FinplanApp
from finplan.tui.settings import Memory
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from tests.tui.conftest import settle, toasts
from tests.tui.test_workshops import NOW


def air_shown(app):
    return app.screen.query_one("#air-words", Lines).to_copy()()


async def test_a_key_changes_the_units_and_the_next_start_keeps_them(door, tmp_path):
    data, kept = door, tmp_path / "terminal.json"
    app = FinplanApp(Shop(data, NOW), Memory(kept))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        await pilot.press("6")
        assert "°C" in air_shown(app) and "°F" not in air_shown(app)
        await pilot.press("f8")
        await settle(pilot)
        assert "Inches, °F and fluid ounces" in toasts(app)
        assert "°F" in air_shown(app) and "°C" not in air_shown(app)
    assert Memory(kept).units == "imperial"
    again = FinplanApp(Shop(data, NOW, Memory(kept).units), Memory(kept))
    async with again.run_test(notifications=True) as pilot:
        await settle(pilot)
        assert not again.view.measures.metric
        await pilot.press("f8")
        await settle(pilot)
        assert again.view.measures.metric
    assert Memory(kept).units == "metric"


async def test_the_first_screen_names_the_key(tmp_path):
    app = FinplanApp(Shop(str(tmp_path / "new.db"), NOW))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        for other in ("inches, °F", "metric units", "inches, °F"):
            told = " ".join(app.screen.query_one("#welcome", Lines).to_copy()().split())
            assert f"F8: {other}" in told
            await pilot.press("f8")
            await settle(pilot)


def test_units_nobody_offers_are_passed_over(tmp_path):
    kept = tmp_path / "terminal.json"
    for text in ('{"units": "cubits"}', '{"units": 7}', "{}"):
        kept.write_text(text)
        assert Memory(kept).units is None
