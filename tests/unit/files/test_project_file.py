"""The project file as people write it, and what is said when they slip."""

from __future__ import annotations

import datetime as dt
import random
import tomllib
import uuid
from dataclasses import replace

import numpy as np
import pytest

from finplan.air.series import AirSeries, AirSource
from finplan.files.lines import line_of
from finplan.files.project_file import Besides, dump_project, load_project
from finplan.journal.entries import Entry, EntryKind
from finplan.planning.kept import KeptPlan, KeptStep
from finplan.trade.errors import BadInput
from finplan.trade.parts import Face, Part
from finplan.trade.steps import Step, StepKind

BY_HAND = """\
[project]
name = "boathouse-bench"   # what commands take
cut_list = "slats.csv"
begins = 2026-10-05T07:00:00+02:00
in_service_by = 2026-11-20

[workshop]
name = "shed"
zone = "Europe/Oslo"

[[workshop.people]]
name = "Somebody"
windows = [{ rule = "FREQ=WEEKLY;BYDAY=SA", start = 08:00:00, minutes = 540 }]

[[workshop.spaces]]
name = "shed"
rack_area = "40 sq ft"
air_log = "october.csv"

[workshop.spaces.normals]
mean_c = [-2, -2, 1, 5, 10, 14, 17, 16, 12, 7, 2, -1]
daily_swing_c = [4, 5, 7, 8, 9, 9, 8, 8, 7, 5, 4, 4]
mean_rh_percent = [85, 82, 76, 70, 66, 68, 72, 76, 80, 83, 86, 87]
source = "invented"

[[parts]]
name = "leg"
quantity = 4
length = "1' 5 1/2\\""
width_mm = 70
thickness = "1 1/16 in"
wood = "black locust"
holes = [{ diameter = "5 mm", countersink_diameter_mm = 10, count = 2 }]
faces = ["top", "bottom"]

[[batches]]
name = "legs"
parts = ["leg"]
space = "shed"
schedule = "wet-area oil"

[[batches]]
name = "slats"
parts = ["slat"]
space = "shed"

[batches.schedule]
template = "wet-area oil"
coats = 3

[[journal]]
uid = "5d3c0f5e-6a4c-4c46-8a5c-0d1a7a3f9b10"
kind = "step done"
at = 2026-10-06T19:05:00+02:00
recorded_at = 2026-10-06T19:06:00+02:00
batch = "legs"
load = 1
loads = 1
step = "coat-1"
details = { started = 2026-10-06T18:30:00+02:00, note = "ragged on" }

[[air]]
space = "shed"
kind = "forecast"
steps = '''
2026-10-07T00:00:00Z, 9.5, 82
2026-10-07T06:00:00Z, 8, 88
'''
"""
SLAT = Part("slat", 40, 850.0, 50.8, 22.225, "black locust")
UID = uuid.UUID(int=7)


def steps_of(template, options):
    assert template == "wet-area oil"
    coats = options.get("coats", 4)
    return tuple(
        Step(f"coat-{number}", StepKind.COAT, "Coat", coat=number) for number in range(1, coats + 1)
    )


def log_of(name, zone):
    assert (name, zone) == ("october.csv", "Europe/Oslo")
    return AirSeries(np.array([0.0]), np.array([9.0]), np.array([80.0]), np.zeros(1, np.uint8))


def parts_of(name):
    assert name == "slats.csv"
    return (SLAT,)


BESIDES = Besides(parts_of, steps_of, log_of, lambda: UID)


def load(text):
    return load_project(text, "bench.toml", BESIDES)


def refused(text):
    with pytest.raises(BadInput) as refusal:
        load(text)
    assert "\n" not in str(refusal.value)
    return str(refusal.value)


def changed(old, new):
    assert BY_HAND.count(old) >= 1
    return BY_HAND.replace(old, new, 1)


def test_a_file_written_by_hand_is_understood():
    loaded = load(BY_HAND)
    project, workshop = loaded.project, loaded.workshop
    leg, slat = project.parts
    assert (project.name, project.title, project.workshop) == (
        "boathouse-bench", "boathouse-bench", "shed",
    )  # fmt: skip
    assert (project.uid, loaded.uid_given) == (UID, False)
    assert project.begins == dt.datetime(2026, 10, 5, 5, tzinfo=dt.UTC)
    assert leg.length_mm == pytest.approx(17.5 * 25.4)
    assert (leg.width_mm, leg.thickness_mm) == (70, pytest.approx(26.9875))
    assert (leg.holes[0].diameter_mm, leg.holes[0].count) == (5, 2)
    assert leg.faces == {Face.TOP, Face.BOTTOM}
    assert slat == SLAT
    assert [len(batch.steps) for batch in project.batches] == [4, 3]
    assert workshop.spaces[0].rack_area_m2 == pytest.approx(40 * 0.3048**2)
    (entry,) = loaded.entries
    assert entry.details == {"started": "2026-10-06T18:30:00+02:00", "note": "ragged on"}
    assert (entry.project, entry.at.hour) == ("boathouse-bench", 17)
    assert loaded.air["shed", AirSource.READING].temperature_c.tolist() == [9.0]
    assert loaded.air["shed", AirSource.FORECAST].humidity_percent.tolist() == [82.0, 88.0]


def test_saved_it_stands_alone_and_says_the_same():
    loaded = load(BY_HAND)
    text = dump_project(loaded.project, loaded.workshop, loaded.entries, loaded.air)
    alone = load_project(text, "saved.toml", Besides(None, None, None, None))
    assert (alone.project, alone.workshop, alone.entries) == (
        loaded.project, loaded.workshop, loaded.entries,
    )  # fmt: skip
    assert alone.uid_given
    assert alone.air.keys() == loaded.air.keys()


def test_a_saved_file_reads_like_one_written_by_hand():
    loaded = load(BY_HAND)
    text = dump_project(loaded.project, loaded.workshop, loaded.entries, loaded.air)
    lines = text.splitlines()
    assert "[[parts]]" in lines
    assert "[[batches.steps]]" in lines
    assert "length_mm = 444.5" in lines
    assert 'steps = """' in lines
    assert "2026-10-07T06:00:00Z, 8.0, 88.0" in lines
    assert not any("dust_settles_minutes" in line for line in lines), "defaults are left out"
    assert list(tomllib.loads(text)) == [
        "format", "project", "workshop", "parts", "batches", "journal", "air",
    ]  # fmt: skip


def test_a_file_may_name_a_workshop_kept_elsewhere():
    text = """
    project = { name = "shelf", workshop = "shed" }
    batches = [{ name = "all", parts = ["board"], space = "shed", schedule = "wet-area oil" }]
    [[parts]]
    name = "board"
    quantity = 1
    length = "0,5 m"
    width_mm = 200
    thickness_mm = 20
    wood = "beech"
    """
    loaded = load(text)
    assert (loaded.workshop, loaded.project.workshop) == (None, "shed")
    assert loaded.project.parts[0].length_mm == 500.0


def test_an_entry_without_a_value_survives():
    entry = Entry(
        UID, "boathouse-bench", EntryKind.WISH, dt.datetime(2026, 10, 5, tzinfo=dt.UTC),
        dt.datetime(2026, 10, 5, tzinfo=dt.UTC), details={"start": None, "in": [{"deep": None}]},
    )  # fmt: skip
    loaded = load(BY_HAND)
    text = dump_project(loaded.project, loaded.workshop, [entry])
    assert load(text).entries == (entry,)


def test_the_plan_last_seen_goes_along_and_its_steps_have_hours():
    told = load(BY_HAND)
    begin = dt.datetime(2026, 10, 10, 6, tzinfo=dt.UTC)
    hours = ((begin, begin + dt.timedelta(hours=1)),)
    step = KeptStep("boathouse-bench/slats/1/coat-1", "“Coat 1” (slats)", hours, "Somebody", False)
    seen = KeptPlan(begin - dt.timedelta(days=5), {told.project.name: begin}, (step,))
    text = dump_project(told.project, told.workshop, seen=seen)
    assert load(text).seen == seen
    empty = dump_project(
        told.project, told.workshop, seen=replace(seen, steps=(replace(step, pieces=()),))
    )
    with pytest.raises(BadInput, match="'boathouse-bench/slats/1/coat-1' has no hours"):
        load(empty)


def test_an_entry_of_another_project_is_not_saved_here():
    loaded = load(BY_HAND)
    entry = Entry(
        UID, "door", EntryKind.NOTE, dt.datetime(2026, 10, 5, tzinfo=dt.UTC),
        dt.datetime(2026, 10, 5, tzinfo=dt.UTC),
    )  # fmt: skip
    with pytest.raises(BadInput, match="belongs to 'door'"):
        dump_project(loaded.project, loaded.workshop, [entry])


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('length = "1', 'lenght = "1', 'parts 1 ("leg"): unknown field "lenght": did you mean'),
        ("quantity = 4", "quantity = 0", '@, parts 1 ("leg"), quantity: 0 pieces: give'),
        ("quantity = 4", 'quantity = "4"', '@, parts 1 ("leg"), quantity: expected a whole'),
        ('"1 1/16 in"', '"1 1/16 furlongs"', '@, parts 1 ("leg"), thickness: '),
        ("width_mm = 70", "width_mm = -70", '@, parts 1 ("leg"), width_mm: -70 mm: give'),
        ("width_mm = 70", "width = 70", '@, parts 1 ("leg"), width: write the size with'),
        ("width_mm = 70", 'width_mm = 70\nwidth = "7 cm"', '@, parts 1 ("leg"), width: gi'),
        ('["top", "bottom"]', '["tpo"]', '@, parts 1 ("leg"), faces 1: "tpo" is not known'),
        ('["leg"]', '["legs"]', "@, batches 1 (\"legs\"), parts: there is no part 'legs'"),
        ('["leg"]\nspace = "shed"', '["leg"]\nspace = "shde"', '@, batches 1 ("legs"), sp'),
        ("coats = 3", "steps = 3\n[[batches.steps]]", "bench.toml"),
        ('"Europe/Oslo"', '"Europe/Olso"', "@, workshop, zone: 'Europe/Olso' is no time"),
        ("BYDAY=SA", "BYDAY=XX", '@, workshop, people 1 ("Somebody"), windows 1, rule: '),
        ("mean_c = [-2,", "mean_c = [", "mean_c: 11 values: give twelve"),
        ("85, 82", "85, 140", "mean_rh_percent: 140 in month 2: give values from 1 to 100"),
        ("2026-10-05T07:00:00+02:00", "2026-10-05T07:00:00", "@, project, begins: the time"),
        ("2026-11-20", "2026-02-30", "this is not TOML"),
        ('"boathouse-bench"', '"the bench"', "'the bench' can't be used"),
        ("[workshop]", "[workshp]", "unknown field \"workshp\": did you mean 'workshop'?"),
        ('kind = "step done"', 'kind = "done"', "@, journal 1, kind: "),
        ("9.5, 82", "95, 82", "air 1, steps, row 1: 95 °C is no air temperature"),
        ("9.5, 82", "9.5", "air 1, steps, row 1: '2026-10-07T00:00:00Z, 9.5' is no air"),
        ("2026-10-07T06", "2026-10-06T06", "the instants must rise"),
        ('kind = "forecast"', 'kind = "reading"', "are given twice"),
        ("[project]", "format = 2\n[project]", "install a newer one"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_place(old, new, told):
    text = changed(old, new)
    line = text[: text.index(new)].count("\n") + new.count("\n") + 1
    sentence = refused(text)
    assert sentence.startswith("bench.toml")
    assert told.replace("@", f"line {line}") in sentence


def test_a_file_without_a_project_is_refused():
    assert "[project] is missing" in refused("")
    assert "expected a table" in refused("project = 3")
    assert "'name' is missing" in refused("[project]\nworkshop = 'shed'\n")


@pytest.mark.parametrize(
    "deep", ["a = " + "[" * 5000, "a." * 3000 + "b = 1", "a = 0x" + "f" * 9999]
)
def test_a_file_made_to_hurt_is_refused(deep):
    assert refused(deep).startswith("bench.toml: ")


def test_lines_are_found_by_place():
    lines = BY_HAND.splitlines()
    slats = lines.index('name = "slats"') + 1
    assert line_of(BY_HAND, 'batches 2 ("slats"), space') == slats + 2
    assert line_of(BY_HAND, "batches 2, schedule, coats") == lines.index("coats = 3") + 1
    assert line_of(BY_HAND, 'parts 1 ("leg"), colour') == lines.index("[[parts]]") + 1
    assert line_of(BY_HAND, "batches 9") is None
    assert line_of(BY_HAND, "nothing") is None


def test_a_file_may_say_at_which_moment_it_is_to_be_looked_at():
    dated = load("as_of = 2026-10-12T17:00:00+02:00\n" + BY_HAND)
    assert dated.as_of == dt.datetime(2026, 10, 12, 15, tzinfo=dt.UTC)
    assert load(BY_HAND).as_of is None


def test_a_moment_to_be_looked_at_needs_a_zone():
    with pytest.raises(BadInput, match="as_of"):
        load("as_of = 2026-10-12T17:00:00\n" + BY_HAND)


ODD = (
    '""', "0", "-1", "1e400", "nan", "true", "[]", "{}", "[[]]", '"\\u0000"', "2026-10-05",
    "18:00:00", "2026-10-05T07:00:00", '"x"', "9" * 22, '"FREQ=SECONDLY;INTERVAL=0"', "{a = 1}",
    '"' + "a" * 10_000 + '"', '"\\u202e"', "9999-12-31T23:59:59-23:00", "1e-320", "-0.0",
)  # fmt: skip


def slipped(chance):
    """The file by hand with a slip or two: odd values, lost or doubled lines, stray letters."""
    lines = BY_HAND.splitlines()
    for _ in range(chance.randrange(1, 3)):
        number, way = chance.randrange(len(lines)), chance.randrange(4)
        if way == 0 and "=" in lines[number]:
            lines[number] = lines[number].split("=")[0] + "= " + chance.choice(ODD)
        elif way == 1:
            del lines[number]
        elif way == 2:
            lines.insert(number, chance.choice(lines))
        elif lines[number]:
            place = chance.randrange(len(lines[number]))
            stray = chance.choice("\0\"'\t,[]{}=#\x85\u2028é🪵")
            lines[number] = lines[number][:place] + stray + lines[number][place + 1 :]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(8))
def test_a_file_with_slips_is_refused_in_one_sentence_or_loaded_for_good(seed):
    chance = random.Random(seed)
    forgiving = Besides(lambda _: (SLAT,), lambda *_: steps_of("wet-area oil", {}),
                        lambda *_: log_of("october.csv", "Europe/Oslo"), lambda: UID)  # fmt: skip
    loads = 0
    for _ in range(60):
        text = slipped(chance)
        try:
            loaded = load_project(text, "bench.toml", forgiving)
        except BadInput as fault:
            assert str(fault).startswith("bench.toml"), text
            assert "\n" not in str(fault), text
            continue
        loads += 1
        saved = dump_project(loaded.project, loaded.workshop, loaded.entries, loaded.air)
        again = load_project(saved, "saved.toml", forgiving)
        assert (again.project, again.workshop, again.entries) == (
            loaded.project, loaded.workshop, loaded.entries,
        )  # fmt: skip
    assert 0 < loads < 60
