"""Desktop notices from the interface: each once on this machine, whoever else rings."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.alerts.notice import NotDelivered
from finplan.services.notify import memory_path, ring_due
from finplan.services.record import StepRef, record_step
from finplan.services.samples import load_sample
from finplan.services.session import open_session
from finplan.trade.numbers import COMMON_PRACTICE, Number
from finplan.tui.app import FinplanApp
from finplan.tui.models.timers import alarms, timers
from finplan.tui.shop import Shop
from tests.tui.conftest import settle, toasts
from tests.tui.demo_trade import NOW
from tests.tui.test_timers import MINUTE, oiled

EVENING = dt.datetime(2026, 10, 6, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def sent(monkeypatch, tmp_path):
    """What would be shown on the desktop; the memory of this machine is the test's own."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    titles: list[str] = []
    monkeypatch.setattr(
        "finplan.alerts.notice.send_notice", lambda notice: titles.append(notice.title)
    )
    return titles


@pytest.fixture
def data(tmp_path):
    """A sample oiled a while ago: its rags are to be minded."""
    place = str(tmp_path / "shop.db")
    with open_session(place, EVENING) as session:
        load_sample(session, "locust_bench")
        batch = session.store
        with batch.unit(writes=False) as unit:
            project = unit.projects.get("locust_bench")
        first = project.batches[0]
        for number, step in enumerate(first.steps):
            at = EVENING - dt.timedelta(hours=3) + number * dt.timedelta(minutes=5)
            record_step(session, StepRef("locust_bench", first.name, 1, step.key), at=at)
            if step.key == "coat-1":
                break
    return place


class Clocked(Shop):
    """A shop whose clock stands, that rings all the same."""

    def __init__(self, data):
        super().__init__(data, EVENING)
        self.fixed = False


async def test_what_has_come_rings_once_over_a_restart_and_beside_the_command(data, sent):
    for _ in range(2):
        app = FinplanApp(Clocked(data))
        async with app.run_test(notifications=True) as pilot:
            await settle(pilot)
            app.ring()
            await settle(pilot)
    assert sent and len(sent) == len(set(sent))
    with open_session(data, EVENING) as session:
        assert ring_due(session, memory_path()).titles == ()


async def test_where_no_desktop_answers_it_is_said_once(data, sent, monkeypatch):
    def away(notice):
        raise NotDelivered("the desktop took no notice (there is no session bus)")

    monkeypatch.setattr("finplan.alerts.notice.send_notice", away)
    app = FinplanApp(Clocked(data))
    async with app.run_test(notifications=True) as pilot:
        await settle(pilot)
        app.ring()
        await settle(pilot)
        assert toasts(app).count("no session bus") == 1


def test_a_pot_life_that_ended_is_told_of_and_the_rest_is_left_to_the_reminders():
    view = oiled(NOW - 10 * MINUTE, pot_life_hours=Number(0.5, COMMON_PRACTICE))
    (alarm,) = alarms(timers(view, NOW), NOW)
    assert "pot life" in alarm.title and alarm.key.startswith("pot:")
    assert alarms(timers(view, NOW - 25 * MINUTE), NOW - 25 * MINUTE) == ()


async def test_a_timer_that_comes_due_rings_the_bell_once(opened, monkeypatch):
    rung = []
    async with opened() as pilot:
        app = pilot.app
        monkeypatch.setattr(app, "bell", lambda: rung.append(1))
        app._arrived(oiled(NOW - 10 * MINUTE), 0)
        for minutes in (0, 4, 6, 6, 7):
            app._run_timers(NOW + minutes * MINUTE)
        app._arrived(oiled(NOW - 10 * MINUTE), 1)
        app._run_timers(NOW + 8 * MINUTE)
    assert rung == [1]
