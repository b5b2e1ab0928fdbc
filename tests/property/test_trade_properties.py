"""Whatever is typed is understood or refused in one sentence; areas add up."""

import dataclasses
import datetime as dt

import pytest
import tomlkit
from hypothesis import example, given
from hypothesis import strategies as st

from finplan.library.own import parse_own_finishes
from finplan.trade import quantities as q
from finplan.trade.checks import check_part
from finplan.trade.coverage import cans_to_buy, coat_litres, litres_at
from finplan.trade.cutlist import read_cut_list
from finplan.trade.errors import BadInput
from finplan.trade.grits import parse_grit
from finplan.trade.moments import parse_date, parse_moment, say_moment
from finplan.trade.names import clean_note, clean_text, legal_project_name
from finplan.trade.parts import ALL_FACES, Face, Hole, Part, SurfaceAreas
from finplan.trade.surfaces import areas, footprint_m2, total_areas
from finplan.trade.workshop import WorkWindow
from finplan.trade.workshop_checks import check_window

"""The first reading of a unit loads the units library; machines under load are slow too."""
NOW = dt.datetime(2026, 11, 6, 17, 30, tzinfo=dt.UTC)
ZONES = ("Europe/Berlin", "America/Chicago", "Australia/Lord_Howe", "America/Santiago", "UTC")
SNIPPETS = st.sampled_from(
    ["1", "2", "/", " ", "-", "+", ".", ",", "'", '"', "in", "ft", "mm", "m", "m²", "L", "gal",
     "°", "C", "F", "%", "½", "h", "d", "min", "today", "fri", "now", ":", "00", "18", "T", "Z",
     "2026", "30", "02", "feb", "pm", "\x00", "\x1b", "\u202e", "é", "1e9", "nan", "inf", "**",
     "_", "(", ")", "kg", "per", "sq", "9" * 30, "\n", ";", "\t"]
)  # fmt: skip
TEXTS = st.one_of(st.text(max_size=40), st.lists(SNIPPETS, max_size=12).map("".join))
PARSERS = {
    "length": q.parse_length,
    "length with default": lambda text: q.parse_length(text, default_unit="mm"),
    "area": q.parse_area,
    "volume": q.parse_volume,
    "spread": q.parse_spread,
    "duration": q.parse_duration,
    "temperature": q.parse_temperature,
    "humidity": q.parse_humidity,
    "moment": lambda text: parse_moment(text, NOW, "Europe/Berlin"),
    "date": lambda text: parse_date(text, NOW, "America/Santiago"),
    "name": lambda text: clean_text(text, "name"),
    "note": lambda text: clean_note(text, "note"),
    "project name": legal_project_name,
    "grit": lambda text: parse_grit(text, {}),
    "cut list": lambda text: read_cut_list(text, "cuts.csv"),
    "cut list row": lambda text: read_cut_list(
        f"name,qty,length,width,thickness\n{text}", "cuts.csv"
    ),
    "own finishes": lambda text: parse_own_finishes(text, "own.toml"),
    "window": lambda text: check_window(WorkWindow(text, dt.time(9), 60)),
}


@pytest.mark.parametrize("name", PARSERS)
@given(text=TEXTS)
@example(text="1 1/16 in")
@example(text="\ud800")
@example(text="٣ mm")
@example(text="²/² m")
def test_every_text_is_understood_or_refused_in_one_sentence(name, text):
    try:
        PARSERS[name](text)
    except BadInput as fault:
        said = str(fault)
        assert said
        assert said.isprintable(), said
        assert len(said) < 600


FIELDS = st.sampled_from(
    ["like", "title", "coats", "coldest_c", "spread", "cans_l", "price_per_l", "outdoors", "label",
     "methods", "notes", "cautions", "window_closes_hours", "wipe_off_minutes", "nonsense"]
)  # fmt: skip
VALUES = st.recursive(
    st.booleans()
    | st.integers(-(10**12), 10**12)
    | st.floats()
    | st.sampled_from(["spar varnish", "10 m²/L", "3 h", "", "20 °C", "x\u202e", "[b]"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                [
                    "low",
                    "high",
                    "value",
                    "values",
                    "source",
                    "recoat",
                    "touch",
                    "cure",
                    "temperature",
                    "humidity",
                    "window",
                    "x",
                ]
            ),
            inner,
            max_size=3,
        )
    ),
    max_leaves=6,
)


@given(fields=st.dictionaries(FIELDS, VALUES, max_size=4))
def test_any_fields_of_an_own_finish(fields):
    finish = {"like": "spar varnish", **fields}
    try:
        (made,) = parse_own_finishes(tomlkit.dumps({"finish": {"mine": finish}}), "own.toml")
    except BadInput as fault:
        assert str(fault).startswith("own.toml")
        assert str(fault).isprintable()
    else:
        assert made.own
        assert coat_litres(made, SurfaceAreas(1.0), 1).safe > 0


@given(data=st.binary(max_size=200))
def test_bytes_as_a_cut_list(data):
    try:
        read_cut_list(data, "cuts.csv")
    except BadInput as fault:
        assert str(fault).isprintable()


@given(mm=st.floats(0.1, 90_000))
def test_lengths_round_trip(mm):
    assert q.parse_length(q.format_length(mm, q.Units.METRIC)) == pytest.approx(mm, abs=0.051)
    written = q.format_length(mm, q.Units.IMPERIAL)
    if written != "0 in":
        assert q.parse_length(written) == pytest.approx(mm, abs=25.4 / 64 + 1e-6)


@given(units=st.sampled_from(list(q.Units)), value=st.floats(0.5, 900))
def test_other_quantities_round_trip(units, value):
    assert q.parse_area(q.format_area(value, units)) == pytest.approx(value, abs=0.006)
    assert q.parse_volume(q.format_volume(value, units)) == pytest.approx(value, abs=0.02)
    assert q.parse_spread(q.format_spread(value, units)) == pytest.approx(value, abs=0.013)


@given(units=st.sampled_from(list(q.Units)), celsius=st.floats(-59, 79))
def test_temperatures_round_trip(units, celsius):
    written = q.format_temperature(celsius, units)
    assert q.parse_temperature(written) == pytest.approx(celsius, abs=0.051)


@given(
    instant=st.datetimes(dt.datetime(1990, 1, 1), dt.datetime(2100, 1, 1)),  # noqa: DTZ001
    zone=st.sampled_from(ZONES),
)
def test_moments_round_trip(instant, zone):
    aware = instant.replace(second=0, microsecond=0, tzinfo=dt.UTC)
    assert parse_moment(aware.isoformat(), NOW, zone) == aware
    again = parse_moment(say_moment(aware, zone), NOW, zone)
    # Of a wall-clock time that comes twice the first is taken.
    assert again == aware or dt.timedelta(0) < aware - again <= dt.timedelta(hours=1)


sizes = st.floats(25, 3000)
holes = st.builds(
    Hole,
    diameter_mm=st.floats(1, 8),
    count=st.integers(1, 5),
    countersink_diameter_mm=st.sampled_from([0.0, 10.0, 12.0]),
    countersink_angle_deg=st.sampled_from([82.0, 90.0, 100.0]),
    depth_mm=st.sampled_from([None, 10.0, 15.0]),
)
parts = st.builds(
    Part,
    name=st.just("piece"),
    quantity=st.integers(1, 50),
    length_mm=st.floats(200, 3000),
    width_mm=st.floats(40, 600),
    thickness_mm=st.floats(16, 40),
    wood=st.just("oak"),
    holes=st.lists(holes, max_size=2).map(tuple),
    faces=st.sets(st.sampled_from(list(Face)), min_size=1).map(frozenset),
)


@given(part=parts)
def test_areas_are_positive_and_grow_with_quantity(part):
    check_part(part)
    found = areas(part)
    kinds = (found.side_grain_m2, found.edges_m2, found.end_grain_m2, found.holes_m2)
    assert min(kinds) >= 0
    one = areas(dataclasses.replace(part, quantity=1))
    assert found.total_m2 == pytest.approx(part.quantity * one.total_m2)
    assert footprint_m2(part, 1.0) > 0


@given(part=parts)
def test_areas_of_single_faces_add_up_to_the_whole(part):
    solid = dataclasses.replace(part, holes=())
    single = [dataclasses.replace(solid, faces=frozenset({face})) for face in solid.faces]
    assert total_areas(single).total_m2 == pytest.approx(areas(solid).total_m2)


@given(part=parts)
def test_holes_only_open_top_and_bottom(part):
    whole = dataclasses.replace(part, faces=ALL_FACES)
    solid = dataclasses.replace(whole, holes=())
    assert areas(whole).edges_m2 == areas(solid).edges_m2
    assert areas(whole).side_grain_m2 <= areas(solid).side_grain_m2


@given(part=parts, spread=st.floats(1, 40), factor=st.floats(1, 4))
def test_thirsty_ends_never_need_less(part, spread, factor):
    found = areas(part)
    assert litres_at(found, spread, factor) >= found.total_m2 / spread - 1e-12


@given(
    litres=st.floats(0, 60),
    cans=st.sets(st.sampled_from([0.25, 0.375, 0.5, 0.946, 1.0, 2.5, 3.785, 5.0]), min_size=1),
)
def test_cans_cover_the_need_and_none_is_left_over(litres, cans):
    bought = cans_to_buy(litres, sorted(cans))
    held = sum(size * count for size, count in bought.items())
    assert held >= litres - 1e-9
    if bought:
        assert held - min(bought) < litres + 1e-9
