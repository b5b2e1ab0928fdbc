"""The edits of projects: the last ones are kept, and which of them stand."""

from __future__ import annotations

import datetime as dt
import uuid

from finplan.store.edits import MOST_KEPT

NOON = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)
ONE, OTHER = uuid.UUID(int=1), uuid.UUID(int=2)
MINUTE = dt.timedelta(minutes=1)


def test_an_edit_comes_back_as_it_was_kept(store):
    with store.unit() as unit:
        unit.edits.add(ONE, NOON, "part slat changed", {"parts": [1]}, {"parts": [1, 2.5]})
        unit.commit()
    with store.unit(writes=False) as unit:
        edit = unit.edits.last([ONE, OTHER])
    assert (edit.of, edit.at, edit.undone, edit.words) == (
        ONE, NOON, None, "part slat changed",
    )  # fmt: skip
    assert (edit.before, edit.after) == ({"parts": [1]}, {"parts": [1, 2.5]})


def test_the_last_of_several_projects_is_the_latest(store):
    with store.unit() as unit:
        unit.edits.add(ONE, NOON + MINUTE, "later", {}, {})
        unit.edits.add(OTHER, NOON, "sooner", {}, {})
        assert unit.edits.last([ONE, OTHER]).words == "later"
        assert unit.edits.last([OTHER]).words == "sooner"
        assert unit.edits.last([]) is None


def test_a_new_edit_forgets_what_was_undone_before_it(store):
    with store.unit() as unit:
        unit.edits.add(ONE, NOON, "first", {}, {})
        unit.edits.add(ONE, NOON + MINUTE, "second", {}, {})
        unit.edits.mark(unit.edits.last([ONE]), NOON + 2 * MINUTE)
        assert unit.edits.last([ONE]).words == "first"
        assert unit.edits.last_undone([ONE]).words == "second"
        unit.edits.add(ONE, NOON + 3 * MINUTE, "third", {}, {})
        assert unit.edits.last_undone([ONE]) is None
        assert unit.edits.last([ONE]).words == "third"


def test_only_so_many_are_kept(store):
    with store.unit() as unit:
        for number in range(MOST_KEPT + 5):
            unit.edits.add(ONE, NOON + number * MINUTE, f"edit {number}", {}, {})
        told = []
        while (edit := unit.edits.last([ONE])) is not None:
            told.append(edit.words)
            unit.edits.mark(edit, NOON)
    assert told[0] == f"edit {MOST_KEPT + 4}" and told[-1] == "edit 5"
    assert len(told) == MOST_KEPT
