"""Each sample from file to plan, journal, calendar and back, through the command line."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from finplan.cli.app import main
from finplan.services.samples import samples
from tests.calendars.lint import faults
from tests.tools.working import work_until

NAMES = ("beech_worktop", "locust_bench", "oak_door")
BEGINS = dt.datetime.fromisoformat("2026-10-05T17:00+02:00")
FIVE_DAYS = dt.timedelta(days=5)


@pytest.fixture
def finplan(tmp_path, capsys):
    """Run a verb on data of this test's own; return what it prints."""

    def run(*words, data="one.sqlite", now=BEGINS):
        status = main(["--data", str(tmp_path / data), "--now", now.isoformat(), *map(str, words)])
        told = capsys.readouterr()
        assert status == 0, told.err
        return told.out

    return run


def plan_of(finplan, name, **more):
    return json.loads(finplan("plan", name, "--json", **more))


def moment(text):
    return dt.datetime.fromisoformat(text)


def test_the_samples_are_four_and_dated():
    known = {sample.name: sample.as_of for sample in samples()}
    assert tuple(known) == ("beech_worktop", "lake_cabin", "locust_bench", "oak_door")
    assert {known[name] for name in NAMES} == {BEGINS}
    assert known["lake_cabin"] == dt.datetime.fromisoformat("2026-04-18T10:00+02:00")


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_says_that_it_is_invented(name):
    (sample,) = [one for one in samples() if one.name == name]
    assert "invented" in sample.file.read_text(encoding="utf-8").split("[workshop]")[0].lower()
    assert sample.file.with_name("cut_list.csv").is_file()


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_plans_within_weeks(finplan, name):
    finplan("sample", name)
    plan = plan_of(finplan, name)
    assert plan["project"] == name
    last_work = max(moment(step["end"]) for step in plan["steps"] if step["kind"] != "release")
    assert BEGINS < last_work < BEGINS + dt.timedelta(weeks=6)
    assert moment(plan["ready"]) < BEGINS + dt.timedelta(weeks=10)
    assert not any("does not hold" in warning for warning in plan["warnings"])


def test_the_three_samples_plan_together_within_weeks(finplan):
    for name in NAMES:
        finplan("sample", name)
    plans = json.loads(finplan("plan", *NAMES, "--json"))["plans"]
    assert [plan["project"] for plan in plans] == list(NAMES)
    for plan in plans:
        assert moment(plan["ready"]) < BEGINS + dt.timedelta(weeks=10)
        assert not any("does not hold" in warning for warning in plan["warnings"])


@pytest.mark.parametrize("name", NAMES)
def test_plan_track_export_reopen(finplan, tmp_path, name):
    finplan("sample", name)
    before = plan_of(finplan, name)
    done = work_until(str(tmp_path / "one.sqlite"), BEGINS, BEGINS + FIVE_DAYS, [name])
    assert done >= 6
    now = BEGINS + FIVE_DAYS
    tracked = plan_of(finplan, name, now=now)
    assert sum(step["done"] for step in tracked["steps"]) == done
    assert any(step["kind"] == "coat" and step["done"] for step in tracked["steps"])

    # A coat a day late moves what follows, and the plan says so.
    late = next(
        step for step in tracked["steps"] if not step["done"] and step["kind"] not in ("release",)
    )
    ended = moment(late["end"]) + dt.timedelta(hours=20)
    batch_load_step = late["id"].removeprefix(f"{name}/")
    finplan("record", "step", name, batch_load_step, now=ended)
    moved = plan_of(finplan, name, now=ended)
    assert sum(step["done"] for step in moved["steps"]) == done + 1
    assert moment(moved["ready"]) >= moment(before["ready"])

    calendar = tmp_path / "out.ics"
    finplan("calendar", name, "-o", calendar, now=ended)
    assert faults(calendar.read_bytes()) == []
    assert calendar.read_bytes().count(b"BEGIN:VEVENT") >= 5
    again = calendar.read_bytes()
    finplan("calendar", name, "-o", calendar, now=ended)
    assert calendar.read_bytes() == again

    saved = tmp_path / "saved.toml"
    finplan("save", name, "-o", saved, now=ended)
    finplan("load", saved, data="two.sqlite", now=ended)
    assert plan_of(finplan, name, data="two.sqlite", now=ended) == moved
    finplan("save", name, "-o", tmp_path / "again.toml", data="two.sqlite", now=ended)
    assert (tmp_path / "again.toml").read_bytes() == saved.read_bytes()
