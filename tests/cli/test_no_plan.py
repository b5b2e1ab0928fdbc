"""No plan, or none by a date: what stands in the way, what frees it, and the exit status."""

from __future__ import annotations

import pytest

from tests.cli.conftest import BENCH

TOO_SHORT = BENCH.replace("minutes = 180", "minutes = 45").replace("minutes = 540", "minutes = 45")


@pytest.fixture
def stuck(empty):
    """A shell on a bench that nobody has a session long enough for."""
    empty.right("load", empty.file("bench.toml", TOO_SHORT))
    return empty


def test_without_any_plan_the_reasons_and_ways_are_printed(stuck):
    answer = stuck("plan", "bench")
    assert answer.status == 2
    assert answer.err.count("\n") == 1
    assert "no work window of Maker is longer than 45 min" in answer.err
    assert answer.out.startswith("No plan is possible")
    assert "since Maker works 45 min at a stretch at most" in answer.words
    assert "any one of these frees it: each session of Maker" in answer.words


def test_without_any_plan_the_json_says_why(stuck):
    answer = stuck("plan", "bench", "--json")
    assert answer.status == 2
    told = answer.json
    assert list(told) == [
        "projects",
        "now",
        "method",
        "ready",
        "steps",
        "fault",
        "hindrances",
    ]
    assert (told["projects"], told["method"], told["steps"]) == (["bench"], "infeasible", [])
    (hindrance,) = told["hindrances"]
    assert [(one["kind"], one["about"]) for one in hindrance["reasons"]] == [("hours", "Maker")]
    for way in hindrance["ways"]:
        assert way["ready"].endswith("Z")


def test_the_first_way_named_does_free_a_plan(stuck):
    way = stuck("plan", "bench", "--json").json["hindrances"][0]["ways"][0]
    more = int(way["about"].removeprefix("each session of Maker ").removesuffix(" min longer"))
    longer = BENCH.replace("minutes = 180", f"minutes = {45 + more}")
    longer = longer.replace("minutes = 540", f"minutes = {45 + more}")
    longer = longer.replace('"bench"', '"again"').replace("11111111", "22222222")
    stuck.right("load", stuck.file("again.toml", longer.replace('"shed"', '"barn"')))
    assert stuck.right("plan", "again", "--json").json["ready"] == way["ready"]


def test_a_date_that_cannot_be_met_says_why_and_what_to_drop(shell):
    ready = shell.right("plan", "bench", "--json").json["ready"]
    answer = shell.right("plan", "bench", "--ready-by", "2026-10-20", "--json").json
    deadline = answer["deadline"]
    assert list(deadline) == [
        "by",
        "met",
        "begin_by",
        "days_to_spare",
        "said",
        "hindrances",
        "drops",
        "closest",
        "all_drops_tried",
    ]
    assert (deadline["by"], deadline["met"], deadline["days_to_spare"]) == ("2026-10-20", False, 0)
    assert answer["ready"] == ready
    assert deadline["hindrances"]
    *others, last = deadline["hindrances"]
    assert all(way["ready"] is None for one in others for way in one["ways"])
    ways = last["ways"]
    for way in (*ways, *deadline["drops"]):
        assert way["ready"] < "2026-10-20T22:00:00Z"
    assert deadline["all_drops_tried"]
    text = shell.right("plan", "bench", "--ready-by", "2026-10-20").words
    assert text.startswith("Not safely ready by Tue 20 Oct 2026, but on ")


def test_a_date_that_can_be_met_says_when_to_begin(shell):
    told = shell.right("plan", "bench", "--ready-by", "2027-06-20", "--json").json
    deadline = told["deadline"]
    first = min(step["start"] for step in told["steps"])
    assert (deadline["met"], deadline["begin_by"]) == (True, first)
    assert deadline["days_to_spare"] > 100
    assert deadline["hindrances"] == deadline["drops"] == []
    assert deadline["closest"] is None
