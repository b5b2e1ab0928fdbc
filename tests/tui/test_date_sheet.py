"""The sheet on a project's date: it fills as answers come, asks about another date, and stops."""

from __future__ import annotations

import datetime as dt
import shutil
import threading
import time
import zoneinfo

import pytest

from finplan.cli.app import main
from finplan.planning.explain import why
from finplan.services.levers import Levers
from finplan.services.outlook import outlook
from finplan.services.planned import planned
from finplan.services.samples import samples_folder
from finplan.services.session import open_session
from finplan.trade.moments import say_date
from finplan.tui.dialogs.date import DateSheet
from finplan.tui.models import date
from finplan.tui.models.coats import chain_lines
from finplan.tui.models.paint import text_of
from finplan.tui.shop import Shop
from finplan.tui.thinking import verdict
from finplan.tui.widgets.lines import Lines
from tests.tui.conftest import settle
from tests.tui.demo_shop import DemoShop

PATIENCE_S = 60.0


def words(app):
    lines = app.screen.query_one("#sheet-lines", Lines)
    return "\n".join(text_of(runs) for runs in lines.in_full(72))


async def test_the_date_of_the_chosen_project_is_told_part_by_part(opened):
    async with opened(DemoShop()) as pilot:
        await pilot.press("3", "D")
        await settle(pilot)
        assert isinstance(pilot.app.screen, DateSheet)
        told = words(pilot.app)
        for part in (date.READY, date.CHANCE, date.LEVERS):
            assert part in told
        assert date.BY not in told  # no date is asked about
        assert "3 d sooner        shed 5 °C warmer" in told
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, DateSheet)


async def test_another_date_can_be_asked_about_by_keys_alone(opened):
    async with opened(DemoShop()) as pilot:
        await pilot.press("2", "D")
        await settle(pilot)
        await pilot.press("b")
        await settle(pilot)
        await pilot.press(*"2027-12-20", "enter")
        await settle(pilot)
        assert "To be safely ready by Mon 20 Dec 2027 work has to begin" in words(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (200, 50)], ids=str)
async def test_the_title_counts_the_lines_that_are_out_of_sight(opened, size):
    class Long(DemoShop):
        def about_date(self, project, by, tell, stopped):
            for part, lines in zip(date.PARTS, (3, 1, 14, 6), strict=True):
                tell(part, [date.Said(f"line {number}") for number in range(lines)])
                time.sleep(0.05)

    async with opened(Long(), size=size) as pilot:
        await pilot.press("3", "D")
        await settle(pilot)
        lines = pilot.app.screen.query_one("#sheet-lines", Lines)
        title = str(pilot.app.screen.query_one("#form-title").content)
        assert (lines.max_scroll_y > 0) == (size == (80, 24))
        assert title.endswith(f"{lines.max_scroll_y} lines more: ↓") == (size == (80, 24))
        assert ("more" in title) == (size == (80, 24))


async def test_closing_the_sheet_stops_what_is_looked_for(opened):
    class Slow(DemoShop):
        def __init__(self):
            super().__init__()
            self.begun, self.ended = threading.Event(), threading.Event()

        def about_date(self, project, by, tell, stopped):
            self.begun.set()
            while not stopped() and not self.ended.wait(0.01):
                pass
            self.ended.set()

    shop = Slow()
    async with opened(shop) as pilot:
        await pilot.press("3", "D")
        assert shop.begun.wait(PATIENCE_S)
        assert "looking …" in words(pilot.app)
        await pilot.press("escape")
        await settle(pilot)
        assert shop.ended.wait(PATIENCE_S)


def test_every_part_comes_from_the_data_and_agrees_with_the_plan(tmp_path):
    data, now = str(tmp_path / "try.sqlite"), "2026-10-05T17:00:00+02:00"
    shop = Shop(data, now)
    shop.load_sample("oak_door")
    told = {}
    shop.about_date("oak_door", None, told.__setitem__, lambda: False)
    assert list(told) == list(date.PARTS)
    text = "\n".join(f"{one.lead}{one.text}" for part in told.values() for one in part)
    with open_session(data, now) as session:
        seen = planned(session, ["oak_door"])
        ready = seen.ready_of("oak_door")
    wanted = say_date(ready.in_service_by)
    days = (ready.in_service_by - ready.safe.astimezone(seen.zone).date()).days
    assert text.count(f"{wanted}: {days} days to spare") == 1
    assert [one.text for one in told[date.READY]][-1] == outlook(seen, "oak_door").words
    assert f"safe    {ready.safe.astimezone(seen.zone):%a}" in text
    assert "work has to begin by" in text
    assert "such autumns" in text
    assert len(told[date.DOUBT]) == 3
    assert "8 of 10 ready dates would" in text
    assert "sooner" in text and "no change" in text


def test_a_date_too_soon_says_what_stands_in_the_way(tmp_path):
    shop = Shop(str(tmp_path / "try.sqlite"), "2026-10-05T17:00:00+02:00")
    shop.load_sample("locust_bench")
    told = {}
    by = dt.date(2026, 10, 25)
    shop.about_date("locust_bench", by, told.__setitem__, lambda: date.BY in told)
    text = "\n".join(one.text for one in told[date.BY])
    assert text.startswith("Not safely ready by Sun 25 Oct 2026, but on ")
    assert "Since the work hours of maker until then are not enough:" in text
    assert "each session of maker" in text and "slats with" in text
    assert date.LEVERS not in told  # it was stopped before


def test_only_ways_that_lead_to_a_plan_are_told_with_a_date():
    from finplan.planning.hindered import Hindrance, TooLate
    from finplan.planning.ways_out import Way

    at = dt.datetime(2026, 11, 6, 12, tzinfo=dt.UTC)
    first, second = Way("a fan", at), Way("longer sessions", at)
    hindrances = (
        Hindrance("the shed is cold", (), (first,), dated=False),
        Hindrance("the sessions are short", (), (second,), dated=True),
    )
    late = TooLate(dt.date(2026, 10, 25), at, hindrances, (), None)
    told = [one.text for one in date.deadline_part(None, late, zoneinfo.ZoneInfo("UTC"))]
    assert "a fan" in told
    assert any(text.startswith("longer sessions: ready ") for text in told)
    assert "With the first way of each above, any one of these frees it:" in told


def test_a_lever_that_harms_is_told_as_such_and_the_cost_with_it():
    from finplan.planning.levers import Lever, Pulled

    at = dt.datetime(2026, 11, 6, tzinfo=dt.UTC)
    pulled = Pulled(
        (
            Lever("finish on a", "varnish on a", at, dt.timedelta(days=4), 12.5),
            Lever("rack", "half as much rack again", at, dt.timedelta(0)),
            Lever("loads of a", "a in 2 loads", at, dt.timedelta(days=-4)),
        )
    )
    told = date.levers_part(Levers(at, pulled, True, dt.UTC))
    assert [(one.lead.strip(), one.text) for one in told] == [
        ("4 d sooner", "varnish on a, +12.50 for the finish"),
        ("4 d later", "a in 2 loads"),
        ("no change", "half as much rack again"),
        ("", "Reckoned with no other project beside it."),
    ]


def test_a_step_in_full_tells_what_leads_to_it(tmp_path):
    shop = Shop(str(tmp_path / "try.sqlite"), "2026-10-05T17:00:00+02:00")
    shop.load_sample("oak_door")
    view = shop.read()
    step = next(one for one in view.steps if one.step == "coat-2-first")
    told = [text_of(runs) for runs in chain_lines(view, step, 72)]
    assert told[1].startswith("What leads to it")
    assert len(told) == len(why(view.planned.plan, step.id).chain) + 1
    assert "Scuff" in told[-2] and told[-1].rstrip().endswith("20:30")
    assert chain_lines(view, view.steps[0], 72) == ()


def test_what_frees_a_plan_is_told_in_the_workshop_s_zone(tmp_path, monkeypatch):
    monkeypatch.setenv("TZ", "America/New_York")
    folder, data = tmp_path / "bench", str(tmp_path / "try.sqlite")
    shutil.copytree(samples_folder() / "locust_bench", folder)
    file = folder / "project.toml"
    short = file.read_text(encoding="utf-8").replace("minutes = 180", "minutes = 45")
    file.write_text(short.replace("minutes = 540", "minutes = 45"), encoding="utf-8")
    now = "2026-10-05T17:00:00+02:00"
    assert main(["--data", data, "--now", now, "load", str(file)]) == 0
    view = Shop(data, now).read()
    assert view.fault
    assert view.zone == "Europe/Berlin"
    assert "20:00)" in " ".join(view.ways_out)


def test_what_a_search_came_to_speaks_of_all_projects_where_there_are_several(tmp_path):
    shop = Shop(str(tmp_path / "try.sqlite"), "2026-10-05T17:00:00+02:00")
    shop.load_sample("oak_door")
    one = shop.read()
    assert verdict(one, one) == "The plan stands: none can be ready sooner."
    shop.load_sample("locust_bench")
    two = shop.read()
    assert verdict(two, two) == "The plan stands: none can have all ready sooner."
