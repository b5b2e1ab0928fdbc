"""Which entries of a piece's log count after corrections, undo and redo."""

from __future__ import annotations

import datetime as dt
import uuid

from hypothesis import given
from hypothesis import strategies as st

from finplan.tracking.upkeep.pieces import (
    CORRECTED,
    UNDONE,
    Finding,
    UpkeepEntry,
    UpkeepKind,
    set_aside,
    standing,
    to_redo,
)

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def told(number, about=None, kind=UpkeepKind.INSPECTED, **more):
    """An entry written in the hour of its number."""
    at = NOON + dt.timedelta(hours=number)
    return UpkeepEntry(
        uuid.UUID(int=number), "steps", kind, at, at, about=about and uuid.UUID(int=about), **more
    )


def undone(number, about):
    return told(number, about, UpkeepKind.UNDONE)


def counting(*entries):
    return [entry.uid.int for entry in standing(entries)]


def test_an_undone_entry_counts_no_more_and_counts_again_when_that_is_undone():
    assert counting(told(1), told(2), undone(3, 2)) == [1]
    assert counting(told(1), told(2), undone(3, 2), undone(4, 3)) == [1, 2]


def test_a_correction_counts_in_place_of_the_entry_and_undoing_it_brings_that_back():
    wrong, right = told(1, findings=(Finding.BEADS,)), told(2, 1, findings=(Finding.SLOW,))
    assert counting(wrong, right) == [2]
    assert counting(wrong, right, undone(3, 2)) == [1]
    assert counting(wrong, right, told(3, 2), undone(4, 3)) == [2]


def test_a_correction_of_a_correction_leaves_one_entry():
    log = (told(1), told(2, 1), told(3, 2))
    assert counting(*log) == [3]
    assert counting(*log, undone(4, 3)) == [2]
    assert counting(*log, undone(4, 3), undone(5, 2)) == [1]
    assert counting(*log, undone(4, 3), undone(5, 4)) == [3]


def test_why_an_entry_counts_no_more_is_told():
    log = (told(1), told(2, 1), told(3), undone(4, 3))
    assert {uid.int: why for uid, why in set_aside(log).items()} == {1: CORRECTED, 3: UNDONE}


def test_redo_takes_back_the_last_undo_step_by_step():
    log = (told(1), told(2), undone(3, 2), undone(4, 1))
    assert to_redo(log).uid.int == 4
    log += (undone(5, 4),)
    assert to_redo(log).uid.int == 3
    log += (undone(6, 3),)
    assert to_redo(log) is None
    assert counting(*log) == [1, 2]


def test_nothing_is_redone_after_something_new_was_told():
    assert to_redo((told(1), undone(2, 1), told(3))) is None
    assert to_redo((told(1),)) is None
    assert to_redo(()) is None


@given(st.lists(st.sampled_from(["tell", "correct", "undo", "redo"]), max_size=14))
def test_redo_after_undo_leaves_what_counts_as_it_was(actions):
    log: tuple[UpkeepEntry, ...] = ()
    for number, action in enumerate(actions, 1):
        count = standing(log)
        last = max(count, key=lambda entry: entry.recorded_at, default=None)
        if action == "tell":
            log += (told(number),)
        elif action == "correct" and last:
            log += (told(number, last.uid.int),)
            assert len(standing(log)) == len(count)
        elif action == "undo" and last:
            log += (undone(number, last.uid.int),)
        elif action == "redo" and (redo := to_redo(log)):
            log += (undone(number, redo.uid.int),)
    before = standing(log)
    if before:
        last = max(before, key=lambda entry: entry.recorded_at)
        after = (*log, undone(90, last.uid.int))
        assert last not in standing(after)
        redo = to_redo(after)
        assert redo is not None and redo.about == last.uid
        assert standing((*after, undone(91, redo.uid.int))) == before
