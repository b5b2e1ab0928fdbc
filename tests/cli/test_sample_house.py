"""The sample house: three pieces with two invented years behind them, from log to next date."""

from __future__ import annotations

import datetime as dt
import tomllib

import pytest

from finplan.services.samples import sample_named

PIECES = ("boot_bench", "duckboard", "front_door")


@pytest.fixture
def cabin(empty):
    empty.now = "2026-04-18T10:00:00+02:00"
    empty.right("sample", "lake_cabin")
    return empty


def seen(shell, piece):
    return shell.right("upkeep", piece, "--json").json


def due(shell, piece):
    return dt.date.fromisoformat(seen(shell, piece)["next"]["renewal"]["due"])


def test_it_says_that_everything_is_invented(cabin):
    file = sample_named("lake_cabin").file
    assert "Everything in it is invented" in file.read_text(encoding="utf-8")
    told = tomllib.loads(file.read_text(encoding="utf-8"))
    assert told["project"]["invented"] and all(piece["invented"] for piece in told["pieces"])


def test_two_years_of_three_pieces_are_there(cabin):
    listed = cabin.right("upkeep", "--json").json["pieces"]
    assert tuple(piece["name"] for piece in listed) == PIECES
    for name in PIECES:
        log = seen(cabin, name)["log"]
        days = [dt.datetime.fromisoformat(entry["at"]).date() for entry in log]
        assert len(log) >= 5 and (max(days) - min(days)).days > 500
    assert any("photos" in str(entry["photos"]) for entry in seen(cabin, "duckboard")["log"])


def test_what_was_found_has_taught_more_than_the_default(cabin):
    duckboard, bench = seen(cabin, "duckboard"), seen(cabin, "boot_bench")
    assert duckboard["interval_months"] < bench["interval_months"]
    assert "water was taken up slowly at 6 months" in duckboard["next"]["renewal"]["sentence"]


def test_each_piece_has_its_best_time_clear_of_guests(cabin):
    guests = (("2026-05-14", "2026-05-17"), ("2026-07-04", "2026-07-26"))
    for name in PIECES:
        window = seen(cabin, name)["window"]
        for first, last in guests:
            assert window["end"][:10] < first or window["start"][:10] > last
        assert "out of use from" in cabin.right("upkeep", name).words


def test_an_inspection_moves_the_next_date_and_undo_moves_it_back(cabin):
    before = due(cabin, "front_door")
    cabin.right("record", "inspection", "front_door", "--found", "soaks in", "--found", "greying")
    sooner = due(cabin, "front_door")
    assert sooner < before
    cabin.right("upkeep", "front_door", "--undo", "last")
    assert due(cabin, "front_door") == before
    cabin.right("record", "inspection", "front_door", "--found", "beads")
    assert due(cabin, "front_door") > before


def test_a_year_of_it_from_plan_to_log(cabin):
    """The duckboard's renewal is planned, done as planned, and its log and dates follow."""
    before = due(cabin, "duckboard")
    cabin.right("upkeep", "duckboard", "--plan")
    name = seen(cabin, "duckboard")["project"]
    steps = cabin.right("plan", name, "--json").json["steps"]
    assert [step["kind"] for step in steps] == [
        "clean", "sand", "clean", "coat", "wipe off", "install", "release",
    ]  # fmt: skip
    cabin.now = steps[-1]["end"]
    for step in steps[:-1]:
        cabin.right("record", "step", name, step["id"], "--at", step["end"])
    assert seen(cabin, "duckboard")["log"][-1]["kind"] == "renewed"
    assert due(cabin, "duckboard") > before + dt.timedelta(days=90)


def test_saved_and_loaded_elsewhere_it_is_the_same(cabin, tmp_path):
    cabin.right("record", "inspection", "boot_bench", "--found", "beads", "--photo", "a b.jpg")
    file = str(tmp_path / "cabin.toml")
    cabin.right("save", "lake_cabin", "-o", file)
    before = {name: seen(cabin, name) for name in PIECES}
    again = type(cabin)(cabin.folder, cabin.folder / "other.db", cabin.capture, cabin.now)
    told = again.right("load", file)
    assert "piece boot_bench installed, 7 entries in its log" in told.words
    assert {name: seen(again, name) for name in PIECES} == before
    told = again.right("load", file)
    assert "in its log" not in told.words
    copy = tmp_path / "again.toml"
    again.right("save", "lake_cabin", "-o", str(copy))
    assert copy.read_text() == (tmp_path / "cabin.toml").read_text()


def test_another_piece_of_the_same_name_is_not_overwritten(cabin, tmp_path):
    file = str(tmp_path / "cabin.toml")
    cabin.right("save", "lake_cabin", "-o", file)
    other = type(cabin)(cabin.folder, cabin.folder / "other.db", cabin.capture, cabin.now)
    other.right(
        "install", "duckboard", "--finish", "spar varnish", "--area", "1 m2", "--place", "x",
        "--installed", "2025-01-01", "--zone", "UTC",
    )  # fmt: skip
    answer = other("load", file)
    assert answer.status == 2 and "another piece is called 'duckboard'" in answer.err
    assert other.right("projects").out.startswith("There is no project yet")


def test_a_backup_carries_pieces_and_logs(cabin, tmp_path):
    before = {name: seen(cabin, name) for name in PIECES}
    copy = tmp_path / "copy.db"
    cabin.right("backup", str(copy))
    again = type(cabin)(cabin.folder, copy, cabin.capture, cabin.now)
    assert {name: seen(again, name) for name in PIECES} == before


def test_a_plan_kept_from_the_spring_still_holds_in_late_autumn(cabin):
    told = cabin.right("plan", "lake_cabin", "--json", now="2026-11-26T12:54:00Z").json
    assert [one for one in told["warnings"] if "does not hold" in one] == []
    moved = cabin.right("plan", "lake_cabin", "--changes", now="2026-11-26T12:54:00Z").words
    assert "lake_cabin is safely ready Tue 4 May 2027 18:30 instead of Sun 10 May 2026" in moved
