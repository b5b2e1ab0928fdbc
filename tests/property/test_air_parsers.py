"""Whatever text comes in, the parsers of air logs and labels answer or refuse in one sentence."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finplan.air.logger import read_air_log
from finplan.air.psychrometrics import dew_point_c
from finplan.air.series import Reading, compose, series_of
from finplan.drying.labels import parse_conditions, parse_time
from finplan.trade.errors import BadInput
from finplan.trade.workshop import MonthlyNormals

START = dt.datetime(2026, 10, 20, tzinfo=dt.UTC)
NORMALS = MonthlyNormals((8.0,) * 12, (6.0,) * 12, (70.0,) * 12, "invented for tests")

SNIPPETS = st.sampled_from(
    ["time", "temperature (°C)", "humidity", "rh", "date", "°F", "2026-10-25 02:30", "12,5", "12.5",
     "70", "140", "nan", "inf", "1e999", "-", ",", ";", "\t", "\n", "\r\n", '"', "#", "\x00", "−5",
     "03/04/2026 5 PM", "2026-03-29 02:30", "%", "(UTC+25)", "(utc-99:99)", "9" * 400]
)  # fmt: skip
MANGLED = st.lists(SNIPPETS | st.text(max_size=5), max_size=40).map("".join)


def one_sentence(error: BadInput) -> bool:
    text = str(error)
    return bool(text.strip()) and "\n" not in text and "\r" not in text and len(text) < 600


def survives(call) -> None:
    try:
        call()
    except BadInput as error:
        assert one_sentence(error), str(error)


@given(MANGLED | st.text() | st.binary())
def test_any_log_is_read_or_refused(content):
    survives(lambda: read_air_log(content, "any.csv", "Europe/Oslo"))


@given(MANGLED)
def test_any_rows_under_a_good_header_are_read_or_refused(rows):
    survives(lambda: read_air_log("time;temp (°C);rh\n" + rows, "any.csv", "Europe/Oslo"))


@given(st.lists(SNIPPETS, min_size=3, max_size=6))
def test_any_header_is_read_or_refused(cells):
    header = ";".join(["time", "temp", "rh", *cells])
    survives(lambda: read_air_log(header + "\n2026-10-20 10:00;1;50", "any.csv", "Europe/Oslo"))
    mixed = ";".join(["time" + cells[0], "temp" + cells[1], "rh" + cells[2]])
    survives(lambda: read_air_log(mixed + "\n2026-10-20 10:00;1;50", "any.csv", "Europe/Oslo"))


@given(MANGLED | st.text())
def test_any_label_is_read_or_refused(text):
    survives(lambda: parse_time(text, "label"))
    survives(lambda: parse_conditions(text, "label"))


readings = st.lists(
    st.builds(
        lambda minutes, t, rh: (minutes, round(t, 1), round(rh)),
        st.integers(0, 14 * 24 * 60),
        st.floats(-30, 40),
        st.floats(0, 100),
    ),
    min_size=1,
    max_size=30,
    unique_by=lambda row: row[0],
)


@given(readings, st.sampled_from([",", ";", "\t"]), st.booleans(), st.booleans())
def test_a_log_that_was_written_is_read_back(rows, separator, comma, fahrenheit):
    """Both clock changes or none: times go out in local time with their offset."""

    def written(number: float) -> str:
        value = number * 1.8 + 32 if fahrenheit else number
        text = f"{value:.3f}"
        return f'"{text.replace(".", ",")}"' if comma else text

    lines = [separator.join(["timestamp", f"temp ({'°F' if fahrenheit else '°C'})", "RH %"])]
    for minutes, t, rh in rows:
        at = (START + dt.timedelta(minutes=minutes)).isoformat()
        lines.append(separator.join([at, written(t), str(rh)]))
    try:
        log = read_air_log("\n".join(lines), "log.csv")
    except BadInput as error:
        assert "share of 1" in str(error) and max(rh for *_, rh in rows) <= 1
        return
    found = [
        (r.at, pytest.approx(r.temperature_c, abs=1e-3), r.humidity_percent) for r in log.readings
    ]
    assert found == [
        (START + dt.timedelta(minutes=minutes), t, rh) for minutes, t, rh in sorted(rows)
    ]


@given(readings, readings, st.floats(-5, 300), st.floats(1, 400))
def test_composed_air_has_every_reading_and_no_hole(measured, forecast, begin_h, length_h):
    def made(rows):
        return [Reading(START + dt.timedelta(minutes=m), t, float(rh)) for m, t, rh in rows]

    def known(rows):
        return series_of(made(rows)) if rows else None

    start = START.timestamp() + begin_h * 3600
    end = start + length_h * 3600
    air = compose(known(measured), known(forecast), NORMALS, "Europe/Oslo", start, end)
    assert air.at_s[0] <= start and air.at_s[-1] < end
    assert np.all(np.diff(air.at_s) > 0) and np.diff(air.at_s, append=end).max() <= 3600.0
    for reading in made(measured):
        if air.at_s[0] <= reading.at.timestamp() < end:
            index = int(air.at_s.searchsorted(reading.at.timestamp()))
            assert air.at_s[index] == reading.at.timestamp()
            assert air.temperature_c[index] == reading.temperature_c
            assert air.source[index] == 0


@given(st.floats(-60, 80), st.floats(0, 100))
def test_the_dew_point_exists_for_any_air(t, rh):
    assert -150 < dew_point_c(t, rh) <= t + 1e-6
