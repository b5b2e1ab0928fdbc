"""Pieces in use at the command line: install, look, renew, and the years ahead."""

from __future__ import annotations

import datetime as dt

import pytest

from tests.cli.conftest import INSTALL_STEPS


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


def test_a_project_is_installed_with_what_it_tells(shell):
    words = ("install", "jetty", "--project", "bench", "--place", "boathouse")
    answer = shell.right(*words, "--installed", "2026-10-01")
    assert "jetty: installed, penetrating oil, " in answer.out
    told = shell.right("upkeep", "jetty", "--json").json
    assert (told["title"], told["finish"]) == ("Small bench", "penetrating oil")
    assert told["renewal_litres"] > 0.05


def test_a_project_with_work_left_is_installed_only_from_a_day_that_is_said(shell):
    words = ("install", "jetty", "--project", "bench", "--place", "boathouse")
    answer = shell(*words)
    assert (answer.status, answer.out) == (2, "")
    assert "bench: this project is not finished" in answer.err and "--installed" in answer.err
    assert len(answer.err.splitlines()) == 1
    assert "Nothing is installed yet" in shell.right("upkeep").out
    for step in shell.right("plan", "bench", "--json").json["steps"]:
        if step["kind"] not in ("cure", "release"):
            at = step["end"]
            shell.right("record", "step", "bench", step["id"].split("/")[-1], "--at", at, now=at)
    assert "jetty: installed" in shell.right(*words, now=at).out


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
    installed.right(*(word.replace("steps", "rail") for word in INSTALL_STEPS))
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


def test_the_years_of_one_piece(installed):
    rail = (word.replace("steps", "rail") for word in INSTALL_STEPS)
    installed.right(*rail, "--season", "may-aug")
    every = installed.right("upkeep", "--years", "3", "--json").json["visits"]
    told = installed.right("upkeep", "steps", "--years", "3", "--json").json
    assert told["visits"] == [visit for visit in every if visit["piece"] == "steps"]
    renewals = [visit for visit in told["visits"] if visit["work"] == "renewal"]
    assert sum(year["renewals"] for year in told["years"]) == len(renewals) > 0
    assert "visits" not in installed.right("upkeep", "steps", "--json").json
    page = installed.right("upkeep", "steps", "--years", "3").words
    assert "year trips saved renewals days out of use finish cost" in page
    assert "rail" not in page
    assert "year trips" not in installed.right("upkeep", "steps").words


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
        (("upkeep", "steps", "--years", "31"), "1 to 30"),
        (("upkeep", "steps", "--years", "3", "--care"), "leave one out"),
        (("upkeep", "steps", "--undo", "last"), "no entry that counts"),
        (INSTALL_STEPS, "add --change"),
        (("install", "rail", "--change"), "leave --change out"),
        (("install", "rail", "--finish", "penetrating oil"), "--area, --place"),
        (("install", "steps", "--change", "--season", "summer"), "apr-sep"),
        (("install", "steps", "--change", "--blocked", "July"), "2027-07-01"),
        (("install", "steps", "--change", "--blocked", "0001-01-01"), "year 1 is outside"),
        (("install", "steps", "--change", "--season", "apr-"), "apr-sep"),
        (("install", "steps", "--change", "--finish", "penetrating oyl"), "penetrating oil"),
        (("install", "steps", "--change", "--finish", "hardwax oil"), "--renew"),
        (("install", "steps", "--change", "--installed", "2027-01-01"), "lies ahead"),
        (("install", "steps", "--change", "--wood", "lrach"), "is it larch?"),
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
        assert "taken out of use on Fri 20 Nov 2026" in answer.words + answer.err, line
    installed.right("upkeep", "steps", "--undo", "last")
    assert due(installed) == before
    assert "Out of use" not in installed.right("upkeep").words
    installed.right("upkeep", "steps", "--redo")
    assert "Out of use: steps." in installed.right("upkeep").words


def test_a_wood_the_library_does_not_know_may_be_named(installed):
    installed.right("install", "steps", "--change", "--wood", "pear from the garden")
    installed.right("install", "steps", "--change", "--wood", "White-Oak")
