"""Installed pieces are versioned; the log of their upkeep is append-only and chained."""

from __future__ import annotations

import dataclasses
import datetime as dt
import uuid

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from finplan.store.backup import backup, check, restore
from finplan.store.base import StaleWrite
from finplan.store.store import open_store
from finplan.tracking.upkeep.pieces import (
    Blocked,
    Finding,
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
)
from finplan.trade.errors import BadInput
from finplan.trade.upkeep import Exposure

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)
STEPS = InstalledPiece(
    name="jetty-steps",
    title="Steps down to the water",
    place="boathouse",
    zone="Europe/Oslo",
    finish="penetrating oil",
    area_m2=2.4,
    installed=dt.date(2025, 5, 1),
    uid=uuid.UUID("7b0f7a38-3a6d-4f0a-8a56-9d5f1f6f2a10"),
    exposures=frozenset({Exposure.FLAT, Exposure.WET_OR_TRODDEN}),
    season=(4, 5, 6),
    blocked=(Blocked(dt.date(2026, 7, 1), dt.date(2026, 7, 14), "guests"),),
    invented=True,
)


def line(number, **more):
    kept = {
        "uid": uuid.UUID(int=number),
        "piece": STEPS.name,
        "kind": UpkeepKind.INSPECTED,
        "at": NOON + dt.timedelta(hours=number),
        "recorded_at": NOON + dt.timedelta(hours=number, seconds=0.5),
        "findings": (Finding.SLOW, Finding.MILDEW),
        "photos": ("steps – left.jpg",),
    }
    return UpkeepEntry(**(kept | more))


@pytest.fixture
def kept(store):
    with store.unit() as unit:
        unit.pieces.put(STEPS, 0)
        for number in (1, 2, 3):
            unit.upkeep.append(STEPS, line(number))
        unit.commit()
    return store


def test_piece_and_log_come_back_whole(kept):
    with kept.unit(writes=False) as unit:
        assert unit.pieces.list() == (STEPS,)
        assert unit.upkeep.of(STEPS) == (line(1), line(2), line(3))
        assert unit.upkeep.all() == {str(STEPS.uid): (line(1), line(2), line(3))}
        assert unit.upkeep.broken() == ()
    assert check(kept) == ()


def test_a_piece_changed_elsewhere_is_not_overwritten(kept):
    with kept.unit() as unit:
        unit.pieces.put(dataclasses.replace(STEPS, area_m2=2.5), 1)
        unit.commit()
    with pytest.raises(StaleWrite, match="area_m2"), kept.unit() as unit:
        unit.pieces.put(dataclasses.replace(STEPS, area_m2=9.0), 1)


def test_an_entry_is_never_written_twice(kept):
    with pytest.raises(BadInput, match="never changes"), kept.unit() as unit:
        unit.upkeep.append(STEPS, line(2, note="other"))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE upkeep_log SET document = '{}' WHERE number = 2",
        "DELETE FROM upkeep_log WHERE number = 3",
    ],
)
def test_the_database_itself_refuses_changes(kept, statement):
    with pytest.raises(DBAPIError, match="append-only"), kept.engine.begin() as connection:
        connection.execute(text(statement))
    with kept.unit(writes=False) as unit:
        assert len(unit.upkeep.of(STEPS)) == 3


def test_no_row_is_replaced_in_passing(kept):
    on_sqlite = kept.location.path is not None
    statement = (
        "INSERT OR REPLACE INTO upkeep_log VALUES (:p, 2, 'u', '{}', 'd')"
        if on_sqlite
        else "TRUNCATE upkeep_log"
    )
    with pytest.raises(DBAPIError, match="append-only"), kept.engine.begin() as connection:
        connection.execute(text(statement), {"p": str(STEPS.uid)} if on_sqlite else {})


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("DELETE FROM upkeep_log WHERE number = 2", "entry 2 is missing"),
        ("UPDATE upkeep_log SET document = replace(document, 'slow', 'beads') WHERE number = 2",
         "entry 2 was altered"),
    ],
)  # fmt: skip
def test_tampering_around_the_triggers_shows(kept, statement, told):
    with kept.engine.begin() as connection:
        if kept.location.path is None:
            connection.execute(text("ALTER TABLE upkeep_log DISABLE TRIGGER ALL"))
        else:
            for trigger in ("upkeep_never_updated", "upkeep_never_deleted"):
                connection.execute(text(f"DROP TRIGGER {trigger}"))
        connection.execute(text(statement))
    (fault,) = check(kept)
    assert told in fault


def test_a_backup_brings_pieces_and_log_along(kept, data, tmp_path):
    file = tmp_path / "copy.db"
    backup(kept, file)
    with kept.unit() as unit:
        unit.upkeep.append(STEPS, line(4))
        unit.commit()
    kept.close()
    restore(file, data, now=NOON)
    with open_store(data) as store, store.unit(writes=False) as unit:
        assert unit.pieces.list() == (STEPS,)
        assert len(unit.upkeep.of(STEPS)) == 3
