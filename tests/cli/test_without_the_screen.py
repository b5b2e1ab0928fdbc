"""Everything the interface shows is had in plain lines: by the README's table, and fact by fact."""

from __future__ import annotations

import datetime as dt
import re
import shlex
import shutil
from pathlib import Path

import numpy as np
import pytest
from textual.screen import ModalScreen

from finplan.cli.app import main
from finplan.drying.limits import may_coat
from finplan.trade.moments import say_moment
from finplan.tui.app import FinplanApp
from finplan.tui.dialogs.dialog import Dialog
from finplan.tui.models.bench import todo_steps
from finplan.tui.screens.pages import PAGES, load_all
from finplan.tui.shop import Shop
from finplan.tui.widgets.top_bar import AREAS
from tests.cli.conftest import NOW

README = Path(__file__).parents[2] / "README.md"
ROW = re.compile(r"^\| ([^|`]+) \| (`finplan .*`) \|$", re.MULTILINE)
ROWS = {title: tuple(re.findall(r"`(finplan [^`]+)`", cell)) for title, cell in
        ROW.findall(README.read_text(encoding="utf-8"))}  # fmt: skip
COMMANDS = sorted({command for commands in ROWS.values() for command in commands})
PLACES = {area: name for _, area, name in AREAS} | {"start": "Start", "workshop": "Workshop"}
OVER_THEM = {
    "FormDialog": "forms",
    "HowLong": "Finishes: how long",
    "Sheet": "help, all actions",
    "StepSheet": "a step in full",
    "CareDialog": "Upkeep: care sheet",
    "DateSheet": "Project: the date",
    "SearchLine": None,  # looks for words in a list that is told anyway
    "TooSmall": None,  # a terminal's size is no fact of the shop
}


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    """A database with the bench of the README and a piece in use, made once."""
    data = tmp_path_factory.mktemp("sample") / "finplan.db"
    for words in (
        ("sample", "locust_bench"),
        ("install", "jetty_steps", "--finish", "penetrating oil", "--area", "2.4m2",
         "--place", "boathouse", "--exposed", "flat", "--installed", "2026-04-01",
         "--workshop", "boathouse workshop"),
    ):  # fmt: skip
        assert main(["--data", str(data), "--now", NOW, *words]) == 0
    return data


@pytest.fixture
def stocked(shell, sample, tmp_path):
    """A person with that database."""
    shell.data = Path(shutil.copy(sample, tmp_path / "sample.db"))
    return shell


def test_every_screen_stands_in_the_table():
    for area in PAGES:
        assert ROWS[PLACES[area]], area


def test_every_dialog_stands_in_the_table():
    load_all()
    assert FinplanApp.TITLE  # its module loads the dialogs that no page does
    found, classes = set(), [ModalScreen]
    while classes:
        one = classes.pop()
        classes += one.__subclasses__()
        if one.__module__.startswith("finplan.tui.") and one is not Dialog:
            found.add(one.__name__)
    assert found == set(OVER_THEM)
    assert all(ROWS[row] for row in OVER_THEM.values() if row)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_of_the_table_answers(stocked, command):
    answer = stocked(*shlex.split(command)[1:])
    assert answer.status == 0, answer
    assert (answer.out or answer.err).strip()
    assert "\x1b" not in answer.out and "│" not in answer.out


@pytest.fixture
def wet(shell):
    """The small bench with a coat just put on, and what the interface reads of it."""
    for step, at in (("prepare", "09:00"), ("sand", "10:00"), ("seal", "11:00")):
        shell.right("record", "step", "bench", step, "--at", f"today {at}")
    shell.right("record", "step", "bench", "coat-1", "--at", "today 16:50", "--amount", "0.2 l")
    shell.right("air", "add", "--temp", "17C", "--rh", "61", "--at", "today 16:00")
    return shell, Shop(str(shell.data), NOW).read()


def test_what_is_drying_is_told_stage_by_stage(wet):
    shell, view = wet
    told = shell.right("now").words
    assert view.overview.drying
    for one in view.overview.drying:
        assert one.title in told
        for time in one.stages:
            hour = f"{time.safe.astimezone(view.planned.zone):%H:%M}"
            assert time.stage in one.reached or hour in told, time.stage


def test_what_to_do_is_told_with_its_work_and_area(wet):
    shell, view = wet
    told = shell.right("now").words
    for step, _ in todo_steps(view):
        assert step.title in told
        if step.area_m2:
            assert f"{step.area_m2:.3g}" in told


def test_timers_are_told(wet):
    shell, _ = wet
    told = shell.right("now").words
    assert "Timers rags of" in told or "Timers wipe off what" in told
    kinds = {one["kind"] for one in shell.right("now", "--json").json["timers"]}
    assert "rags" in kinds


def test_windows_air_and_projects_are_told(wet):
    shell, view = wet
    now, projects = shell.right("now").words, shell.right("projects").words
    for window in view.overview.windows:
        assert window.next_step.title in now
    for air in view.overview.air:
        assert f"{air.humidity_percent:.0f} % RH" in now and air.source in now
        assert all(advice.finish in now for advice in air.advice)
    assert all(project.name in projects for project in view.projects)


def test_every_step_is_told_with_its_reason_and_cautions(wet):
    shell, view = wet
    told = shell.right("plan", "bench").words
    for step in view.steps:
        if not step.done:
            assert step.title in told
            assert step.reason.rstrip(".") in told


def test_what_became_of_every_step_of_the_schedule_is_told(wet):
    shell, view = wet
    lines = shell.right("parts", "bench", "--schedule").words.split(")")
    for step in view.steps:
        at = next(i for i, line in enumerate(lines) if line.endswith(f"({step.step}"))
        then = (step.end if step.done else step.start).astimezone(view.planned.zone)
        word = "left out" if step.skipped else "done" if step.done else "planned"
        assert f"{word} {say_moment(then, view.zone)}" in lines[at + 1], step.id


def test_air_is_told_over_the_days_with_the_good_hours(wet):
    shell, view = wet
    told = shell.right("air", "show").words
    assert "17 °C, 61 % RH" in told and "reading" in told and "normals" in told
    assert "may go on now" in told and "good Mon 5 Oct 2026 17:00" in told
    found = shell.right("air", "show", "--json").json["spaces"]
    assert [one["space"] for one in found] == [air.space for air in view.overview.air]
    (finish,) = found[0]["finishes"]
    assert finish["allowed"] and finish["good_hours"][0]["start"] == "2026-10-05T15:00:00Z"


def test_good_hours_are_those_the_drying_room_allows(wet):
    """Against the limits themselves, asked quarter hour by quarter hour."""
    shell, view = wet
    (one,) = shell.right("air", "show", "--days", "2", "--json").json["spaces"]
    (told,) = one["finishes"]
    stretches = [
        tuple(dt.datetime.fromisoformat(hours[end]) for end in ("start", "end"))
        for hours in told["good_hours"]
    ]
    finish, air = view.planned.finishes[told["finish"]], view.planned.air[one["space"]]
    for quarter in range(2 * 96):
        at = view.now + quarter * dt.timedelta(minutes=15)
        (allowed,) = may_coat(finish, air, np.array([at.timestamp()]))
        assert allowed == any(start <= at < end for start, end in stretches), at


def test_work_hours_are_told(wet):
    shell, _ = wet
    told = shell.right("busy", "--hours", "--days", "7").out.splitlines()
    assert told[1].split() == ["Mon", "5", "Oct", "2026", "18:30–21:30"]
    assert any("Sat 10 Oct 2026  08:00–17:00" in line for line in told)
    assert not any("Sun" in line for line in told)


def test_the_air_log_tells_what_was_kept_and_taken_back(wet):
    shell, _ = wet
    shell.right("undo")
    words = [one["word"] for one in shell.right("air", "log", "--json").json["entries"]]
    assert words == ["undone", "kept"]
    assert "kept: reading of 17 °C, 61 % in shed" in shell.right("air", "log").words


def test_entries_are_told_with_their_details(wet):
    shell, view = wet
    told = shell.right("journal", "bench").words
    for entry in view.entries:
        assert str(entry.uid)[:8] in told
    assert "amount 0.2 L" in told or "amount 200 ml" in told
