"""Quantities as people write them."""

import pytest

from finplan.trade import quantities as q
from finplan.trade.errors import BadInput

METRIC, IMPERIAL = q.Units.METRIC, q.Units.IMPERIAL


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1 1/16 in", 26.9875),
        ("1-1/16 in", 26.9875),
        ("2'6\"", 762),
        ("2' 6 1/2\"", 774.7),
        ("2 ft 6 in", 762),
        ("2′ 6″", 762),
        ("27 mm", 27),
        ("27mm", 27),
        ("27 MM", 27),
        ("0,5 m", 500),
        (".5 m", 500),
        ('3/4"', 19.05),
        ("1½ in", 38.1),
        ("½ in", 12.7),
        ("2 ft", 609.6),
        ("3 in.", 76.2),
        ("1 m 20 cm", 1200),
        ("3 inches", 76.2),
        ("+27 mm", 27),
    ],
)
def test_lengths(text, mm):
    assert q.parse_length(text) == pytest.approx(mm, abs=1e-9)


def test_a_bare_number_takes_the_default_unit_or_is_refused():
    assert q.parse_length("12", default_unit="mm") == 12
    assert q.parse_length("1 1/2", default_unit="in") == pytest.approx(38.1)
    assert q.parse_length("12 cm", default_unit="mm") == 120
    with pytest.raises(BadInput, match="has no unit"):
        q.parse_length("12")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("-3 mm", "not above zero"),
        ("0 mm", "not above zero"),
        ("nan mm", "not a number"),
        ("inf mm", "not a number"),
        ("1e400 mm", "no unit of length"),
        ("9" * 55 + " mm", "more than 100 m"),
        ("9" * 500 + " mm", "too long"),
        ("27 xyz", "no unit of length"),
        ("27 kg", "no unit of length"),
        ("5 m2", "no unit of length"),
        ("1,200 mm", "can be read as 1.2 or 1200"),
        ("1/0 in", "divides by zero"),
        ("6 in 2 ft", "larger unit first"),
        ("2' 6", "no unit"),
        ("mm", "is no length"),
        ("", "is empty"),
        ("1 2 3 mm", "is no length"),
        ("200 m", "more than 100 m"),
        ("1.200,5 mm", "is no length"),
    ],
)
def test_lengths_refused(text, said):
    with pytest.raises(BadInput, match=said) as caught:
        q.parse_length(text, "row 3")
    assert str(caught.value).startswith("row 3: ")
    assert "\n" not in str(caught.value)


def test_a_decimal_comma_after_zero_is_no_thousands_comma():
    assert q.parse_length("0,500 m") == 500


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("65F", 18.333),
        ("18 C", 18),
        ("18 °C", 18),
        ("-5,5 °C", -5.5),
        ("64.4 deg F", 18),
        ("291.15 K", 18),
    ],
)
def test_temperatures(text, celsius):
    assert q.parse_temperature(text) == pytest.approx(celsius, abs=1e-3)


@pytest.mark.parametrize("text", ["18", "300 °C", "18 Q", "warm", "", "nan C", "-300 K"])
def test_temperatures_refused(text):
    with pytest.raises(BadInput, match="temperature"):
        q.parse_temperature(text)


@pytest.mark.parametrize(("text", "percent"), [("50 %", 50), ("47,5% RH", 47.5), ("65", 65)])
def test_humidity(text, percent):
    assert q.parse_humidity(text) == percent


@pytest.mark.parametrize("text", ["140 %", "0 %", "-3 %", "damp", "50 °C", ""])
def test_humidity_refused(text):
    with pytest.raises(BadInput, match="humidity"):
        q.parse_humidity(text)


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (q.parse_spread, "400 ft²/gal", 9.8170),
        (q.parse_spread, "400 sq ft per gallon", 9.8170),
        (q.parse_spread, "10 m2/l", 10),
        (q.parse_spread, "10 m²/L", 10),
        (q.parse_area, "12 sq ft", 1.114836),
        (q.parse_area, "12 square feet", 1.114836),
        (q.parse_area, "2,5 m²", 2.5),
        (q.parse_volume, "750 ml", 0.75),
        (q.parse_volume, "1 qt", 0.946353),
        (q.parse_volume, "8 fl oz", 0.236588),
        (q.parse_volume, "1 imp gal", 4.54609),
        (q.parse_duration, "2 h", 2),
        (q.parse_duration, "90 min", 1.5),
        (q.parse_duration, "1d 4h", 28),
        (q.parse_duration, "3 days", 72),
    ],
)
def test_other_quantities(parse, text, value):
    assert parse(text) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (q.parse_spread, "10 m"),
        (q.parse_spread, "400 ft²"),
        (q.parse_area, "3 m"),
        (q.parse_volume, "3 m²"),
        (q.parse_volume, "1 l 500 ml"),
        (q.parse_duration, "5 m"),
        (q.parse_duration, "20 years"),
        (q.parse_duration, "0 h"),
    ],
)
def test_other_quantities_refused(parse, text):
    with pytest.raises(BadInput):
        parse(text)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (q.format_length(27, METRIC), "27 mm"),
        (q.format_length(26.9875, IMPERIAL), "1 1/16 in"),
        (q.format_length(26.2, IMPERIAL), "1 1/32 in"),
        (q.format_length(26.1, IMPERIAL, 16), "1 in"),
        (q.format_length(19.05, IMPERIAL), "3/4 in"),
        (q.format_length(0, IMPERIAL), "0 in"),
        (q.format_temperature(18.04, METRIC), "18 °C"),
        (q.format_temperature(-0.01, METRIC), "0 °C"),
        (q.format_temperature(18, IMPERIAL), "64.4 °F"),
        (q.format_area(2.6502, METRIC), "2.65 m²"),
        (q.format_area(2.6502, IMPERIAL), "28.5 ft²"),
        (q.format_volume(0.5521, METRIC), "0.55 L"),
        (q.format_volume(0.05, METRIC), "50 ml"),
        (q.format_volume(0.5, IMPERIAL), "16.9 fl oz"),
        (q.format_volume(3.785411784, IMPERIAL), "1 gal"),
        (q.format_spread(9.817, METRIC), "9.82 m²/L"),
        (q.format_spread(9.817, IMPERIAL), "400 ft²/gal"),
    ],
)
def test_writing(written, expected):
    assert written == expected


def test_reading_plain_trade_modules_loads_no_units_library():
    import subprocess
    import sys

    code = (
        "import sys, finplan.trade.quantities, finplan.trade.moments, finplan.library.load as l;"
        "l.finishes(); l.templates(); assert not {'pint', 'numpy'} & set(sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("litres", "metric", "imperial"),
    [
        (2.5, "2.5 L", "2.5 L (0.66 gal)"),
        (0.075, "75 ml", "75 ml (2.5 fl oz)"),
        (q.L_PER_GALLON / 4, "0.946 L", "1 qt"),
        (q.L_PER_GALLON, "3.79 L", "1 gal"),
        (q.L_PER_GALLON / 8, "0.473 L", "0.5 qt"),
    ],
)
def test_cans_are_told_as_they_are_sold(litres, metric, imperial):
    assert q.format_can(litres, METRIC) == metric
    assert q.format_can(litres, IMPERIAL) == imperial
