"""What the journal says is so: done, skipped, repeated, corrected, undone, wished, spoiled."""

import dataclasses
import datetime as dt
import uuid

import pytest

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.fold import progress
from finplan.journal.standing import standing_entries
from finplan.journal.undo import entry_to_redo, entry_to_undo, redo_entry, undo_entry
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.parts import Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind

START = dt.datetime(2026, 10, 3, 8, 0, tzinfo=dt.UTC)

BENCH = Project(
    name="bench",
    title="A bench",
    workshop="shed",
    parts=(Part("slat", 40, 1200, 50, 22, "black locust"),),
    batches=(
        Batch(
            "slats",
            ("slat",),
            "shed",
            (
                Step("sand", StepKind.SAND, "Sand"),
                Step("coat-1", StepKind.COAT, "First coat", coat=1, finish="oil"),
                Step("wipe-1", StepKind.WIPE_OFF, "Wipe off", coat=1),
                Step("scuff-2", StepKind.SCUFF, "Scuff", coat=2, only_if_window_missed=True),
                Step("coat-2", StepKind.COAT, "Second coat", coat=2, finish="oil"),
                Step("assemble", StepKind.ASSEMBLE, "Assemble"),
                Step("release", StepKind.RELEASE, "Release"),
            ),
        ),
    ),
    uid=uuid.UUID(int=7),
)


def written(number, kind, step="", hours=0.0, about=None, load=1, **details):
    at = START + dt.timedelta(hours=hours)
    return Entry(
        uid=uuid.UUID(int=number),
        project="bench",
        kind=kind,
        at=at,
        recorded_at=START + dt.timedelta(days=2, minutes=number),
        batch="slats",
        load=load,
        loads=2,
        step=step,
        about=uuid.UUID(int=about) if about else None,
        details=details,
    )


def done_keys(entries):
    return {key[2] for key, fact in progress(entries, BENCH).done.items() if not fact.skipped}


def test_a_step_done_carries_when_it_began_and_ended_and_how_much_it_took():
    began = START - dt.timedelta(hours=1)
    entry = written(1, EntryKind.STEP_DONE, "sand", started=began.isoformat(), amount_l=0.4)
    facts = progress([entry], BENCH)
    done = facts.done["slats", 1, "sand"]
    assert (done.started, done.ended, done.skipped) == (began, START, False)
    assert facts.loads == {"slats": 2}
    assert facts.amounts_l == {("slats", 1, "sand"): 0.4}


def test_a_later_step_recorded_passes_over_the_earlier_ones_of_its_load_only():
    facts = progress([written(1, EntryKind.STEP_DONE, "coat-1", load=2)], BENCH)
    assert facts.done["slats", 2, "sand"].skipped
    assert ("slats", 1, "sand") not in facts.done
    assert ("slats", 2, "wipe-1") not in facts.done


def test_a_step_to_repeat_is_not_done_until_it_is_done_again():
    entries = [
        written(1, EntryKind.STEP_DONE, "coat-1"),
        written(2, EntryKind.STEP_REPEAT, "coat-1", hours=1),
    ]
    assert "coat-1" not in done_keys(entries)
    again = [*entries, written(3, EntryKind.STEP_DONE, "coat-1", hours=5)]
    assert progress(again, BENCH).done["slats", 1, "coat-1"].ended == START + dt.timedelta(hours=5)


def test_a_correction_changes_the_hour_and_the_details_and_can_be_undone():
    moved = START + dt.timedelta(hours=3)
    entries = [
        written(1, EntryKind.STEP_DONE, "coat-1", amount_l=0.4, note="thin"),
        written(2, EntryKind.CORRECTION, about=1, at=moved.isoformat(), amount_l=None),
    ]
    facts = progress(entries, BENCH)
    assert facts.done["slats", 1, "coat-1"].ended == moved
    assert facts.done["slats", 1, "coat-1"].entry.details == {"note": "thin"}
    assert facts.amounts_l == {}
    back = progress([*entries, written(3, EntryKind.UNDO, about=2)], BENCH)
    assert back.done["slats", 1, "coat-1"].ended == START
    assert back.amounts_l == {("slats", 1, "coat-1"): 0.4}


def test_wishes_spoiled_parts_and_checks_are_kept_while_they_stand():
    wish = START + dt.timedelta(days=3)
    entries = [
        written(1, EntryKind.STEP_DONE, "coat-1"),
        written(2, EntryKind.WISH, "coat-2", start=wish.isoformat()),
        written(3, EntryKind.PARTS_SPOILED, part="slat", quantity=2),
        written(4, EntryKind.PARTS_SPOILED, part="slat", quantity=1),
        written(5, EntryKind.DRYNESS_CHECK, "coat-1", hours=4, stage="tack-free", reached=False),
    ]
    facts = progress(entries, BENCH)
    assert facts.wishes == {("slats", 1, "coat-2"): wish}
    assert facts.spoiled == {"slat": 3}
    assert (facts.checks[0].stage, facts.checks[0].reached) == (Stage.TACK_FREE, False)
    withdrawn = progress([*entries, written(6, EntryKind.WISH, "coat-2", start=None)], BENCH)
    assert withdrawn.wishes == {}


def test_a_wish_for_what_is_done_by_now_is_over():
    wish = written(1, EntryKind.WISH, "coat-1", start=START.isoformat())
    assert set(progress([wish], BENCH).wishes) == {("slats", 1, "coat-1")}
    assert progress([wish, written(2, EntryKind.STEP_DONE, "coat-1")], BENCH).wishes == {}


def test_only_a_step_that_happened_fixes_how_many_loads_there_are():
    wish = written(1, EntryKind.WISH, "coat-1", start=START.isoformat())
    unsaid = dataclasses.replace(written(2, EntryKind.STEP_DONE, "sand"), loads=0)
    assert progress([wish, unsaid], BENCH).loads == {}
    assert progress([written(3, EntryKind.STEP_SKIPPED, "sand")], BENCH).loads == {"slats": 2}


def test_words_about_entries_are_none_of_what_stands():
    entries = [
        written(1, EntryKind.STEP_DONE, "sand"),
        written(2, EntryKind.NOTE, note="cold tonight"),
        written(3, EntryKind.CORRECTION, about=1, note="twice"),
        written(4, EntryKind.UNDO, about=2),
        written(5, EntryKind.REDO, about=2),
    ]
    standing = standing_entries(reversed(entries))
    assert [entry.uid.int for entry in standing] == [1, 2]
    assert standing[0].details == {"note": "twice"}


def test_steps_the_project_no_longer_has_and_other_projects_are_left_out():
    other = Entry(uuid.UUID(int=9), "door", EntryKind.STEP_DONE, START, START, "", "slats", 1, 1)
    assert progress([written(1, EntryKind.STEP_DONE, "coat-9"), other], BENCH).done == {}


def test_undo_takes_the_last_that_counts_and_redo_brings_it_back():
    entries = [
        written(1, EntryKind.STEP_DONE, "sand"),
        written(2, EntryKind.STEP_DONE, "coat-1", hours=1),
    ]
    now = START + dt.timedelta(days=3)
    entries.append(undo_entry(entries, uuid.UUID(int=3), now))
    assert done_keys(entries) == {"sand"}
    assert entry_to_undo(entries).step == "sand"
    assert entry_to_redo(entries).step == "coat-1"
    entries.append(redo_entry(entries, uuid.UUID(int=4), now + dt.timedelta(minutes=1)))
    assert done_keys(entries) == {"sand", "coat-1"}
    assert entry_to_redo(entries) is None


def test_undo_twice_then_redo_twice_in_turn():
    entries = [
        written(1, EntryKind.STEP_DONE, "sand"),
        written(2, EntryKind.STEP_DONE, "coat-1", hours=1),
    ]
    now = START + dt.timedelta(days=3)
    for number in (3, 4):
        entries.append(
            undo_entry(entries, uuid.UUID(int=number), now + dt.timedelta(minutes=number))
        )
    assert done_keys(entries) == set()
    for number in (5, 6):
        entries.append(
            redo_entry(entries, uuid.UUID(int=number), now + dt.timedelta(minutes=number))
        )
    assert done_keys(entries) == {"sand", "coat-1"}


def test_something_new_ends_what_could_be_redone():
    now = START + dt.timedelta(days=2, minutes=5)
    entries = [written(1, EntryKind.STEP_DONE, "sand")]
    entries.append(undo_entry(entries, uuid.UUID(int=2), now))
    entries.append(written(9, EntryKind.NOTE, note="cold tonight"))
    with pytest.raises(BadInput, match="nothing to redo"):
        redo_entry(entries, uuid.UUID(int=4), now)


def test_an_empty_journal_has_nothing_to_undo():
    with pytest.raises(BadInput, match="nothing to undo"):
        undo_entry([], uuid.UUID(int=1), START)


def test_what_is_done_to_the_whole_batch_passes_over_every_load():
    entries = [
        written(1, EntryKind.STEP_DONE, "coat-2"),
        written(2, EntryKind.STEP_DONE, "assemble", hours=1),
    ]
    done = progress(entries, BENCH).done
    assert done["slats", 2, "coat-2"].skipped
    assert done["slats", 2, "sand"].ended == START + dt.timedelta(hours=1)
    assert ("slats", 2, "assemble") not in done
