"""Backup and restore: nothing lost, nothing half-written, what was there is kept."""

from __future__ import annotations

import dataclasses
import datetime as dt
import sqlite3

import numpy as np
import pytest
from sqlalchemy import text

from finplan.store.backup import backup, check, restore, where
from finplan.store.migrate import HEAD
from finplan.store.store import open_store
from finplan.trade.errors import BadInput

NOW = dt.datetime(2026, 11, 25, 14, 0, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    """Copies of a server's data go to the user's data folder: here to one of the test's own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))


@pytest.fixture
def full(stocked, entry_of, air_of):
    with stocked.unit() as unit:
        unit.journal.append(entry_of(number) for number in range(1, 8))
        unit.air.add_readings("shed-by-the-lake", "shed", air_of(1_500))
        unit.settings.put("units", "imperial")
        unit.commit()
    return stocked


def contents(store, project):
    with store.unit(writes=False) as unit:
        air = unit.air.readings("shed-by-the-lake", "shed")
        return (
            unit.projects.list(),
            unit.workshops.list(),
            unit.projects.version(project.name),
            unit.journal.of(project.name),
            unit.settings.all(),
            [np.array(column).tolist() for column in (air.at_s, air.humidity_percent)],
        )


def test_a_backup_goes_back_whole(full, data, project, entry_of, tmp_path):
    kept = contents(full, project)
    backup(full, tmp_path / "copy.db")
    with full.unit() as unit:
        unit.journal.append([entry_of(99)])
        unit.projects.put(dataclasses.replace(project, title="Something else"))
        unit.commit()
    later = contents(full, project)
    full.close()
    before = restore(tmp_path / "copy.db", data, now=NOW)
    with open_store(data) as again:
        assert contents(again, project) == kept
        assert check(again) == ()
        with again.unit() as unit:  # and the journal goes on where it was
            unit.journal.append([entry_of(50)])
            unit.commit()
        assert check(again) == ()
    assert "before-restore.20261125T140000Z" in before.name
    with open_store(before) as aside:
        assert contents(aside, project) == later


def test_a_backup_is_one_file_and_opens_by_itself(full, project, tmp_path):
    (tmp_path / "copies").mkdir()
    backup(full, tmp_path / "copies" / "copy.db")
    assert [file.name for file in (tmp_path / "copies").iterdir()] == ["copy.db"]
    with open_store(tmp_path / "copies" / "copy.db") as opened:
        assert contents(opened, project) == contents(full, project)


@pytest.mark.postgres
def test_a_backup_moves_data_to_the_other_database(full, project, tmp_path, postgres_url):
    backup(full, tmp_path / "copy.db")
    kept = contents(full, project)
    full.close()
    target = tmp_path / "elsewhere.db" if full.location.path is None else postgres_url
    restore(tmp_path / "copy.db", target, now=NOW)
    with open_store(target) as again:
        assert contents(again, project) == kept


def test_the_journal_stays_append_only_after_a_restore(full, data, tmp_path):
    backup(full, tmp_path / "copy.db")
    full.close()
    restore(tmp_path / "copy.db", data, now=NOW)
    with (
        open_store(data) as again,
        pytest.raises(Exception, match="append-only"),
        again.engine.begin() as connection,
    ):
        connection.execute(text("DELETE FROM journal"))


def test_a_backup_never_overwrites(full, tmp_path):
    (tmp_path / "copy.db").write_text("mine")
    with pytest.raises(BadInput, match="there already"):
        backup(full, tmp_path / "copy.db")
    assert (tmp_path / "copy.db").read_text() == "mine"


def test_a_backup_that_cannot_be_written_leaves_nothing(full, tmp_path):
    with pytest.raises(BadInput, match="cannot be written"):
        backup(full, tmp_path / "nowhere" / "copy.db")
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("content", [None, b"", b"not a database at all, but long enough" * 99])
def test_what_is_no_backup_is_refused_and_changes_nothing(full, data, project, tmp_path, content):
    kept = contents(full, project)
    if content is not None:
        (tmp_path / "copy.db").write_bytes(content)
    with pytest.raises(BadInput) as refused:
        restore(tmp_path / "copy.db", data, now=NOW)
    assert "copy.db" in str(refused.value)
    assert contents(full, project) == kept


def test_a_tampered_backup_is_refused(full, data, project, tmp_path):
    backup(full, tmp_path / "copy.db")
    with sqlite3.connect(tmp_path / "copy.db") as connection:
        connection.execute("DROP TRIGGER journal_never_deleted")
        connection.execute("DELETE FROM journal WHERE number = 3")
    with pytest.raises(BadInput, match=r"not sound .*entry 3 is missing"):
        restore(tmp_path / "copy.db", data, now=NOW)


def test_a_damaged_database_can_be_replaced(tmp_path, workshop):
    place = tmp_path / "finplan.db"
    with open_store(place) as store:
        with store.unit() as unit:
            unit.workshops.put(workshop)
            unit.commit()
        backup(store, tmp_path / "copy.db")
    place.write_bytes(b"rubbish" * 4096)
    kept = restore(tmp_path / "copy.db", place, now=NOW)
    assert kept.read_bytes().startswith(b"rubbish")
    with open_store(place) as again, again.unit(writes=False) as unit:
        assert unit.workshops.list() == (workshop,)


def test_a_restore_to_nothing_keeps_nothing(full, tmp_path, project):
    backup(full, tmp_path / "copy.db")
    assert restore(tmp_path / "copy.db", tmp_path / "new" / "finplan.db", now=NOW) is None
    with open_store(tmp_path / "new" / "finplan.db") as again:
        assert contents(again, project) == contents(full, project)


def test_check_finds_what_does_not_fit(full):
    assert check(full) == ()
    with full.engine.begin() as connection:
        connection.execute(text("UPDATE project SET document = '{\"name\": 3}'"))
    faults = check(full)
    assert faults
    assert "project 'boathouse-bench' in the database: the field 'title' is missing" in faults[0]


def test_where_tells_the_place_and_its_state(full, data):
    told = where(full)
    if full.location.path is None:
        assert told.kind == "PostgreSQL"
        assert ":" not in told.shown.split("@")[0].removeprefix("postgresql://"), "no password"
        assert told.size_bytes is None
    else:
        assert (told.kind, told.path, told.journal_mode) == ("SQLite", data, "wal")
        assert told.size_bytes > 0
    assert (told.version, told.read_only) == (HEAD, "")
