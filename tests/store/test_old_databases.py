"""Databases as earlier versions left them are read whole, and stay sound.

``old_databases/NNNN.sql`` is what SQLite dumped of a database at revision NNNN; a new revision
adds its own before it ships.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
from pathlib import Path

import pytest

from finplan.store.backup import check
from finplan.store.migrate import HEAD, version_of
from finplan.store.store import open_store

FOLDER = Path(__file__).parent / "old_databases"
NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def test_every_revision_has_left_a_database():
    assert sorted(file.stem for file in FOLDER.glob("*.sql")) == [
        f"{number:04}" for number in range(1, int(HEAD) + 1)
    ]


@pytest.mark.parametrize("revision", sorted(file.stem for file in FOLDER.glob("*.sql")))
def test_a_database_of_every_revision_opens_whole(tmp_path, revision):
    place = tmp_path / "finplan.db"
    with sqlite3.connect(place) as connection:
        connection.executescript((FOLDER / f"{revision}.sql").read_text(encoding="utf-8"))
    connection.close()
    with open_store(place) as store:
        assert version_of(store.engine) == HEAD
        assert check(store) == ()
        assert (store.copy_before_upgrade is not None) == (revision != HEAD)
        with store.unit() as unit:
            project = unit.projects.get("oar_rack")
            assert [step.key for step in project.batches[0].steps] == [
                "sand-1", "clean-1", "coat-1",
            ]  # fmt: skip
            assert project.parts[0].length_mm == 400.0
            assert unit.workshops.get(project.workshop).spaces[0].rack_area_m2 == 6.0
            first, second = unit.journal.of("oar_rack")
            assert (first.at, second.at) == (NOON, NOON + dt.timedelta(hours=1))
            air = unit.air.readings(project.workshop, "shed")
            assert air.temperature_c.tolist() == [9.0, 9.5, 10.0, 10.5]
            (row,) = unit.ledger.rows()
            assert (row.sequence, row.created) == (2, NOON)
            assert unit.settings.all() == {"units": "imperial"}
            assert unit.learned_resets.all() == {("penetrating_oil", "shed"): NOON}


@pytest.mark.parametrize("revision", ["0002", "0003", "0004"])
def test_upkeep_of_an_earlier_database_is_read_whole(tmp_path, revision):
    place = tmp_path / "finplan.db"
    with sqlite3.connect(place) as connection:
        connection.executescript((FOLDER / f"{revision}.sql").read_text(encoding="utf-8"))
    connection.close()
    with open_store(place) as store, store.unit(writes=False) as unit:
        (piece,) = unit.pieces.list()
        assert (piece.name, piece.installed) == ("jetty-steps", dt.date(2025, 5, 1))
        first, second = unit.upkeep.of(piece)
        assert [one.value for one in first.findings] == ["slow", "mildew"]
        assert second.at - first.at == dt.timedelta(hours=1)


def test_edits_of_an_earlier_database_are_read_whole(tmp_path):
    place = tmp_path / "finplan.db"
    with sqlite3.connect(place) as connection:
        connection.executescript((FOLDER / "0003.sql").read_text(encoding="utf-8"))
    connection.close()
    with open_store(place) as store, store.unit(writes=False) as unit:
        uid = unit.projects.get("oar_rack").uid
        last, undone = unit.edits.last([uid]), unit.edits.last_undone([uid])
    assert (last.words, last.before, last.undone) == (
        "rack: Sand changed", {"title": "Oars"}, None,
    )  # fmt: skip
    assert undone.undone == NOON + dt.timedelta(hours=2)


def test_the_air_log_of_an_earlier_database_is_read_whole(tmp_path):
    place = tmp_path / "finplan.db"
    with sqlite3.connect(place) as connection:
        connection.executescript((FOLDER / "0004.sql").read_text(encoding="utf-8"))
    connection.close()
    with open_store(place) as store, store.unit(writes=False) as unit:
        workshop = unit.projects.get("oar_rack").workshop
        word, later, first = unit.air_changes.last_first(workshop)
    assert (word.word.value, word.about) == ("undone", later.uid)
    assert first.before[0][0] == first.after[0][0]
    assert (first.before[0][1:], first.after[0][1:]) == ((11.0, 70.0), (10.5, 73.0))
