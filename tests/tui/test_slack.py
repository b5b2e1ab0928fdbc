"""How much later a step can start is told wherever a step is explained."""

from __future__ import annotations

import asyncio
import datetime as dt
import threading

import pytest

from finplan.cli.app import main
from finplan.planning.ask import slack_said
from finplan.planning.plan import days_to_spare, spare_said
from finplan.tui.dialogs.sheet import StepSheet
from finplan.tui.models.bench import step_notes
from finplan.tui.models.paint import text_of
from finplan.tui.reading_app import REST_S
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from tests.tui.conftest import settle
from tests.tui.demo_shop import DemoShop

FIVE = "it can start up to 5 h later without anything being ready later"
PATIENCE_S = 60.0


async def rest(pilot):
    await asyncio.sleep(2 * REST_S)
    await settle(pilot)


def words(app, panel, width=70):
    lines = app.screen.query_one(f"#{panel}", Lines).in_full(width)
    return " ".join(" ".join(text_of(runs) for runs in lines).split())


@pytest.mark.parametrize(("key", "panel"), [("2", "reason"), ("4", "step-in-full")])
async def test_beside_the_step_that_is_marked(opened, key, panel):
    async with opened(DemoShop(), size=(120, 36)) as pilot:
        await pilot.press(key)
        await rest(pilot)
        assert FIVE in words(pilot.app, panel)


async def test_on_the_bench_and_in_the_sheet_of_a_step(opened):
    async with opened(DemoShop(), size=(120, 40)) as pilot:
        await rest(pilot)
        assert "It can start up to 5 h later" in words(pilot.app, "todo-notes", 200)
        await pilot.press("down", "enter")
        assert isinstance(pilot.app.screen, StepSheet)
        await rest(pilot)
        assert FIVE in words(pilot.app, "sheet-lines")


async def test_the_cursor_has_to_rest_and_another_step_stops_the_search(opened):
    class Slow(DemoShop):
        def __init__(self):
            super().__init__()
            self.asked, self.slow = [], False
            self.begun, self.stopped = threading.Event(), threading.Event()

        def slack(self, made, step, stopped):
            self.asked.append(step)
            if self.slow:
                self.slow = False
                self.begun.set()
                while not stopped() and not self.stopped.wait(0.01):
                    pass
                self.stopped.set()
            return FIVE

    shop = Slow()
    async with opened(shop, size=(120, 36)) as pilot:
        await rest(pilot)
        shop.slow = True
        await pilot.press("down")
        assert await asyncio.to_thread(shop.begun.wait, PATIENCE_S)
        await pilot.press("down")
        assert await asyncio.to_thread(shop.stopped.wait, PATIENCE_S)
        await rest(pilot)
        app, slow = pilot.app, shop.asked[1]
        assert slow not in app.slacks
        assert app.slacks[app.screen.chosen_step().id] == FIVE


async def test_what_is_written_makes_it_be_found_again(opened):
    async with opened(DemoShop(), size=(120, 36)) as pilot:
        await rest(pilot)
        before = set(pilot.app.slacks)
        await pilot.press("d", "enter")
        await settle(pilot)
        await rest(pilot)
        assert before and not before & set(pilot.app.slacks)


def test_short_notes_keep_the_reason_and_leave_it_out():
    view = DemoShop().view
    step = next(one for one in view.steps if not one.done and one.reason)
    told = {step.id: FIVE}
    tall = " ".join(text_of(one) for one in step_notes(view, step, 60, 12, told))
    short = " ".join(text_of(one) for one in step_notes(view, step, 60, 3, told))
    assert "It can start" in tall and "It can start" not in short and "Why then" in short


def test_the_interface_says_what_the_command_line_says(tmp_path, capsys):
    data, now = str(tmp_path / "try.sqlite"), "2026-10-05T17:00:00+02:00"
    shop = Shop(data, now)
    shop.load_sample("oak_door")
    view = shop.read()
    step = next(one for one in view.steps if one.person)
    said = shop.slack(view.planned, step.id, lambda: False)
    assert main(["--data", data, "--now", now, "why", "oak_door", step.id, "--slack"]) == 0
    assert said in " ".join(capsys.readouterr().out.split())
    assert shop.slack(view.planned, step.id, lambda: True) == slack_said(dt.timedelta(0))


def test_days_to_spare_are_counted_in_the_zone_asked_for():
    safe = dt.datetime(2026, 11, 12, 23, 30, tzinfo=dt.UTC)
    wanted = dt.date(2026, 11, 13)
    assert days_to_spare(safe, wanted, dt.UTC) == 1
    east = dt.timezone(dt.timedelta(hours=10))
    assert [days_to_spare(safe, wanted - dt.timedelta(days=n), east) for n in (0, 1)] == [0, -1]
    assert [spare_said(days) for days in (3, 1, 0, -1, -2)] == [
        "3 days to spare",
        "1 day to spare",
        "0 days to spare",
        "1 day too late",
        "2 days too late",
    ]
