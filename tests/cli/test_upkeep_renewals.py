"""The best time of a renewal, its plan, and how its end comes into the log."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest

from tests.cli.conftest import BENCH, INSTALL_STEPS


def test_the_best_time_is_told_as_a_downtime_everywhere(shell):
    shell.now = "2027-05-03T10:00:00+02:00"
    shell.right(
        "install", "jetty", "--project", "bench", "--place", "boathouse", "--installed",
        "2026-04-01", "--exposed", "flat",
    )  # fmt: skip
    page = shell.right("upkeep", "jetty").words
    assert "Best time: Small bench: out of use from " in page
    assert "by monthly normals" in page
    assert "No rain is known: look at a forecast" in page
    window = shell.right("upkeep", "jetty", "--json").json["window"]
    item = next(
        one
        for one in shell.right("due", "--within", "120 d", "--json").json["items"]
        if one["step"] == "renewal"
    )
    assert (item["at"], item["until"]) == (window["start"], window["end"])
    assert "out of use from" in item["what"]
    file = shell.folder / "all.ics"
    shell.right("calendar", "-o", str(file))
    text = file.read_text().replace("\r\n ", "").replace("\n ", "")
    start = window["start"].replace("-", "").replace(":", "")
    assert f"DTSTART:{start}" in text
    assert "Small bench: renewal\\, out of use" in text


def test_no_workshop_means_no_best_time_and_why(installed):
    told = installed.right("upkeep", "steps", "--json").json
    assert told["window"] is None and "there is no workshop yet" in told["no_window"]
    assert "No best time for the renewal: there is no workshop" in (
        installed.right("upkeep", "steps").words
    )


def test_a_renewal_is_planned_like_new_work(shell):
    shell.right(
        "install", "jetty", "--project", "bench", "--place", "boathouse", "--installed",
        "2026-10-01", "--exposed", "flat", "--taken-up", "four screws from below",
    )  # fmt: skip
    seen = shell.right("upkeep", "jetty", "--json").json
    window = {
        key: dt.datetime.fromisoformat(seen["window"][key])
        for key in ("start", "wood_dry", "coat", "end")
    }
    told = shell.right("upkeep", "jetty", "--plan")
    name = f"jetty-{window['start']:%Y-%m}"
    assert f"finplan plan {name}" in told.words
    assert "out of use from" in told.words
    steps = shell.right("plan", name, "--json").json["steps"]
    kinds = [step["kind"] for step in steps if step["load"] == 1]
    assert kinds[:4] == ["clean", "sand", "clean", "coat"]
    assert kinds[-2:] == ["install", "release"]
    starts = [dt.datetime.fromisoformat(step["start"]) for step in steps]
    assert starts[0] == window["start"] and starts[1] >= window["wood_dry"]
    assert starts[kinds.index("coat")] == window["coat"]
    assert dt.datetime.fromisoformat(steps[-1]["end"]) == window["end"]
    reasons = [step["reason"] for step in steps if step["load"] == 1]
    assert "kept until just before the coat" not in reasons[0]
    assert "Take it up and wash it" in reasons[1] and "after a wait until" in reasons[1]
    assert "kept until just before the coat" in reasons[2]
    again = shell("upkeep", "jetty", "--plan")
    assert again.status == 2 and "planned already" in again.err


@pytest.fixture
def planned_jetty(shell):
    shell.now = "2027-05-03T10:00:00+02:00"
    shell.right(
        "install", "jetty", "--project", "bench", "--place", "boathouse", "--installed",
        "2026-04-01", "--exposed", "flat", "--taken-up", "four screws from below",
    )  # fmt: skip
    shell.right("upkeep", "jetty", "--plan")
    shell.project = shell.right("upkeep", "jetty", "--json").json["project"]
    return shell


def test_a_renewal_and_new_work_share_hours(planned_jetty):
    shell = planned_jetty
    first = shell.right("plan", shell.project, "--json").json["steps"][0]["start"]
    shell.now = first  # the new work is begun when the renewal is: both want the same evenings
    plans = shell.right("plan", "bench", shell.project, "--json").json["plans"]
    assert [plan["project"] for plan in plans] == ["bench", shell.project]
    lasting = ("prepare", "sand", "scuff", "cure", "release")  # spread over days, or nobody's
    worked = [
        [(s["start"], s["end"]) for s in plan["steps"] if s["kind"] not in lasting]
        for plan in plans
    ]
    assert max(map(min, worked)) < min(map(max, worked)), "they overlap in time"
    stretches = sorted(worked[0] + worked[1])
    assert all(one[1] <= other[0] for one, other in pairwise(stretches))


def test_a_planned_renewal_tells_its_own_time(planned_jetty):
    window = planned_jetty.right("upkeep", "jetty", "--json").json["window"]
    steps = planned_jetty.right("plan", planned_jetty.project, "--json").json["steps"]
    assert window["start"] == steps[0]["start"] and window["end"] == steps[-1]["end"]
    page = planned_jetty.right("upkeep", "jetty").words
    assert f"Planned as {planned_jetty.project}: Small bench: out of use from" in page


def test_a_finished_renewal_is_written_in_the_log_and_moves_the_dates(planned_jetty):
    shell, name = planned_jetty, planned_jetty.project
    before = shell.right("upkeep", "jetty", "--json").json
    steps = shell.right("plan", name, "--json").json["steps"]
    told = None
    shell.now = steps[-1]["end"]
    for step in steps[:-1]:
        told = shell.right(
            "record", "step", name, step["id"], "--at", step["end"],
            *(("--amount", "0.2 l") if step["kind"] == "coat" else ()),
        )  # fmt: skip
    assert "written in the log of jetty: its next dates count from this coat" in told.words
    after = shell.right("upkeep", "jetty", "--json").json
    (entry,) = after["log"]
    coat = next(step for step in steps if step["kind"] == "coat")
    assert (entry["kind"], entry["at"], entry["litres"]) == ("renewed", coat["end"], 0.2)
    assert entry["note"] == f"by the project {name}"
    assert after["next"]["renewal"]["due"] > before["next"]["renewal"]["due"]
    assert after["project"] is None
    assert "taken back from the log of jetty" in shell.right("undo", name).words
    undone = shell.right("upkeep", "jetty", "--json").json
    assert undone["next"]["renewal"]["due"] == before["next"]["renewal"]["due"]
    assert "written in the log of jetty" in shell.right("redo", name).words
    assert shell.right("upkeep", "jetty", "--json").json["next"] == after["next"]


def test_a_renewal_s_plan_keeps_clear_of_guests(planned_jetty):
    shell = planned_jetty
    window = shell.right("upkeep", "jetty", "--json").json["window"]
    first, last = window["start"][:10], window["end"][:10]
    shell.right(
        "install", "rail", "--project", "bench", "--place", "boathouse", "--installed",
        "2026-04-01", "--exposed", "flat", "--blocked", f"{first}..{last}",
    )  # fmt: skip
    shell.right("upkeep", "rail", "--plan")
    other = shell.right("upkeep", "rail", "--json").json
    steps = shell.right("plan", other["project"], "--json").json["steps"]
    assert steps[-1]["end"][:10] < first or steps[0]["start"][:10] > last


def test_a_workshop_named_is_where_the_best_time_is_searched(shell):
    other = BENCH.replace('"bench"', '"other"').replace("11111111", "33333333")
    shell.right("load", shell.file("other.toml", other.replace('"shed"', '"barn"')))
    shell.right(*INSTALL_STEPS)
    assert "name one with --workshop" in shell.right("upkeep", "steps").words
    page = shell.right("upkeep", "steps", "--workshop", "barn").words
    assert "name one with --workshop" not in page
    wrong = shell("upkeep", "steps", "--workshop", "barn", "--space", "loft")
    assert (wrong.status, wrong.out) == (2, "")
    assert "there is no space 'loft'" in wrong.err


def test_a_piece_is_worked_on_only_where_there_is_a_workshop(shell):
    wrong = shell(*INSTALL_STEPS, "--workshop", "barn")
    assert wrong.status == 2
    assert "there is no piece 'steps'" in shell("upkeep", "steps").err
    shell.right(*INSTALL_STEPS, "--workshop", "shed")
    wrong = shell("install", "steps", "--change", "--space", "attic")
    assert wrong.status == 2
    assert "there is no space 'attic'" in wrong.err


def test_a_renewal_too_far_ahead_is_planned_later_and_says_from_when(shell):
    shell.now = "2026-04-05T10:00:00+02:00"
    shell.right(
        "install", "wall", "--finish", "semitransparent stain", "--area", "8 m2", "--place",
        "boathouse", "--installed", "2026-04-01",
    )  # fmt: skip
    answer = shell("upkeep", "wall", "--plan")
    assert (answer.status, answer.out) == (2, "")
    assert "planned a year ahead at most: plan it from " in answer.err
    assert "`finplan upkeep wall` shows its best time" in answer.err
