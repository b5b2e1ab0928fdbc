"""Upkeep among what is due, in the calendar, and in `finplan now`."""

from __future__ import annotations

from tests.cli.conftest import INSTALL_STEPS, UPKEEP_NOW


def test_due_tells_of_upkeep(installed):
    told = installed.right("due", "--json").json["items"]
    assert {(item["project"], item["step"], item["state"]) for item in told} >= {
        ("steps", "renewal", "overdue")
    }
    assert "renewal: steps (steps)" in installed.right("due").words
    assert installed("due", "--exit-code").status == 10


def test_the_calendar_holds_upkeep_and_drops_what_moved(installed):
    file = str(installed.folder / "upkeep.ics")
    assert "3 events of upkeep/steps" in installed.right("calendar", "-o", file).words
    text = (installed.folder / "upkeep.ics").read_text()
    assert text.count("BEGIN:VEVENT") == 3
    assert "SUMMARY:steps: renewal" in text
    installed.right("record", "service", "steps", "--done", "renewed")
    told = installed.right("calendar", "-o", file).words
    assert "0 new, 3 changed, 0 cancelled" in told


def test_the_calendar_of_one_project_holds_no_upkeep(shell):
    shell.right(
        "install", "jetty", "--project", "bench", "--place", "boathouse", "--installed",
        "today",
    )  # fmt: skip
    file = str(shell.folder / "bench.ics")
    shell.right("calendar", "bench", "-o", file)
    assert "upkeep" not in (shell.folder / "bench.ics").read_text()
    shell.right("calendar", "-o", file)
    assert "Small bench: renewal" in (shell.folder / "bench.ics").read_text().replace("\r\n ", "")


def test_now_tells_of_the_upkeep_that_is_due(shell):
    shell.right(*INSTALL_STEPS, now=UPKEEP_NOW)
    spring = "2027-04-05T12:00:00Z"
    told = shell.right("now", now=spring)
    assert "Upkeep" in told.out
    assert "renewal: steps" in told.words
    (item, *_) = shell.right("now", "--json", now=spring).json["upkeep"]
    assert (item["project"], item["batch"]) == ("steps", "upkeep")
    assert item["state"] in ("overdue", "now", "soon")
    assert "Upkeep" not in shell.right("now", now="2026-04-10T12:00:00Z").out


def test_now_tells_of_upkeep_where_no_project_is_left(installed):
    told = installed.right("now", now="2027-04-05T12:00:00Z")
    assert "renewal: steps" in told.words
    assert "nothing to do" in told.words
    assert installed.right("now", "--json", now="2027-04-05T12:00:00Z").json["next_session"] == []
    quiet = installed.right("now", now="2026-04-10T12:00:00Z").words
    assert "nothing to do" in quiet
    assert "Upkeep" not in quiet
