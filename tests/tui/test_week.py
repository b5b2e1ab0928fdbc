"""Evenings of work recorded at the bench, from the top of the list."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.services.planned import planned
from finplan.services.session import open_session
from finplan.trade.steps import WAITING_KINDS, StepKind
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from finplan.tui.widgets.table_view import TableView
from tests.tui.conftest import settle

NOW = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def data(door):
    return door


def steps_left(data, now):
    with open_session(data, now) as session:
        plan = planned(session, ["oak_door"]).plan
    return [s for s in plan.steps if not s.done and s.kind not in WAITING_KINDS]


async def record_top(data, now):
    """Record the top of the bench's list at some moment; return the step and the view after."""
    app = FinplanApp(Shop(data, now))
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await settle(pilot)
        key = app.screen.query_one("#todo", TableView).key
        await pilot.press("d", "enter")
        await settle(pilot)
        await settle(pilot)
        assert app.view.step(key).done, key
        return app.view.step(key), app.view


async def test_a_week_of_work_is_recorded_from_the_top_of_the_list(data):
    now, kinds = NOW, []
    for _ in range(7):
        now = max(now, steps_left(data, now)[0].end)
        step, view = await record_top(data, now)
        kinds.append(step.kind)
    assert StepKind.COAT in kinds
    assert len(view.entries) == 7
    assert not any(item.step == step.step for item in view.overview.overdue)
