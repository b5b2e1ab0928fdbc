"""Changes of a project can be taken back in the order they were made, beside journal entries."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from functools import partial

import pytest

from finplan.services.editing import Edited, edit_project
from finplan.services.journal import entries_of
from finplan.services.planned import planned
from finplan.services.projects import add_parts, project_with_version
from finplan.services.record import StepRef, add_note, record_step
from finplan.services.undoing import redo_last, undo_last
from finplan.trade import schedule_edits
from finplan.trade.errors import BadInput

MORNING = dt.datetime(2026, 10, 5, 6, tzinfo=dt.UTC)


def project(session):
    return project_with_version(session, "bench")[0]


def edited(session, change, words="changed"):
    return edit_project(session, "bench", None, change, words)


def titled(title):
    return lambda made: replace(made, title=title)


def scheduled(change):
    """A change of the only batch's steps."""

    def changed(made):
        (batch,) = made.batches
        return replace(made, batches=(replace(batch, steps=change(batch.steps)),))

    return changed


def test_a_coat_more_moves_the_date_and_says_so(session):
    before = planned(session, ["bench"]).ready_of("bench")
    told = edited(session, scheduled(schedule_edits.with_coat_again), "a coat more")
    after = planned(session, ["bench"]).ready_of("bench")
    assert after.safe > before.safe
    assert told.words == "a coat more"
    assert told.moved[0].startswith("Ready ") and "instead of" in told.moved[0]


def test_edits_are_taken_back_and_brought_back_in_order(session):
    first = project(session).title
    edited(session, titled("One"), "called One")
    edited(session, titled("Two"), "called Two")
    assert undo_last(session).words == "called Two"
    assert project(session).title == "One"
    assert undo_last(session).words == "called One"
    assert project(session).title == first
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session)
    assert redo_last(session).words == "called One"
    assert redo_last(session).words == "called Two"
    assert project(session).title == "Two"
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_entries_and_edits_are_undone_in_the_order_they_were_made(session):
    """The session's clock stands still: order is kept all the same."""
    add_note(session, "bench", "first")
    edited(session, titled("Second"), "second")
    add_note(session, "bench", "third")
    assert undo_last(session).subject.details["note"] == "third"
    assert isinstance(undo_last(session), Edited)
    assert undo_last(session).subject.details["note"] == "first"
    assert redo_last(session).subject.details["note"] == "first"
    assert redo_last(session).words == "second"
    assert redo_last(session).subject.details["note"] == "third"
    assert [one.undone for one in entries_of(session, "bench")[:2]] == [False, False]
    assert project(session).title == "Second"


def test_what_is_done_after_an_undo_ends_the_redo(session):
    edited(session, titled("One"))
    undo_last(session)
    add_note(session, "bench", "something else")
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)
    undo_last(session)
    edited(session, titled("Two"))
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_last(session)


def test_an_edit_keeps_what_another_one_changed_meanwhile(session):
    edited(session, titled("One"), "called One")
    with session.store.unit() as unit:
        unit.projects.put(replace(unit.projects.get("bench"), notes="by somebody else"))
        unit.commit()
    undo_last(session)
    assert project(session).notes == "by somebody else"


def test_an_edit_whose_field_changed_since_is_not_taken_back(session):
    edited(session, titled("One"), "called One")
    with session.store.unit() as unit:
        unit.projects.put(replace(unit.projects.get("bench"), title="Theirs"))
        unit.commit()
    with pytest.raises(BadInput, match="title changed since"):
        undo_last(session)
    assert project(session).title == "Theirs"


def test_steps_before_a_recorded_one_keep_their_order(session):
    record_step(session, StepRef("bench", "pieces", 1, "seal"), at=MORNING)
    at = MORNING + dt.timedelta(hours=1)
    record_step(session, StepRef("bench", "pieces", 1, "coat-1"), at=at)
    stamp = session.store.change_stamp()
    for change in (
        partial(schedule_edits.without_step, key="clean-1"),
        partial(schedule_edits.moved_step, key="coat-1", by=1),
    ):
        with pytest.raises(BadInput, match="recorded already"):
            edited(session, scheduled(change))
    assert session.store.change_stamp() == stamp
    edited(session, scheduled(schedule_edits.with_coat_again))


def test_an_edit_under_which_something_was_recorded_is_undone_after_it(session):
    edited(session, scheduled(schedule_edits.with_coat_again), "a coat more")
    record_step(session, StepRef("bench", "pieces", 1, "sand"), at=MORNING)
    assert undo_last(session).subject.step == "sand"
    assert undo_last(session).words == "a coat more"


def test_a_change_that_cannot_be_made_leaves_nothing(session):
    stamp = session.store.change_stamp()
    with pytest.raises(BadInput):
        edited(session, scheduled(lambda steps: ()))
    assert session.store.change_stamp() == stamp
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session)


def test_nothing_changed_is_no_edit(session):
    assert edited(session, lambda made: made).words == "nothing was changed"
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_last(session)


def test_parts_of_a_cut_list_can_be_taken_back(session, tmp_path):
    before = project(session)
    more = tmp_path / "more.csv"
    more.write_text("name,quantity,length,width,thickness\nrail,2,50 cm,5 cm,2 cm\n")
    add_parts(session, "bench", more)
    assert "rail" in [part.name for part in project(session).parts]
    assert "more.csv" in undo_last(session).words
    assert project(session) == before
