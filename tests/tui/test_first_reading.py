"""The first reading is made beside the loading of the screens, and is the same as any other."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys

import pytest

from finplan.services.samples import load_sample
from finplan.services.session import open_session
from finplan.tui import first_reading
from finplan.tui.app import FinplanApp
from finplan.tui.first_reading import FirstReading
from finplan.tui.screens.pages import PAGES
from finplan.tui.shop import Shop
from tests.tui.conftest import settle
from tests.tui.terminal import ROOT, environment_in, run_on_a_terminal

NOW = dt.datetime(2026, 10, 5, 15, 0, tzinfo=dt.UTC)


@pytest.fixture
def data(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    where = str(tmp_path / "shop.db")
    with open_session(where, NOW) as session:
        load_sample(session, "oak_door")
    return where


def test_it_is_what_the_program_would_read_itself(data):
    first = FirstReading(data, NOW.isoformat(), "imperial", "Europe/Oslo")
    shop = Shop(data, NOW, "imperial", "Europe/Oslo")
    assert first.opened()
    stamp, view = first.take()
    own = shop.read()
    assert stamp == shop.stamp()
    assert view.planned.plan == own.planned.plan
    assert view.overview == own.overview
    assert (view.now, view.zone, view.entries) == (own.now, own.zone, own.entries)
    assert view.measures == own.measures
    assert all(step is view.step(step.id) for step in view.overview.tonight)


def test_data_that_cannot_be_opened_is_left_to_the_program(tmp_path):
    broken = tmp_path / "notes.db"
    broken.write_text("no database, but long enough to be looked at " * 40)
    assert not FirstReading(str(broken), None, None, None).opened()


def test_where_no_process_is_to_be_had_the_program_reads_itself(data, monkeypatch):
    def refused(work, *, copied=False):
        raise BlockingIOError("no more processes")

    monkeypatch.setattr(first_reading, "start_aside", refused)
    first = FirstReading(data, NOW.isoformat(), None, None)
    assert not first.opened()
    assert first.take() is None


async def test_where_it_breaks_off_the_program_reads_itself(data):
    first = FirstReading(data, NOW.isoformat(), None, None)
    assert first.opened()
    first._child.kill()
    app = FinplanApp(Shop(data, NOW), first=first)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert app.view.planned.projects.keys() == {"oak_door"}


async def test_it_is_shown_and_the_program_reads_nothing_then(data):
    class Silent(Shop):
        def read(self, seconds=0.0, stopped=lambda: False):
            raise AssertionError("read a second time")

    first = FirstReading(data, NOW.isoformat(), None, None)
    assert first.opened()
    app = FinplanApp(Silent(data, NOW), first=first)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert app.view.planned.projects.keys() == {"oak_door"}


def test_it_shows_the_workshop_shown_last(data, monkeypatch):
    seen = []

    class Line:
        def recv(self):
            return data, NOW.isoformat(), None, None

        def send(self, said):
            seen.append(said)

    monkeypatch.setattr(Shop, "read", lambda shop: shop.workshop)
    first_reading.usual_memory(data).keep_workshop("shed")
    first_reading.read_first(Line())
    assert [said if said is True else said[1] for said in seen] == [True, "shed"]


AT_FIRST = """
import sys
from pathlib import Path
from finplan.tui.screens.bench import BenchPage

def show(self, view, before=BenchPage.show):
    before(self, view)
    if not Path(sys.argv[1]).exists():
        Path(sys.argv[1]).write_text(" ".join([view.planned.shown[0], *sys.modules]))
        self.app.exit()

BenchPage.show = show
from finplan.cli.app import main
sys.exit(main(sys.argv[2:]))
"""
NOT_AT_FIRST = (
    "sqlalchemy", "sqlmodel", "alembic", "pydantic", "ortools", "icalendar", "matplotlib",
    "tomlkit", "psycopg", "dateutil", "numpy.ma", "numpy.random", "finplan.store",
    "finplan.calendars", "finplan.planning.make", "finplan.planning.forward",
    "finplan.planning.check",
    *(f"finplan.tui.screens.{area}" for area in PAGES if area != "bench"),
)  # fmt: skip


@pytest.mark.skipif(sys.platform != "linux", reason="needs a pseudo terminal, and a copy by fork")
def test_what_the_list_of_what_to_do_waits_for_on_a_terminal(tmp_path):
    environment = environment_in(tmp_path)
    data = ["--data", str(tmp_path / "shop.db"), "--now", NOW.isoformat()]
    program = [sys.executable, "-m", "finplan", *data, "sample", "oak_door"]
    subprocess.run(program, check=True, capture_output=True, env=environment, cwd=ROOT)
    told = tmp_path / "loaded"
    status, _ = run_on_a_terminal([sys.executable, "-c", AT_FIRST, str(told), *data], environment)
    assert status == 0
    shown, *loaded = told.read_text().split()
    assert shown == "oak_door"
    assert "finplan.tui.screens.bench" in loaded
    assert [name for name in NOT_AT_FIRST if name in loaded] == []
