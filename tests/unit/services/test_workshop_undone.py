"""Changes of a workshop are taken back and brought back, in their order among all that was done."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from finplan.services.air import add_reading
from finplan.services.editing import edit_project
from finplan.services.planned import planned
from finplan.services.record import add_note
from finplan.services.undoing import Meant, redo_last, undo_last
from finplan.services.workshops import (
    change_workshop,
    list_workshops,
    with_days_off,
    with_hours,
    with_safety,
    with_space,
    without_person,
)
from finplan.trade.errors import BadInput
from finplan.trade.work_hours import parse_hours
from finplan.trade.workshop import Stretch

MORNINGS = parse_hours("mon-fri 9-12")
LOFT = with_space("loft", 6.0, (20.0, 50.0))


def shop(session):
    (only,) = list_workshops(session)
    return only


def change(session, *changes):
    return change_workshop(session, None, list(changes))


def test_hours_are_taken_back_and_brought_back_with_their_plan(session):
    known, before = shop(session), planned(session, ["bench"]).plan.steps
    change(session, with_hours(None, MORNINGS))
    changed, after = shop(session), planned(session, ["bench"]).plan.steps
    assert after != before
    told = undo_last(session)
    assert (told.of, told.words) == ("shed", "hours of Maker")
    assert shop(session) == known
    assert planned(session, ["bench"]).plan.steps == before
    assert redo_last(session).words == "hours of Maker"
    assert shop(session) == changed
    assert planned(session, ["bench"]).plan.steps == after
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_a_change_is_told_in_words(session):
    kim = with_hours("Kim", MORNINGS)
    off = with_days_off("Maker", (dt.date(2026, 10, 10),))
    change(session, kim, off, LOFT, with_safety(0.9))
    change(session, without_person("Kim"), with_space("loft", 7.0, None))
    assert undo_last(session).words == "Kim leaves; rack of loft"
    told = undo_last(session).words
    assert told == "days off of Maker; Kim is new; loft is new; 90% ready by a safe time"
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session)


def test_what_changes_nothing_is_nothing_to_undo(session):
    assert change(session, with_safety(shop(session).safe_quantile)).moved == ()
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session)


def test_hours_readings_entries_and_edits_are_undone_in_the_order_they_were_made(session):
    """The session's clock stands still: order is kept all the same."""
    add_reading(session, None, None, 12.0, 60.0)
    change(session, with_safety(0.9))
    edit_project(session, "bench", None, lambda made: replace(made, title="One"), "called One")
    change(session, with_hours(None, MORNINGS))
    add_note(session, "bench", "a word")
    undone = [undo_last(session) for _ in range(5)]
    assert [getattr(one, "words", "note") for one in undone][:4] == [
        "note",
        "hours of Maker",
        "called One",
        "90% ready by a safe time",
    ]
    assert "reading of 12 °C" in undone[4].words
    again = [redo_last(session) for _ in range(5)]
    assert [getattr(one, "words", "note") for one in again][1:] == [
        "90% ready by a safe time",
        "called One",
        "hours of Maker",
        "note",
    ]


def test_something_new_leaves_nothing_to_bring_back(session):
    change(session, with_safety(0.9))
    undo_last(session)
    change(session, with_safety(0.7))
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_a_project_alone_leaves_its_workshop_be(session):
    change(session, with_safety(0.9))
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session, Meant(["bench"]))
    assert undo_last(session, Meant(["bench"], ["shed"])).of == "shed"


def test_busy_times_read_since_stay_and_hinder_nothing(session):
    change(session, with_hours(None, MORNINGS))
    start = dt.datetime(2026, 10, 9, 7, tzinfo=dt.UTC)
    busy = (Stretch(start, start + dt.timedelta(hours=2), source="choir"),)
    with session.store.unit() as unit:
        there = unit.workshops.get("shed")
        people = tuple(replace(one, busy=busy) for one in there.people)
        unit.workshops.put(replace(there, people=people))
        unit.commit()
    undo_last(session)
    (maker,) = shop(session).people
    assert (maker.busy, maker.windows == MORNINGS) == (busy, False)


def test_what_was_changed_by_other_ways_since_is_not_overridden(session):
    change(session, with_safety(0.9))
    with session.store.unit() as unit:
        unit.workshops.put(replace(unit.workshops.get("shed"), safe_quantile=0.7))
        unit.commit()
    with pytest.raises(BadInput, match=r"workshop shed: .* cannot be undone: the safe quantile"):
        undo_last(session)
    assert shop(session).safe_quantile == 0.7


def test_a_room_that_is_needed_by_now_stays(session):
    change(session, LOFT)
    with session.store.unit() as unit:
        made = unit.projects.get("bench")
        batches = tuple(replace(one, space="loft") for one in made.batches)
        unit.projects.put(replace(made, batches=batches))
        unit.commit()
    with pytest.raises(BadInput, match="loft"):
        undo_last(session)
    assert [space.name for space in shop(session).spaces] == ["shed", "loft"]
