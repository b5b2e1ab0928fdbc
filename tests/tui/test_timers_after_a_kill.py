"""Short timers outlive a program that was killed: they show, ring and are told of once."""

from __future__ import annotations

import asyncio
import datetime as dt
import signal
import subprocess
import sys
from functools import partial

import pytest

from finplan.services.projects import load_file
from finplan.services.record import StepRef, record_step, skip_step
from finplan.services.session import open_session
from finplan.tracking.timers import TimerKind
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from finplan.tui.widgets.lines import Lines
from tests.cli.conftest import BENCH, CUT_LIST
from tests.tui.conftest import settle
from tests.tui.terminal import ROOT, environment_in

RINGS_IN_S = 6.0
RECORDS_AND_WAITS = """
import asyncio, sys
from finplan.tui.app import FinplanApp
from finplan.tui.shop import Shop
from tests.tui.conftest import settle

async def main():
    app = FinplanApp(Shop(sys.argv[1]))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await pilot.press("d", "enter")
        await settle(pilot)
        assert app.view.step(sys.argv[2]).done
        print("recorded", flush=True)
        await asyncio.sleep(60)

asyncio.run(main())
"""


@pytest.fixture
def data(tmp_path):
    """The small bench, ready for its first coat."""
    (tmp_path / "cut_list.csv").write_text(CUT_LIST)
    (tmp_path / "bench.toml").write_text(BENCH)
    place, now = str(tmp_path / "shop.db"), dt.datetime.now(dt.UTC)
    with open_session(place, now) as session:
        load_file(session, tmp_path / "bench.toml")
        with session.store.unit(writes=False) as unit:
            (batch,) = unit.projects.get("bench").batches
        for step in batch.steps:
            if step.key == "coat-1":
                break
            skip_step(session, StepRef("bench", batch.name, 1, step.key), at=now)
    return place


@pytest.fixture
def sent(monkeypatch, tmp_path):
    """What would be shown on the desktop."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    titles: list[str] = []
    monkeypatch.setattr(
        "finplan.alerts.notice.send_notice", lambda notice: titles.append(notice.title)
    )
    return titles


def tell(rung):
    """Ring the bell: note when."""
    rung.append(dt.datetime.now(dt.UTC))


def kinds(app):
    return {timer.kind for timer, _ in app.running}


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that there")
async def test_timers_of_a_program_that_was_killed_go_on(data, tmp_path, sent):
    step = "bench/pieces/1/coat-1"
    child = subprocess.Popen(
        [sys.executable, "-c", RECORDS_AND_WAITS, data, step],
        stdout=subprocess.PIPE, env=environment_in(tmp_path), cwd=ROOT,
    )  # fmt: skip
    assert child.stdout is not None and child.stdout.readline() == b"recorded\n"
    child.send_signal(signal.SIGKILL)
    assert child.wait() == -signal.SIGKILL
    app = FinplanApp(Shop(data))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settle(pilot)
        assert {TimerKind.RAGS, TimerKind.WIPE_OFF} <= kinds(app)
        told = app.screen.query_one("#timers", Lines).to_copy()()
        assert "rags of penetrating oil" in told and "wipe off pieces" in told


async def test_a_timer_rings_in_its_minute_and_is_not_rung_again_by_a_restart(
    data, sent, monkeypatch
):
    ended = dt.datetime.now(dt.UTC) - dt.timedelta(minutes=15) + dt.timedelta(seconds=RINGS_IN_S)
    with open_session(data, dt.datetime.now(dt.UTC)) as session:
        record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=ended)
    for rings in (1, 0):
        rung: list[dt.datetime] = []
        app = FinplanApp(Shop(data))
        async with app.run_test(size=(80, 24), notifications=True) as pilot:
            monkeypatch.setattr(app, "bell", partial(tell, rung))
            await settle(pilot)
            before = len(rung)
            (wipe,) = (one for one, _ in app.running if one.kind is TimerKind.WIPE_OFF)
            left = (wipe.rings - dt.datetime.now(dt.UTC)).total_seconds()
            await asyncio.sleep(max(left, 0) + 2.5)
            await settle(pilot)
            assert len(rung) - before == rings and before == 0
            if rings:
                assert rung[0] >= wipe.rings
                assert "now wipe off" in app.screen.query_one("#timers", Lines).to_copy()()
    assert len(sent) == len(set(sent))
