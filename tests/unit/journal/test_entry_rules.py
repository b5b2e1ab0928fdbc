"""What may not be recorded, and the sentence that says so."""

import dataclasses
import datetime as dt
import uuid

import pytest

from finplan.journal.entries import EntryKind
from finplan.journal.rules import check_entry
from finplan.trade.errors import BadInput
from tests.unit.journal.test_progress_fold import BENCH, START, written

NOW = START + dt.timedelta(days=3)
ZONE = "America/St_Johns"
DONE = EntryKind.STEP_DONE
SANDED = written(1, DONE, "sand")
COATED = written(2, DONE, "coat-1", hours=2)
WIPED = written(3, DONE, "wipe-1", hours=2.5)
COATED_TWICE = written(4, DONE, "coat-2", hours=30)


def refused(entry, journal=()):
    with pytest.raises(BadInput) as caught:
        check_entry(entry, BENCH, journal, NOW, ZONE)
    sentence = str(caught.value)
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize(
    ("entry", "journal", "words"),
    [
        (written(9, DONE, "coat-1", hours=100), (), "is in the future"),
        (written(9, DONE, "coat-1", hours=-1), (SANDED,), "before “Sand” ended"),
        (written(9, DONE, "coat-2", hours=30), (SANDED,), "coat-1: is not recorded"),
        (written(9, DONE, "coat-1", hours=3), (SANDED, COATED), "recorded as done already"),
        (written(9, DONE, "cota-1"), (), "did you mean 'coat-1'?"),
        (written(9, DONE, "coat-1", load=0), (), "loads count from 1"),
        (written(9, DONE, "coat-1", load=3), (), "no load 3: give 1 to 2"),
        (written(9, DONE, "coat-1", hours=1, amount_l=-1), (), "-1 litres can't be"),
        (written(9, DONE, "coat-1", hours=1, amount_l=float("nan")), (), "is not a number"),
        (written(9, DONE, "coat-1", hours=1, temperature_c=300), (), "300 °C can't be"),
        (written(9, DONE, "coat-1", hours=1, humidity_percent=140), (), "140 % can't be"),
        (written(9, DONE, "coat-1", hours=1, note="\x1b[31m"), (), "control characters"),
        (written(9, DONE, "coat-1", hours=1, note="x" * 10_000), (), "10000 letters"),
        (written(9, DONE, "coat-1", hours=1, colour="red"), (), "no detail 'colour'"),
        (written(9, DONE, "coat-1", started="2026-02-30T10:00Z"), (), "is not a time"),
        (written(9, DONE, "coat-1", started="2026-10-03T07:00:00"), (), "has no time zone"),
        (
            written(9, DONE, "coat-1", started="2026-10-03T09:00:00Z"),
            (),
            "ended before it started",
        ),
        (written(9, EntryKind.STEP_REPEAT, "coat-1"), (), "can't be repeated"),
        (
            written(9, EntryKind.STEP_REPEAT, "coat-1"),
            (SANDED, COATED, WIPED, COATED_TWICE),
            "'wipe-1' comes after it",
        ),
        (
            written(9, EntryKind.DRYNESS_CHECK, "sand", stage="tack-free", reached=True),
            (SANDED,),
            "no wet surface",
        ),
        (
            written(9, EntryKind.DRYNESS_CHECK, "coat-1", stage="tack-free", reached=True),
            (SANDED, COATED),
            "before the coat went on",
        ),
        (
            written(9, EntryKind.DRYNESS_CHECK, "coat-1", hours=9, stage="dryish", reached=True),
            (SANDED, COATED),
            "is no drying stage",
        ),
        (
            written(9, EntryKind.DRYNESS_CHECK, "coat-1", hours=9, stage="tack-free"),
            (SANDED, COATED),
            "lacks 'reached'",
        ),
        (written(9, EntryKind.PARTS_SPOILED, part="slats", quantity=1), (), "mean 'slat'?"),
        (written(9, EntryKind.PARTS_SPOILED, part="slat", quantity=41), (), "only 40 are left"),
        (written(9, EntryKind.PARTS_SPOILED, part="slat", quantity=0), (), "no count of pieces"),
        (written(9, EntryKind.WISH, "coat-1", start="2026-10-04T08:00:00Z"), (), "is past"),
        (written(9, EntryKind.NOTE, note="  "), (), "is empty"),
        (written(9, EntryKind.UNDO), (), "nothing to undo"),
        (written(9, EntryKind.UNDO, about=8), (SANDED,), "nothing to undo"),
        (
            written(9, EntryKind.UNDO, about=1),
            (SANDED, written(5, EntryKind.UNDO, about=1)),
            "undone already",
        ),
        (
            written(9, EntryKind.UNDO, about=5),
            (SANDED, written(5, EntryKind.UNDO, about=1)),
            "can't be taken back itself",
        ),
        (
            written(9, EntryKind.UNDO, about=2),
            (SANDED, COATED, WIPED, COATED_TWICE),
            "'wipe-1' comes after it",
        ),
        (written(9, EntryKind.REDO, about=1), (SANDED,), "nothing to redo"),
        (written(9, EntryKind.CORRECTION, about=1), (SANDED,), "changes nothing"),
        (
            written(9, EntryKind.CORRECTION, about=1, amount_l=-3),
            (SANDED,),
            "can't be",
        ),
        (
            written(9, EntryKind.CORRECTION, about=2, at="2026-10-05T08:00:00Z"),
            (SANDED, COATED, WIPED),
            "before “First coat” ended",
        ),
        (
            written(9, EntryKind.CORRECTION, about=2, at="2027-10-05T08:00:00Z"),
            (SANDED, COATED),
            "is in the future",
        ),
    ],
)
def test_refused_with_a_sentence_that_says_why(entry, journal, words):
    assert words in refused(entry, journal)


def test_times_are_told_in_the_zone_asked_for():
    early = written(9, DONE, "coat-1", hours=-1)
    assert "would begin Sat 3 Oct 2026 04:30, before" in refused(early, (SANDED,))
    assert "ended (Sat 3 Oct 2026 05:30)" in refused(early, (SANDED,))
    twice = refused(written(9, DONE, "coat-1", hours=3), (SANDED, COATED))
    assert "as done already (Sat 3 Oct 2026 07:30)" in twice
    late = refused(written(9, DONE, "coat-1", hours=100))
    assert "Wed 7 Oct 2026 09:30 is in the future (now is Tue 6 Oct 2026 05:30)" in late


def test_naive_times_are_refused():
    naive = dataclasses.replace(SANDED, at=dt.datetime(2026, 10, 3, 8, 0))  # noqa: DTZ001
    assert "no time zone" in refused(naive)


def test_unknown_batch_names_the_nearest():
    assert "did you mean 'slats'?" in refused(dataclasses.replace(SANDED, batch="slat"))


def test_another_number_of_loads_than_the_first_step_fixed_is_refused():
    assert "cut into 2 loads" in refused(dataclasses.replace(COATED, loads=3), [SANDED])


def test_the_whole_schedule_can_be_recorded_in_order():
    journal = []
    for entry in (SANDED, COATED, WIPED, COATED_TWICE):
        check_entry(entry, BENCH, journal, NOW, ZONE)
        journal.append(entry)


def test_a_dry_step_forgotten_may_be_recorded_late():
    late = dataclasses.replace(SANDED, uid=uuid.UUID(int=8))
    check_entry(late, BENCH, [COATED], NOW, ZONE)


def test_what_is_left_out_late_holds_up_nothing_after_it():
    skipped = written(3, EntryKind.STEP_SKIPPED, "wipe-1", hours=50)
    check_entry(COATED_TWICE, BENCH, [SANDED, COATED, skipped], NOW, ZONE)


def test_the_very_moment_is_early_enough():
    dry = written(9, EntryKind.DRYNESS_CHECK, "coat-1", hours=2, stage="tack-free", reached=False)
    check_entry(dry, BENCH, [SANDED, COATED], NOW, ZONE)
    check_entry(dataclasses.replace(SANDED, at=NOW), BENCH, [], NOW, ZONE)


def test_pieces_lost_before_are_not_lost_again():
    first = written(1, EntryKind.PARTS_SPOILED, part="slat", quantity=38)
    check_entry(
        written(2, EntryKind.PARTS_SPOILED, part="slat", quantity=2), BENCH, [first], NOW, ZONE
    )
    again = written(2, EntryKind.PARTS_SPOILED, part="slat", quantity=3)
    assert "only 2 are left" in refused(again, [first])


def test_undo_of_the_last_and_its_redo_are_taken():
    undo = written(8, EntryKind.UNDO, about=2)
    check_entry(undo, BENCH, [SANDED, COATED], NOW, ZONE)
    check_entry(written(9, EntryKind.REDO, about=2), BENCH, [SANDED, COATED, undo], NOW, ZONE)


def test_a_wish_can_be_withdrawn():
    check_entry(written(8, EntryKind.WISH, "coat-1", start=None), BENCH, [], NOW, ZONE)


def test_the_batch_is_not_assembled_while_a_coat_of_another_load_is_missing():
    first = [SANDED, COATED, WIPED, COATED_TWICE]
    assemble = written(9, DONE, "assemble", hours=60)
    assert "load 2, coat-1: is not recorded, and 'assemble'" in refused(assemble, first)
    second = [
        dataclasses.replace(entry, uid=uuid.UUID(int=20 + n), load=2)
        for n, entry in enumerate(first)
    ]
    check_entry(assemble, BENCH, [*first, *second], NOW, ZONE)
    late = written(30, EntryKind.UNDO, about=23, load=2)
    assert "'assemble' comes after it" in refused(late, [*first, *second, assemble])
