"""A recoat window closes while nobody is at the bench: what is said, and what comes of it."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.services.projects import load_file
from finplan.services.session import open_session
from finplan.trade.steps import WAITING_KINDS, StepKind
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from finplan.tui.widgets.table_view import TableView
from tests.cli.conftest import BENCH, CUT_LIST
from tests.tui.conftest import settle, toasts

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)
COAT_2 = "bench/pieces/1/coat-2"
SCUFF_2 = "bench/pieces/1/scuff-2"


@pytest.fixture
def data(tmp_path):
    (tmp_path / "cut_list.csv").write_text(CUT_LIST)
    (tmp_path / "bench.toml").write_text(BENCH)
    place = str(tmp_path / "shop.db")
    with open_session(place, NOW) as session:
        load_file(session, tmp_path / "bench.toml")
    return place


def first_open(view):
    return next(s for s in view.steps if not s.done and s.kind not in WAITING_KINDS)


def coated_once(data):
    """Record all up to the first coat and its wiping; return the moment after."""
    now = NOW
    while (step := first_open(Shop(data, now).read())).coat < 2:
        now = max(now, step.end)
        Shop(data, now).record(step, {"at": now})
    return now


async def at_the_bench(data, now, *keys):
    """Open the bench at a moment and press keys; return the view and what is said of windows."""
    app = FinplanApp(Shop(data, now))
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await settle(pilot)
        top = app.screen.query_one("#todo", TableView).key
        for key in keys:
            await pilot.press(key)
            await settle(pilot)
        await settle(pilot)
        return app.view, app.screen.query_one("#windows", Lines).to_copy()(), top


def ready(view):
    return view.planned.ready_of("bench").safe


async def test_a_window_that_closes_unrecorded_brings_a_scuffing_and_moves_the_dates(data):
    now = coated_once(data)
    view, said, _ = await at_the_bench(data, now)
    before, (window,) = ready(view), view.overview.windows
    assert window.next_step.id == COAT_2
    assert "Coat 2" in said and "18 Oct" in said and "scuff" not in said
    assert view.step(SCUFF_2) is None

    now = window.closes + dt.timedelta(hours=1)
    view, said, _ = await at_the_bench(data, now)
    assert "■ Coat 2" in said and "closed, scuff first" in said
    assert "No recoat window" not in said
    assert first_open(view).id == SCUFF_2
    assert view.step(SCUFF_2).end <= view.step(COAT_2).start
    assert ready(view) > before

    now = view.step(SCUFF_2).end
    view, said, top = await at_the_bench(data, now, "d", "enter")
    assert top == SCUFF_2
    assert view.step(SCUFF_2).done
    assert "No recoat window is closing." in said and "scuff" not in said

    while not view.step(COAT_2).done:
        now = max(now, first_open(view).end)
        view, said, _ = await at_the_bench(data, now, "d", "enter")
    assert "scuff" not in said
    done = [step.kind for step in view.steps if step.done]
    assert done.count(StepKind.SCUFF) == 1
    assert not any("window" in warning for warning in view.overview.warnings)


def warned(app):
    return [one for one in app._notifications if one.severity == "warning"]


@pytest.mark.parametrize("keys", [("d", "enter"), ("4", "d", "enter")])
async def test_a_coat_that_calls_for_wiping_says_so_in_a_warning(data, keys):
    now = NOW
    while (step := first_open(Shop(data, now).read())).kind is not StepKind.COAT:
        now = max(now, step.end)
        Shop(data, now).record(step, {"at": now})
    app = FinplanApp(Shop(data, step.end))
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await settle(pilot)
        for key in keys:
            await pilot.press(key)
            await settle(pilot)
        (heed,) = warned(app)
        assert heed.message.startswith("Wipe it off between") and heed.timeout >= 15
        assert app.view.step(step.id).done


async def test_a_coat_put_on_unscuffed_after_its_window_says_so_however_recorded(data):
    now = coated_once(data)
    (window,) = Shop(data, now).read().overview.windows
    app = FinplanApp(Shop(data, window.closes + dt.timedelta(hours=3)))
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await settle(pilot)
        app.ask_about(app.view.step(COAT_2), "done")
        await pilot.pause()
        await pilot.press("enter")
        await settle(pilot)
        assert any("window closed" in one.message for one in warned(app)), toasts(app)
