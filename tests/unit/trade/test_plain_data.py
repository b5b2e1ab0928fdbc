"""Plain data: every word of the trade goes through JSON and back; faults name their place."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest

from finplan.journal.entries import Entry, EntryKind
from finplan.trade.errors import BadInput
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.plain import from_json, from_plain, to_json, to_plain
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step, StepKind
from finplan.trade.workshop import WorkWindow

SLAT = Part(
    "slat", 40, 850.0, 50.8, 22.225, "black locust", (Hole(5.0, 2, 9.5),), frozenset({Face.TOP})
)


def as_table(**changes):
    return to_plain(SLAT) | changes


def test_a_part_goes_through_json_and_back():
    assert from_json(Part, to_json(SLAT)) == SLAT


def test_the_same_value_gives_the_same_text():
    assert to_json({"b": 1, "a": frozenset({Face.TOP, Face.BOTTOM})}) == (
        '{"a":["bottom","top"],"b":1}'
    )


def test_defaults_may_be_left_out():
    assert to_plain(Hole(5.0, 2), skip_defaults=True) == {"diameter_mm": 5.0, "count": 2}


def test_an_entry_keeps_its_instants_to_the_microsecond():
    at = dt.datetime(2026, 10, 25, 2, 30, 0, 125, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    entry = Entry(uuid.uuid4(), "bench", EntryKind.WISH, at, at, details={"start": None})
    again = from_json(Entry, to_json(entry))
    assert again == entry
    assert again.at.tzinfo is dt.UTC


def test_days_and_clock_times_are_read_from_text_and_native():
    assert from_plain(WorkWindow, {"rule": "FREQ=DAILY", "start": "18:30", "minutes": 90}) == (
        WorkWindow("FREQ=DAILY", dt.time(18, 30), 90)
    )


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"quantitty": 3}, "f: unknown field \"quantitty\": did you mean 'quantity'?"),
        ({"quantity": 3.5}, "f, quantity: expected a whole number, found 3.5"),
        ({"quantity": True}, "f, quantity: expected a whole number, found true"),
        ({"length_mm": "850"}, 'f, length_mm: expected a number, found "850"'),
        ({"length_mm": float("inf")}, "f, length_mm: expected an ordinary number, found Infinity"),
        ({"length_mm": 10**400}, "f, length_mm: expected an ordinary number"),
        ({"name": 7}, "f, name: expected text in quotes, found 7"),
        ({"name": "a\0"}, "f, name: the text holds a character that cannot be stored"),
        ({"faces": ["topp"]}, "f, faces 1: \"topp\" is not known here: did you mean 'top'?"),
        ({"faces": "top"}, 'f, faces: expected a list, found "top"'),
        ({"holes": [{}]}, "f, holes 1: the field 'diameter_mm' is missing: add it"),
        ({"holes": [3]}, "f, holes 1: expected a table of fields, found 3"),
    ],
)
def test_a_fault_names_its_place(changes, told):
    with pytest.raises(BadInput) as refused:
        from_plain(Part, as_table(**changes), "f")
    assert str(refused.value).startswith(told)
    assert "\n" not in str(refused.value)


def test_a_place_within_lists_is_told_by_number_and_name():
    step = to_plain(Step("coat-1", StepKind.COAT, "Coat")) | {"kind": "paint"}
    batch = to_plain(Batch("slats", ("slat",), "shed", ())) | {"steps": [step]}
    project = to_plain(Project("bench", "Bench", "w", (), (), uuid.uuid4())) | {"batches": [batch]}
    with pytest.raises(BadInput) as refused:
        from_plain(Project, project, "bench.toml")
    assert str(refused.value).startswith(
        'bench.toml, batches 1 ("slats"), steps 1 ("coat-1"), kind: "paint" is not known here'
    )


@pytest.mark.parametrize(
    ("begins", "told"),
    [
        ("2026-10-05T18:30:00", "no zone"),
        ("2026-02-30T10:00:00Z", "is not a date and time like"),
        ("soon", "is not a date and time like"),
        (5, "is not a date and time like"),
        ("0001-01-01T00:00:00+14:00", "out of range"),
    ],
)
def test_instants_are_real_and_have_a_zone(begins, told):
    project = to_plain(Project("bench", "Bench", "w", (), (), uuid.uuid4())) | {"begins": begins}
    with pytest.raises(BadInput, match=told):
        from_plain(Project, project)


def test_what_is_no_json_is_told():
    with pytest.raises(BadInput, match=r"^row 3: this is not JSON"):
        from_json(Part, "{", "row 3")


@pytest.mark.parametrize("name", ["a\0b", "half \ud83d"])
def test_what_no_file_takes_is_refused_before_it_is_written(name):
    with pytest.raises(BadInput, match="cannot be stored"):
        to_json({"note": [name]})


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_numbers_without_end_are_refused(number):
    with pytest.raises(BadInput, match="ordinary"):
        to_json({"length_mm": number})
