"""Air that was kept is taken back and brought back, in its order among all that was done."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.services.air import add_reading, import_log
from finplan.services.planned import planned
from finplan.services.record import add_note
from finplan.services.undoing import Meant, redo_last, undo_last
from finplan.trade.errors import BadInput

LOG = "time,temperature °C,humidity %\n2026-10-05 08:00,12,70\n2026-10-05 09:00,13,68\n"


def shop(session):
    with session.store.unit(writes=False) as unit:
        (name,) = unit.workshops.names()
    return name


def air(session):
    """All readings kept: °C and % by the instant."""
    with session.store.unit(writes=False) as unit:
        name = shop(session)
        (space, *_) = [one.name for one in unit.workshops.get(name).spaces]
        known = unit.air.readings(name, space)
    if known is None:
        return {}
    values = zip(known.temperature_c.tolist(), known.humidity_percent.tolist(), strict=True)
    return dict(zip(known.at_s.tolist(), values, strict=True))


def test_a_reading_is_taken_back_and_brought_back_with_its_plan(session):
    before = planned(session, ["bench"]).plan.steps
    known = air(session)
    add_reading(session, None, None, 4.0, 60.0)
    cold, after = air(session), planned(session, ["bench"]).plan.steps
    told = undo_last(session)
    assert told.of == shop(session)
    assert "reading of 4 °C, 60 % in " in told.words
    assert air(session) == known
    assert planned(session, ["bench"]).plan.steps == before
    assert "4 °C, 60 %" in redo_last(session).words
    assert air(session) == cold
    assert planned(session, ["bench"]).plan.steps == after


def test_a_reading_that_replaced_another_brings_that_back(session):
    add_reading(session, None, None, 12.0, 60.0)
    first = air(session)
    add_reading(session, None, None, 21.0, 60.0)
    assert undo_last(session).words.count("21 °C") == 1
    assert air(session) == first


def test_readings_entries_and_edits_are_undone_in_the_order_they_were_made(session):
    """The session's clock stands still: order is kept all the same."""
    add_note(session, "bench", "first")
    add_reading(session, None, None, 12.0, 60.0)
    add_note(session, "bench", "third")
    assert undo_last(session).subject.details["note"] == "third"
    assert "12 °C" in undo_last(session).words
    assert undo_last(session).subject.details["note"] == "first"
    assert redo_last(session).subject.details["note"] == "first"
    assert "12 °C" in redo_last(session).words
    assert redo_last(session).subject.details["note"] == "third"
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_a_reading_after_an_undo_ends_the_redo(session):
    add_note(session, "bench", "first")
    undo_last(session)
    add_reading(session, None, None, 12.0, 60.0)
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_the_air_is_left_alone_where_one_project_is_meant(session):
    add_note(session, "bench", "about the bench")
    add_reading(session, None, None, 12.0, 60.0)
    assert undo_last(session, Meant(["bench"])).subject.details["note"] == "about the bench"
    assert "12 °C" in undo_last(session, Meant(["bench"], [shop(session)])).words


def test_a_whole_log_is_taken_back_at_once(session, tmp_path):
    known = air(session)
    (tmp_path / "log.csv").write_text(LOG)
    import_log(session, None, None, tmp_path / "log.csv")
    assert "2 readings in shed, Mon 5 Oct 2026 08:00 to Mon 5 Oct 2026 09:00" in (
        undo_last(session).words
    )
    assert air(session) == known


def test_what_a_log_tells_again_is_no_change(session, tmp_path):
    (tmp_path / "log.csv").write_text(LOG)
    import_log(session, None, None, tmp_path / "log.csv")
    (tmp_path / "log.csv").write_text(f"{LOG}2026-10-05 10:00,14,66\n")
    assert import_log(session, None, None, tmp_path / "log.csv").new == 1
    assert "14 °C, 66 % in shed, Mon 5 Oct 2026 10:00" in undo_last(session).words
    assert import_log(session, None, None, tmp_path / "log.csv").readings == 3


def test_air_that_was_replaced_otherwise_is_not_taken_back(session):
    add_reading(session, None, None, 12.0, 60.0)
    name = shop(session)
    with session.store.unit() as unit:
        ((space, kind),) = unit.air.spaces(name)
        known = unit.air.readings(name, space, kind=kind)
        unit.air.forget(name, space, kind, known.at_s.tolist())
        unit.commit()
    with pytest.raises(BadInput, match="cannot be undone: other air was kept"):
        undo_last(session)
    assert air(session) == {}


def test_the_log_only_grows(session):
    for degrees in (10.0, 11.0):
        add_reading(session, None, None, degrees, 60.0)
    undo_last(session)
    redo_last(session)
    with session.store.unit(writes=False) as unit:
        words = [one.word.value for one in unit.air_changes.last_first(shop(session))]
        assert unit.air_changes.broken() == ()
    assert words == ["done again", "undone", "kept", "kept"]


def test_data_that_may_only_be_read_says_so(session):
    add_reading(session, None, None, 12.0, 60.0)
    session.store.read_only = "the file may only be read"
    for turn in (undo_last, redo_last):
        with pytest.raises(BadInput, match="may only be read"):
            turn(session)


def test_a_clock_set_back_keeps_the_order(at, session):
    add_note(session, "bench", "first")
    earlier = at(session.now - dt.timedelta(hours=3))
    add_reading(earlier, None, None, 12.0, 60.0)
    assert "12 °C" in undo_last(earlier).words
