"""Pieces in use at the command line: install, look, renew, and the years ahead."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest

from tests.cli.conftest import BENCH

NOW = "2026-11-25T12:00:00Z"
STEPS = (
    "install", "steps", "--finish", "penetrating oil", "--area", "2.4 m2", "--place", "boathouse",
    "--installed", "2026-04-01", "--exposed", "flat", "--taken-up", "four screws from below",
    "--zone", "Europe/Oslo",
)  # fmt: skip


@pytest.fixture
def installed(empty):
    empty.now = NOW
    empty.right(*STEPS)
    return empty


def due(shell, piece="steps", work="renewal"):
    told = shell.right("upkeep", piece, "--json").json["next"][work]["due"]
    return dt.date.fromisoformat(told)


def test_nothing_installed_says_what_to_do(empty):
    assert "finplan install NAME --help" in empty.right("upkeep").out


def test_a_piece_is_installed_and_has_its_dates(installed):
    page = installed.right("upkeep", "steps").words
    assert "penetrating oil, 2.4 m², flat; in use since Wed 1 Apr 2026" in page
    assert "next renewal in Nov 2026" in page
    assert "days out of use at 23 °C and 50 %" in page


def test_a_finished_project_is_installed_with_what_it_tells(shell):
    answer = shell.right("install", "jetty", "--project", "bench", "--place", "boathouse")
    assert "jetty: installed, penetrating oil, " in answer.out
    told = shell.right("upkeep", "jetty", "--json").json
    assert (told["title"], told["finish"]) == ("Small bench", "penetrating oil")
    assert told["renewal_litres"] > 0.05


def test_inspections_move_the_date_and_undo_moves_it_back(installed):
    before = due(installed)
    told = installed.right(
        "record",
        "inspection",
        "steps",
        "--found",
        "beads",
        "--at",
        "2026-10-01",
        "--photo",
        "a.jpg",
    )
    assert "beads still held at 6 months" in told.words
    held = due(installed)
    assert held > before
    told = installed.right("record", "inspection", "steps", "--found", "soaks in")
    assert "water soaked in at 8 months" in told.words
    assert due(installed) < held
    assert "counts no more" in installed.right("upkeep", "steps", "--undo", "last").out
    assert due(installed) == held
    assert "undone: inspected; soaks in" in installed.right("upkeep", "steps").words
    assert "counts again" in installed.right("upkeep", "steps", "--redo").out
    assert due(installed) < held
    answer = installed("upkeep", "steps", "--redo")
    assert (answer.status, answer.out) == (2, "") and "nothing to redo" in answer.err


def test_a_renewal_starts_anew_and_its_litres_and_cost_are_summed(installed):
    installed.right(
        "record", "service", "steps", "--done", "renewed", "--used", "0.4 l", "--cost", "12.5",
        "--at", "2026-10-10",
    )  # fmt: skip
    assert due(installed) > dt.date(2027, 1, 1)
    assert "2026: 0.4 L, cost 12.50" in installed.right("upkeep", "steps").out
    (entry,) = installed.right("upkeep", "steps", "--json").json["log"]
    assert (entry["kind"], entry["litres"], entry["at"]) == ("renewed", 0.4, "2026-10-09T22:00:00Z")


def test_the_years_ahead_in_json(installed):
    installed.right(*(word.replace("steps", "rail") for word in STEPS))
    told = installed.right("upkeep", "--years", "3", "--json").json
    assert list(told) == ["now", "pieces", "visits", "years"]
    assert [piece["name"] for piece in told["pieces"]] == ["rail", "steps"]
    renewals = [visit for visit in told["visits"] if visit["work"] == "renewal"]
    assert sum(year["renewals"] for year in told["years"]) == len(renewals)
    assert {year["year"] for year in told["years"]} <= {2026, 2027, 2028, 2029}
    moved = {(visit["moved_from"], visit["place"]) for visit in told["visits"] if visit["bundled"]}
    assert sum(year["trips_saved"] for year in told["years"]) == len(moved)
    page = installed.right("upkeep", "--years", "3").words
    assert "year trips saved renewals days out of use finish cost" in page


def test_the_care_sheet(installed):
    sheet = installed.right("upkeep", "steps", "--care").words
    for words in (
        "Care of steps, boathouse", "four screws from below", "Sprinkle a few drops",
        "Not to be used", "Call when", "can catch fire by themselves", "An estimate only",
    ):  # fmt: skip
        assert words in sheet


def test_wishes_are_kept_and_can_be_changed(installed):
    installed.right(
        "install", "steps", "--change", "--season", "may-sep", "--days", "FREQ=WEEKLY;BYDAY=FR",
        "--blocked", "2027-05-01..2027-05-20",
    )  # fmt: skip
    on = installed.right("upkeep", "steps", "--json").json["next"]["renewal"]["on"]
    assert on == "2027-05-21"
    installed.right("install", "steps", "--change", "--renew", "FREQ=YEARLY")
    assert due(installed) == dt.date(2027, 4, 1)


def test_guests_in_a_calendar_file_block_their_days(installed):
    guests = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//t//EN\r\nBEGIN:VEVENT\r\nUID:1\r\n"
        "DTSTAMP:20260101T000000Z\r\nDTSTART;VALUE=DATE:20261120\r\nDTEND;VALUE=DATE:20261224\r\n"
        "SUMMARY:guests\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    file = installed.file("guests.ics", guests)
    installed.right("install", "steps", "--change", "--blocked-from", file)
    on = installed.right("upkeep", "steps", "--json").json["next"]["renewal"]["on"]
    assert on == "2026-12-24"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("upkeep", "step"), "did you mean 'steps'?"),
        (("upkeep", "--care"), "which piece"),
        (("upkeep", "--years", "0"), "1 to 30"),
        (("upkeep", "steps", "--undo", "last"), "no entry that counts"),
        (STEPS, "add --change"),
        (("install", "rail", "--change"), "leave --change out"),
        (("install", "rail", "--finish", "penetrating oil"), "--area, --place"),
        (("install", "steps", "--change", "--season", "summer"), "apr-sep"),
        (("install", "steps", "--change", "--blocked", "July"), "2027-07-01"),
        (("install", "steps", "--change", "--finish", "penetrating oyl"), "penetrating oil"),
        (("install", "steps", "--change", "--finish", "hardwax oil"), "--renew"),
        (("install", "steps", "--change", "--installed", "2027-01-01"), "lies ahead"),
        (("record", "service", "steps", "--done", "renewed", "--at", "2020-01-01"), "before the"),
        (("record", "inspection", "steps", "--found", "beads", "--found", "slow"), "one thing"),
        (("record", "service", "steps", "--done", "cleaned", "--cost", "nan"), "cost"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_kept(installed, words, told):
    before = installed.right("upkeep", "--json").out
    answer = installed(*words)
    assert (answer.status, answer.out) == (2, "")
    assert told in answer.err and len(answer.err.splitlines()) == 1
    assert installed.right("upkeep", "--json").out == before


def test_the_best_time_is_told_as_a_downtime_everywhere(shell):
    shell.now = "2027-05-03T10:00:00+02:00"
    shell.right(
        "install", "jetty", "--project", "bench", "--place", "boathouse", "--installed",
        "2026-04-01", "--exposed", "flat",
    )  # fmt: skip
    page = shell.right("upkeep", "jetty").words
    assert "Best time: Small bench: out of use from " in page
    assert "by monthly normals" in page
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
    shell.right("install", "jetty", "--project", "bench", "--place", "boathouse")
    file = str(shell.folder / "bench.ics")
    shell.right("calendar", "bench", "-o", file)
    assert "upkeep" not in (shell.folder / "bench.ics").read_text()
    shell.right("calendar", "-o", file)
    assert "Small bench: renewal" in (shell.folder / "bench.ics").read_text().replace("\r\n ", "")


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


def test_the_care_sheet_as_a_pdf_says_what_the_text_says(installed):
    file = installed.folder / "care.pdf"
    assert "care.pdf" in installed.right("upkeep", "steps", "--care", "-o", str(file)).out
    assert file.read_bytes().startswith(b"%PDF-")
    before = file.stat().st_mtime_ns
    installed.right("upkeep", "steps", "--care", "-o", str(file))
    assert file.stat().st_mtime_ns == before
    answer = installed("upkeep", "steps", "--care", "-o", str(installed.folder / "care.png"))
    assert answer.status == 2 and "end in .pdf" in answer.err
    answer = installed("upkeep", "steps", "-o", str(file))
    assert answer.status == 2 and "add --care" in answer.err
    assert "which piece" in installed("upkeep", "--care", "-o", str(file)).err


def test_every_line_of_the_care_sheet_is_set_on_the_pages(installed, monkeypatch):
    from finplan.prints import care_sheet as paper
    from finplan.services import care

    set_on = []
    real = paper.sheet_pdf
    monkeypatch.setattr(paper, "sheet_pdf", lambda sheet: set_on.append(sheet) or real(sheet))
    file = installed.folder / "care.pdf"
    installed.right("upkeep", "steps", "--care", "-o", str(file))
    (sheet,) = set_on
    told = " ".join(
        [sheet.title, *sheet.boxed, *(w for h, lines in sheet.blocks for w in (h, *lines))]
    )
    text = installed.right("upkeep", "steps", "--care").out
    for word in {word.strip("-=–") for word in text.split()}:
        assert word in told
    assert care.CLEANING[0] in told


def test_now_tells_of_the_upkeep_that_is_due(shell):
    shell.right(*STEPS, now=NOW)
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


def test_a_workshop_named_is_where_the_best_time_is_searched(shell):
    other = BENCH.replace('"bench"', '"other"').replace("11111111", "33333333")
    shell.right("load", shell.file("other.toml", other.replace('"shed"', '"barn"')))
    shell.right(*STEPS)
    assert "name one with --workshop" in shell.right("upkeep", "steps").words
    page = shell.right("upkeep", "steps", "--workshop", "barn").words
    assert "name one with --workshop" not in page
    wrong = shell("upkeep", "steps", "--workshop", "barn", "--space", "loft")
    assert (wrong.status, wrong.out) == (2, "")
    assert "there is no space 'loft'" in wrong.err


def test_a_piece_is_worked_on_only_where_there_is_a_workshop(shell):
    wrong = shell(*STEPS, "--workshop", "barn")
    assert wrong.status == 2
    assert "there is no piece 'steps'" in shell("upkeep", "steps").err
    shell.right(*STEPS, "--workshop", "shed")
    wrong = shell("install", "steps", "--change", "--space", "attic")
    assert wrong.status == 2
    assert "there is no space 'attic'" in wrong.err


def test_a_piece_taken_out_of_use_leaves_everything_but_its_history(installed, tmp_path):
    installed.right("record", "service", "steps", "--done", "renewed", "--used", "0.4 l")
    feed = tmp_path / "feed.ics"
    installed.right("calendar", "-o", str(feed))
    assert "steps" in feed.read_text()
    told = installed.right("record", "gone", "steps", "--note", "sold with the boat")
    assert "taken out of use" in told.words and "finplan upkeep steps" in told.words
    assert "renewal" not in installed.right("upkeep").words
    assert "Out of use: steps." in installed.right("upkeep").words
    ahead = installed.right("upkeep", "--json").json
    assert (ahead["pieces"], ahead["visits"]) == ([], [])
    assert installed.right("due", "--json").json["items"] == []
    assert "0 new, 0 changed, 3 cancelled" in installed.right("calendar", "-o", str(feed)).words
    page = installed.right("upkeep", "steps").words
    assert "Out of use since Wed 25 Nov 2026" in page
    assert "sold with the boat" in page and "renewed; 0.4 L" in page
    alone = installed.right("upkeep", "steps", "--json").json
    assert alone["gone"] == "2026-11-25T12:00:00Z" and alone["next"] == {}


def test_a_piece_out_of_use_takes_no_work_until_it_is_put_back(installed):
    before = due(installed)
    installed.right("record", "gone", "steps", "--at", "2026-11-20")
    for line in (
        ("record", "inspection", "steps", "--found", "beads"),
        ("record", "gone", "steps"),
        ("install", "steps", "--change", "--coats", "2"),
        ("upkeep", "steps", "--plan"),
        ("upkeep", "steps", "--care"),
    ):
        answer = installed(*line)
        assert answer.status == 2, line
        assert "taken out of use on 2026-11-20" in answer.words + answer.err, line
    installed.right("upkeep", "steps", "--undo", "last")
    assert due(installed) == before
    assert "Out of use" not in installed.right("upkeep").words
    installed.right("upkeep", "steps", "--redo")
    assert "Out of use: steps." in installed.right("upkeep").words
