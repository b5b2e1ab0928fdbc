"""The journal: append-only, chained, harmless to read in twice."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from finplan.trade.errors import BadInput


@pytest.fixture
def written(stocked, entry_of):
    with stocked.unit() as unit:
        unit.journal.append([entry_of(1), entry_of(2), entry_of(3)])
        unit.commit()
    return stocked


def test_entries_come_back_whole_and_in_order(written, entry_of, project):
    with written.unit(writes=False) as unit:
        assert unit.journal.of(project.name) == (entry_of(1), entry_of(2), entry_of(3))
        assert unit.journal.broken() == ()


def test_reading_in_twice_adds_nothing(written, entry_of, project):
    with written.unit() as unit:
        assert unit.journal.append([entry_of(1), entry_of(3), entry_of(4), entry_of(4)]) == 1
        assert len(unit.journal.of(project.name)) == 4


def test_an_entry_never_changes(written, entry_of):
    with pytest.raises(BadInput, match="write a correction"), written.unit() as unit:
        unit.journal.append([entry_of(2, by="Another")])


def test_an_entry_needs_its_project(written, entry_of):
    with pytest.raises(BadInput, match="no project 'bench'"), written.unit() as unit:
        unit.journal.append([entry_of(9, project="bench")])


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal SET document = '{}' WHERE number = 2",
        "UPDATE journal SET number = 9 WHERE number = 3",
        "DELETE FROM journal",
        "DELETE FROM journal WHERE number = 3",
    ],
)
def test_the_database_itself_refuses_changes(written, statement, entry_of, project):
    with (
        pytest.raises(DBAPIError, match="append-only"),
        written.engine.begin() as connection,
    ):
        connection.execute(text(statement))
    with written.unit(writes=False) as unit:
        assert unit.journal.of(project.name) == (entry_of(1), entry_of(2), entry_of(3))


def test_no_row_is_replaced_in_passing(written, data, entry_of, project):
    on_sqlite = written.location.path is not None
    statement = (
        "INSERT OR REPLACE INTO journal VALUES (:p, 2, 'u', '{}', 'd')"
        if on_sqlite
        else "TRUNCATE journal"
    )
    with (
        pytest.raises(DBAPIError, match="append-only"),
        written.engine.begin() as connection,
    ):
        connection.execute(text(statement), {"p": str(project.uid)} if on_sqlite else {})


def test_the_room_offers_no_way_to_change_an_entry():
    from finplan.store.journal import Journal

    offered = {name for name in vars(Journal) if not name.startswith("_")}
    assert offered == {"append", "of", "broken"}


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("DELETE FROM journal WHERE number = 2", "entry 2 is missing"),
        ("DELETE FROM journal WHERE number = 1", "entry 1 is missing"),
        ("UPDATE journal SET document = replace(document, '11.5', '21.5') WHERE number = 2",
         "entry 2 was altered"),
    ],
)  # fmt: skip
def test_tampering_around_the_triggers_shows(written, statement, told):
    with written.engine.begin() as connection:
        if written.location.path is None:
            connection.execute(text("ALTER TABLE journal DISABLE TRIGGER ALL"))
        else:
            for trigger in ("journal_never_updated", "journal_never_deleted"):
                connection.execute(text(f"DROP TRIGGER {trigger}"))
        connection.execute(text(statement))
    with written.unit(writes=False) as unit:
        (fault,) = unit.journal.broken()
    assert told in fault


def test_the_journal_outlives_its_project_and_takes_it_up_again(written, project, entry_of):
    with written.unit() as unit:
        unit.projects.remove(project.name)
        unit.projects.put(project)
        assert unit.journal.of(project.name) == (entry_of(1), entry_of(2), entry_of(3))
