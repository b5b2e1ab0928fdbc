"""Whatever a project, its workshop, journal and air hold, the project file gives it back."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.air.series import AirSeries, AirSource
from finplan.files.project_file import Besides, dump_project, load_project
from finplan.journal.entries import Entry, EntryKind
from finplan.tracking.upkeep.pieces import (
    Blocked,
    Finding,
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
)
from finplan.trade.finishes import Stage
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Side, Step, StepKind
from finplan.trade.upkeep import Exposure
from finplan.trade.workshop import (
    MonthlyNormals,
    Person,
    Space,
    Stretch,
    Workshop,
    WorkWindow,
)


def nothing_besides(*_told):
    raise AssertionError("a saved file needs nothing beside it")


ALONE = Besides(nothing_besides, nothing_besides, nothing_besides, nothing_besides)

texts = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=12)
notes = st.text(
    st.characters(codec="utf-8", exclude_categories=("C",)) | st.just("\n"), max_size=30
)
names = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_-]{0,20}", fullmatch=True)
plain_names = texts.filter(lambda text: "/" not in text)
sizes = st.floats(2.0, 99_000.0)
minutes = st.floats(0.0, 5_000.0)
instants = st.integers(6 * 10**14, 4 * 10**15).map(
    lambda microseconds: dt.datetime.fromtimestamp(0, dt.UTC) + dt.timedelta(0, 0, microseconds)
)
days = st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1))
uids = st.uuids(version=4)
rules = st.sampled_from(["FREQ=WEEKLY;BYDAY=SA", "FREQ=DAILY", "FREQ=MONTHLY;BYMONTHDAY=-1"])


def twelve(low, high):
    return st.lists(st.floats(low, high), min_size=12, max_size=12).map(tuple)


def tuples_of(made, by, least=0, most=3):
    return st.lists(made, min_size=least, max_size=most, unique_by=by).map(tuple)


holes = st.builds(
    Hole, st.floats(0.1, 0.3), st.integers(1, 2), st.just(0.0) | st.floats(0.4, 0.5),
    st.floats(60.0, 150.0), st.none() | st.floats(0.5, 1.0),
)  # fmt: skip
parts = st.builds(
    Part, texts, st.integers(1, 500), sizes, sizes, sizes, texts, tuples_of(holes, None),
    st.frozensets(st.sampled_from(Face), min_size=1),
)  # fmt: skip
steps = st.builds(
    Step, texts, st.sampled_from(StepKind), texts, st.integers(0, 9), st.sampled_from(Side),
    st.none() | texts, st.lists(texts, max_size=2).map(tuple), st.text("abc", max_size=3), minutes,
    minutes, st.none() | st.sampled_from(Stage), minutes, st.booleans(),
    st.lists(texts, max_size=2).map(tuple), notes,
)  # fmt: skip
normals = st.builds(
    MonthlyNormals, twelve(-40.0, 40.0), twelve(0.0, 20.0), twelve(1.0, 100.0), notes
)
spaces = st.builds(Space, plain_names, st.floats(50_000.0, 99_000.0), normals, st.booleans())
windows = st.builds(WorkWindow, rules, st.times(), st.integers(1, 1440))
stretches = st.builds(
    lambda start, hours, note: Stretch(start, start + dt.timedelta(hours=hours), note),
    instants, st.integers(1, 500), notes,
)  # fmt: skip
people = st.builds(
    Person, texts, st.lists(windows, max_size=2).map(tuple), st.lists(days, max_size=2).map(tuple),
    st.lists(stretches, max_size=2).map(tuple),
    st.none() | st.frozensets(st.sampled_from(StepKind)),
)  # fmt: skip
workshops = st.builds(
    Workshop, texts, st.sampled_from(["Europe/Oslo", "America/St_Johns", "UTC"]),
    tuples_of(people, lambda person: person.name.casefold()),
    tuples_of(spaces, lambda space: space.name.casefold(), 1),
    st.floats(0.5, 0.99), st.integers(0, 600), st.integers(0, 600),
    st.dictionaries(texts, notes, max_size=2),
)  # fmt: skip
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | notes
    | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@st.composite
def projects(draw, workshop):
    made_of = draw(tuples_of(parts, lambda part: part.name.casefold(), 1))
    batches = tuple(
        Batch(
            draw(plain_names) + str(number),
            (part.name,),
            draw(st.sampled_from([space.name for space in workshop.spaces])),
            draw(tuples_of(steps, lambda step: step.key.casefold(), 1)),
            draw(st.floats(0.1, 5.0)),
        )
        for number, part in enumerate(made_of)
    )
    return Project(
        draw(names), draw(texts), workshop.name, made_of, batches, draw(uids),
        draw(st.none() | days), draw(st.none() | instants), draw(st.booleans()),
        draw(st.booleans()), draw(notes), draw(st.none() | uids),
        draw(st.lists(stretches, max_size=2).map(tuple)),
    )  # fmt: skip


@st.composite
def entries_of(draw, project):
    entry = st.builds(
        Entry, uids, st.just(project.name), st.sampled_from(EntryKind), instants, instants, notes,
        notes, st.integers(0, 9), st.integers(0, 9), notes, st.none() | uids,
        st.dictionaries(texts, values, max_size=3),
    )  # fmt: skip
    return tuple(draw(st.lists(entry, max_size=3)))


@st.composite
def airs(draw, workshop):
    air = {}
    for space in workshop.spaces:
        for kind in draw(st.sets(st.sampled_from([AirSource.READING, AirSource.FORECAST]))):
            at_s = draw(st.lists(st.floats(1e6, 3e9), min_size=1, max_size=4, unique=True))
            count = len(at_s)
            column = st.lists(st.floats(0.0, 75.0), min_size=count, max_size=count)
            air[space.name, kind] = AirSeries(
                np.array(sorted(at_s)),
                np.array(draw(column)),
                np.array(draw(column)),
                np.full(count, list(AirSource).index(kind), np.uint8),
            )
    return air


blocked = st.builds(
    lambda first, length, why: Blocked(first, first + dt.timedelta(days=length), why),
    days, st.integers(0, 60), notes,
)  # fmt: skip
log_entries = st.builds(
    UpkeepEntry, uids, st.just(""), st.sampled_from(UpkeepKind), instants, instants, notes,
    st.lists(st.sampled_from(Finding), max_size=3, unique=True).map(tuple),
    st.none() | st.floats(0.0, 1e6), st.none() | st.floats(0.0, 1e6),
    st.lists(notes, max_size=2).map(tuple), notes, st.none() | uids, st.none() | uids,
)  # fmt: skip


@st.composite
def pieces(draw):
    """A piece in use with its log."""
    indoors = draw(st.sampled_from([Exposure.INDOORS, Exposure.COVERED]))
    exposures = draw(st.sets(st.sampled_from([Exposure.FLAT, Exposure.WET_OR_TRODDEN, indoors])))
    piece = InstalledPiece(
        draw(names), draw(texts), draw(texts), draw(st.sampled_from(["Europe/Oslo", "UTC"])),
        draw(texts), draw(st.floats(0.01, 10_000.0)), draw(days), draw(uids), frozenset(exposures),
        draw(st.integers(1, 50)), draw(notes), draw(st.floats(0.0, 8760.0)),
        draw(st.lists(st.integers(1, 12), max_size=4).map(tuple)), draw(st.just("") | rules),
        draw(st.lists(blocked, max_size=2).map(tuple)), draw(st.just("") | rules),
        draw(st.just("") | rules), draw(st.just("") | rules), draw(st.booleans()),
        draw(st.just("") | texts), draw(st.floats(1.0, 500.0)), draw(names), draw(plain_names),
    )  # fmt: skip
    log = draw(st.lists(log_entries, max_size=3))
    return piece, tuple(replace(entry, piece=piece.name) for entry in log)


@settings(max_examples=60)
@given(st.lists(pieces(), max_size=2).map(tuple), st.data())
def test_pieces_in_use_and_their_logs_come_back(kept, data):
    project = data.draw(projects(data.draw(workshops)))
    text = dump_project(project, None, pieces=kept)
    loaded = load_project(text, "project.toml", ALONE)
    assert loaded.pieces == kept
    assert dump_project(loaded.project, None, pieces=loaded.pieces) == text


@settings(max_examples=60)
@given(st.data())
def test_saved_and_loaded_is_the_same(data):
    workshop = data.draw(workshops)
    project = data.draw(projects(workshop))
    entries = data.draw(entries_of(project))
    air = data.draw(airs(workshop))
    text = dump_project(project, workshop, entries, air)
    loaded = load_project(text, "project.toml", ALONE)
    assert loaded.project == project
    assert loaded.workshop == workshop
    assert loaded.entries == entries
    assert loaded.uid_given
    assert loaded.air.keys() == air.keys()
    for key, series in air.items():
        for field in ("at_s", "temperature_c", "humidity_percent", "source"):
            assert np.array_equal(getattr(loaded.air[key], field), getattr(series, field))
    assert dump_project(loaded.project, loaded.workshop, loaded.entries, loaded.air) == text


@settings(max_examples=150)
@given(
    st.binary(max_size=80) | st.text(max_size=80).map(lambda text: text.encode("utf-8", "replace"))
)
def test_any_text_is_loaded_or_refused_in_one_sentence(content):
    from finplan.trade.errors import BadInput

    try:
        load_project(content.decode("utf-8", "replace"), "mail.toml", ALONE)
    except BadInput as refused:
        assert str(refused).startswith("mail.toml")
        assert "\n" not in str(refused)
