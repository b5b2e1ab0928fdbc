"""Upkeep entries corrected, undone and brought back in a database."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest

from finplan.services.installing import install_said, told_by_project
from finplan.services.upkeep import record_upkeep, seen_piece, undo_upkeep
from finplan.services.upkeep_log import correct_upkeep, redo_upkeep
from finplan.store.base import StaleWrite
from finplan.tracking.upkeep.pieces import Finding, UpkeepEntry, UpkeepKind, standing
from finplan.trade.errors import BadInput

NOW = "2026-11-25T12:00:00Z"
LOOKED = dt.datetime(2026, 10, 1, 12, tzinfo=dt.UTC)


@pytest.fixture
def house(at):
    session = at(NOW)
    said = {
        "finish": "penetrating oil", "area_m2": 2.4, "place": "boathouse", "zone": "Europe/Oslo",
        "installed": dt.date(2026, 4, 1),
    }  # fmt: skip
    install_said(session, "steps", said, None, change=False)
    return session


def looked(session, *findings):
    uid = uuid.uuid4()
    entry = UpkeepEntry(uid, "steps", UpkeepKind.INSPECTED, LOOKED, session.now, findings=findings)
    record_upkeep(session, "steps", entry)
    return uid


def found(session):
    return [entry.findings for entry in standing(seen_piece(session, "steps").entries)]


def test_a_correction_counts_and_the_first_entry_stays_in_the_log(house):
    uid = looked(house, Finding.SOAKS_IN)
    right = correct_upkeep(house, "steps", uid, {"findings": (Finding.BEADS,), "note": "misread"})
    assert found(house) == [(Finding.BEADS,)]
    assert right.at == LOOKED and right.about == uid
    assert len(seen_piece(house, "steps").entries) == 2
    with pytest.raises(BadInput, match="counts no more"):
        correct_upkeep(house, "steps", uid, {"note": "again"})


def test_a_correction_that_cannot_be_so_is_refused_and_the_entry_stands(house):
    uid = looked(house, Finding.SLOW)
    with pytest.raises(BadInput, match="lies ahead"):
        correct_upkeep(house, "steps", uid, {"at": house.now + dt.timedelta(days=1)})
    assert found(house) == [(Finding.SLOW,)]


def test_undo_and_redo_name_the_entry(house):
    uid = looked(house, Finding.SLOW)
    assert undo_upkeep(house, "steps", "last").uid == uid
    assert found(house) == []
    assert redo_upkeep(house, "steps").uid == uid
    assert found(house) == [(Finding.SLOW,)]
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_upkeep(house, "steps")


def test_a_piece_changed_since_it_was_read_is_not_overwritten(house):
    install_said(house, "steps", {"coats": 3}, None, change=True, version=1)
    with pytest.raises(StaleWrite, match="coats"):
        install_said(house, "steps", {"coats": 2}, None, change=True, version=1)
    assert seen_piece(house, "steps").piece.coats == 3


def test_a_project_tells_the_finish_the_coats_and_the_area(session):
    told = told_by_project(session, "bench")
    assert (told["title"], told["finish"]) == ("Small bench", "penetrating oil")
    assert told["coats"] >= 1 and told["area_m2"] > 0.05
