"""Undoing what was done changes nothing, and neither does the order entries are stored in."""

import datetime as dt
import uuid

from hypothesis import given
from hypothesis import strategies as st

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.fold import progress
from finplan.journal.undo import redo_entry, undo_entry
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind

START = dt.datetime(2026, 3, 1, tzinfo=dt.UTC)
KEYS = ("sand", "coat-1", "wipe-1", "coat-2")
KINDS = (StepKind.SAND, StepKind.COAT, StepKind.WIPE_OFF, StepKind.COAT)
STEPS = tuple(Step(key, kind, key) for key, kind in zip(KEYS, KINDS, strict=True))
PROJECT = Project(
    name="door",
    title="A door",
    workshop="shop",
    parts=(),
    batches=(
        Batch("leaf", (), "shop", STEPS),
        Batch("frame", (), "shop", STEPS),
    ),
    uid=uuid.UUID(int=1),
)


def detail(kind, minutes):
    if kind is EntryKind.WISH:
        return {"start": (START + dt.timedelta(minutes=minutes)).isoformat()}
    if kind is EntryKind.DRYNESS_CHECK:
        return {"stage": "tack-free", "reached": minutes % 2 == 0}
    if kind is EntryKind.PARTS_SPOILED:
        return {"part": "panel", "quantity": 1 + minutes % 3}
    if kind is EntryKind.CORRECTION:
        return {"at": (START + dt.timedelta(minutes=minutes)).isoformat()}
    return {}


@st.composite
def journals(draw):
    count = draw(st.integers(1, 12))
    entries = []
    for number in range(count):
        kind = draw(st.sampled_from(EntryKind))
        minutes = draw(st.integers(0, 5000))
        about = draw(st.sampled_from(entries)).uid if entries else None
        entries.append(
            Entry(
                uid=uuid.UUID(int=draw(st.integers(1, 2**32)) * 100 + number),
                project="door",
                kind=kind,
                at=START + dt.timedelta(minutes=minutes),
                recorded_at=START + dt.timedelta(minutes=draw(st.integers(0, 20))),
                batch=draw(st.sampled_from(("leaf", "frame"))),
                load=draw(st.integers(1, 2)),
                loads=2,
                step=draw(st.sampled_from(KEYS)),
                about=about,
                details=detail(kind, minutes),
            )
        )
    return entries


@given(journals(), st.randoms(use_true_random=False))
def test_storage_order_changes_nothing(entries, shuffler):
    shuffled = list(entries)
    shuffler.shuffle(shuffled)
    assert progress(shuffled, PROJECT) == progress(entries, PROJECT)


@given(journals(), st.sampled_from(KEYS))
def test_undo_after_do_is_the_same_and_redo_is_done(entries, step):
    before = progress(entries, PROJECT)
    later = START + dt.timedelta(days=9)
    doing = Entry(
        uuid.UUID(int=5), "door", EntryKind.STEP_DONE, later, later, "", "leaf", 1, 2, step
    )
    done = [*entries, doing]
    after = progress(done, PROJECT)
    assert after.done["leaf", 1, step].entry == doing
    undone = [*done, undo_entry(done, uuid.UUID(int=6), later + dt.timedelta(minutes=1))]
    assert progress(undone, PROJECT) == before
    redone = [*undone, redo_entry(undone, uuid.UUID(int=7), later + dt.timedelta(minutes=2))]
    assert progress(redone, PROJECT) == after
