"""Who looks at a workshop from another zone is told whose clock the times are of."""

from __future__ import annotations

import pytest

from finplan.tui.app import FinplanApp
from finplan.tui.models.bench import todo_title
from finplan.tui.shop import Shop
from finplan.tui.widgets.top_bar import TopBar
from tests.tui.conftest import settle

NOW = "2026-10-06T17:00:00+00:00"


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    place = str(tmp_path_factory.mktemp("zone") / "shop.db")
    Shop(place, NOW).load_sample("oak_door")
    return place


def bar(app):
    return "".join(one.text for one in app.screen.query_one(TopBar).render_line(0))


@pytest.mark.parametrize(
    ("zone", "hour", "word"),
    [
        ("America/Denver", "11:00", "MDT"),
        ("America/Sao_Paulo", "14:00", "UTC-03"),
        ("Europe/Oslo", "19:00", ""),
        (None, "19:00", ""),
    ],
)
async def test_the_top_line_and_the_work_to_do_name_another_zone(data, zone, hour, word):
    app = FinplanApp(Shop(data, NOW, zone=zone))
    async with app.run_test(size=(120, 36)) as pilot:
        await settle(pilot)
        assert bar(app).rstrip().endswith(f"Tue 6 Oct {hour} {word}".rstrip())
        assert (f" {word} · " in todo_title(app.view)) == bool(word)


async def test_on_a_small_terminal_the_hour_stays(data):
    app = FinplanApp(Shop(data, NOW, zone="America/Denver"))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert bar(app).rstrip().endswith("11:00")
        assert "11:00 to 13:30 MDT" in todo_title(app.view)


def test_times_are_read_and_shown_in_the_zone_asked_for(data):
    view = Shop(data, NOW, zone="America/Denver").read()
    assert (view.zone, view.workshop.zone, view.elsewhere) == (
        "America/Denver",
        "Europe/Berlin",
        "MDT",
    )
    assert view.steps[0].start.astimezone(view.planned.zone).hour == 11
