"""Which of the air that was kept still counts, read from the last entry backwards."""

from __future__ import annotations

import datetime as dt
import uuid

from hypothesis import given
from hypothesis import strategies as st

from finplan.air.changes import AirChange, AirWord, last_standing, last_undone
from finplan.air.series import AirSource

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def change(number, word=AirWord.KEPT, about=None):
    return AirChange(
        uuid.UUID(int=number), "shop", "shed", AirSource.READING, NOON, word,
        uuid.UUID(int=about) if about else None,
    )  # fmt: skip


def kept(number):
    return change(number)


def undone(number, about):
    return change(number, AirWord.UNDONE, about)


def again(number, about):
    return change(number, AirWord.DONE_AGAIN, about)


def numbers(log):
    standing, word = last_standing(reversed(log)), last_undone(reversed(log))
    return standing.uid.int if standing else 0, word.about.int if word else 0


def test_what_is_undone_gives_way_to_what_was_kept_before_it():
    assert numbers([]) == (0, 0)
    assert numbers([kept(1)]) == (1, 0)
    assert numbers([kept(1), kept(2), undone(3, 2)]) == (1, 2)
    assert numbers([kept(1), kept(2), undone(3, 2), undone(4, 1)]) == (0, 1)
    assert numbers([kept(1), kept(2), undone(3, 2), undone(4, 1), again(5, 1)]) == (1, 2)


def test_what_is_kept_after_an_undo_ends_the_redo():
    assert numbers([kept(1), undone(2, 1), kept(3)]) == (3, 0)


def test_no_more_is_read_than_needed():
    read = iter([kept(9), kept(8)])
    assert last_standing(read).uid.int == 9
    assert next(read).uid.int == 8


@given(st.lists(st.sampled_from(["keep", "undo", "redo"]), max_size=25))
def test_any_run_of_keys_is_what_a_pile_of_things_done_would_give(keys):
    log, done, taken = [], [], []
    for key in keys:
        number = len(log) + 1
        if key == "keep":
            log.append(kept(number))
            done.append(number)
            taken.clear()
        elif key == "undo" and done:
            taken.append(done.pop())
            log.append(undone(number, taken[-1]))
        elif key == "redo" and taken:
            done.append(taken.pop())
            log.append(again(number, done[-1]))
    assert numbers(log) == (done[-1] if done else 0, taken[-1] if taken else 0)
