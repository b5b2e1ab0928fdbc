"""Quantities as people write them: fractions, feet and inches, decimal commas, units.

Read: ``1 1/16 in``, ``2'6"``, ``27 mm``, ``0,5 m``, ``65F``, ``50 %``, ``400 ft²/gal``, ``1d 4h``.
Inside everything is SI (mm, m², L, °C, hours); writing follows the person's choice of units.
Volumes in gallons, quarts and fluid ounces are the US ones unless ``imp`` stands in front.
"""

from __future__ import annotations

import functools
import itertools
import math
import re
import unicodedata
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from finplan.trade.errors import BadInput
from finplan.trade.names import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

MM_PER_INCH = 25.4
"""Exact by definition (international yard and pound agreement, 1959)."""
M2_PER_FT2 = 0.09290304
L_PER_GALLON = 3.785411784
"""The US liquid gallon, exactly 231 cubic inches (NIST Handbook 44, appendix C)."""
FLUID_OUNCES_PER_GALLON = 128


class Units(StrEnum):
    """What a person wants to read."""

    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def degree_letter(self) -> str:
        """The unit that a bare temperature is read in."""
        return "F" if self is Units.IMPERIAL else "C"


_LONGEST_TEXT = 60
_NUMBER = re.compile(
    r"(?P<whole>\d+)[\s-]+(?P<mixed>\d+\s*/\s*\d+)|(?P<fraction>\d+\s*/\s*\d+)"
    r"|(?P<decimal>\d+(?:[.,]\d+)?|[.,]\d+)"
)
_UNIT = re.compile(r"\s*(?P<unit>(?:[A-Za-zµ°%'\"][A-Za-zµ°%'\"_]*(?:\s*\*\*\s*[23])?[\s/.]*)+)")
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}")
_LOOKALIKES = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "⁄": "/", "−": "-", "–": "-"}
    | {"²": "**2", "³": "**3", "μ": "µ", "º": "°", "\N{NO-BREAK SPACE}": " "}
)
_SPOKEN_UNITS = (
    (re.compile(r"''"), '"'),
    (re.compile(r"\b(?:square|sq)\b\.?\s*([A-Za-z]+)"), r"\1**2"),
    (re.compile(r"\bsq(ft|in|yd|m)\b"), r"\1**2"),
    (re.compile(r"(?<![A-Za-z])(mm|cm|dm|m|ft|in|yd)\^?([23])\b"), r"\1**\2"),
    (re.compile(r"\bimp(?:erial)?\.?\s*(?:gal|gallons?)\b"), "imperial_gallon"),
    (re.compile(r"\bfl\.?\s*oz\b\.?"), "fluid_ounce"),
    (re.compile(r"\s+per\s+"), "/"),
)
_DEGREES = re.compile(r"(-?\d+(?:\.\d+)?) °C")
_UNIT_SHAPE = re.compile(r"[a-zµ_]+(?:\s*\*\*\s*[23])?(?:\s*/\s*[a-zµ_]+)?", re.IGNORECASE)
"""What is handed to the unit registry: a name, a power, one division; no other arithmetic."""
_BARE_UNITS = {"'": "foot", '"': "inch"}


def parse_length(text: str, where: str = "", default_unit: str = "") -> float:
    """Read a length in millimetres; feet and inches may stand together (``2' 6 1/2"``).

    Args:
        text: what a person wrote.
        where: the place named in front of an error.
        default_unit: the unit of a bare number; without one a bare number is refused.

    Raises:
        BadInput: not a length, or not above zero, or longer than 100 m.
    """
    value = _sum_of_terms(text, "mm", "length", where, default_unit)
    return _in_range(value, 100_000.0, "100 m", text, "length", where)


def parse_area(text: str, where: str = "", default_unit: str = "") -> float:
    """Read an area in m² (``2.5 m²``, ``12 sq ft``); raises BadInput as ``parse_length`` does."""
    value = _single_term(text, "m**2", "area", where, default_unit)
    return _in_range(value, 100_000.0, "100000 m²", text, "area", where)


def parse_volume(text: str, where: str = "", default_unit: str = "") -> float:
    """Read a volume in litres (``750 ml``, ``1 qt``); raises BadInput as ``parse_length`` does."""
    value = _single_term(text, "liter", "volume", where, default_unit)
    return _in_range(value, 10_000.0, "10000 L", text, "volume", where)


def parse_spread(text: str, where: str = "", default_unit: str = "") -> float:
    """Read a spread rate in m² per litre (``400 ft²/gal``, ``10 m2/l``).

    Raises:
        BadInput: not an area per volume, or not above zero, or above 1000 m²/L.
    """
    value = _single_term(text, "m**2/liter", "spread rate", where, default_unit)
    return _in_range(value, 1000.0, "1000 m²/L", text, "spread rate", where)


def parse_duration(text: str, where: str = "", default_unit: str = "") -> float:
    """Read a duration in hours (``2 h``, ``90 min``, ``1d 4h``), at most ten years."""
    value = _sum_of_terms(text, "hour", "duration", where, default_unit)
    return _in_range(value, 87_660.0, "ten years", text, "duration", where)


def parse_temperature(text: str, where: str = "", default_unit: str = "") -> float:
    """Read a temperature in °C (``18 °C``, ``18 C``, ``65F``, ``291 K``).

    Raises:
        BadInput: no unit and no ``default_unit``, or outside -60 to 80 °C, where no finish dries.
    """
    plain = _plain(text, "temperature", where)
    found = re.fullmatch(
        r"(?P<number>[+-]?\s*(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*(?:°|deg(?:rees?)?\.?)?\s*"
        r"(?P<unit>[A-Za-z]*)",
        plain,
    )
    if found is None:
        raise BadInput(f"{shown(text)} is no temperature: write e.g. 18 °C or 65 °F", where)
    value = float(found["number"].replace(",", ".").replace(" ", ""))
    unit = (found["unit"] or default_unit).lower().lstrip("°")
    if unit in {"c", "celsius"}:
        celsius = value
    elif unit in {"f", "fahrenheit"}:
        celsius = fahrenheit_to_c(value)
    elif unit in {"k", "kelvin"}:
        celsius = kelvin_to_c(value)
    elif not unit:
        raise BadInput(f"temperature {shown(text)} has no unit: add °C or °F", where)
    else:
        raise BadInput(f"temperature {shown(text)} has an unknown unit: use °C or °F", where)
    if not -60 <= celsius <= 80:
        raise BadInput(
            f"temperature {shown(text)} is outside -60 to 80 °C: check number and unit", where
        )
    return celsius


def parse_humidity(text: str, where: str = "") -> float:
    """Read a relative humidity in percent (``50 %``, ``50``, ``47,5 % RH``), 1 to 100."""
    plain = _plain(text, "humidity", where)
    found = re.fullmatch(r"([+-]?\d+(?:[.,]\d+)?)\s*%?\s*(?:rh|r\.h\.)?", plain, re.IGNORECASE)
    if found is None:
        raise BadInput(f"{shown(text)} is no relative humidity: write e.g. 50 %", where)
    value = float(found[1].replace(",", "."))
    if not 1 <= value <= 100:
        raise BadInput(f"humidity {shown(text)} is outside 1 to 100 %: check the number", where)
    return value


def fahrenheit_to_c(value: float) -> float:
    """°F to °C."""
    return (value - 32.0) / 1.8


def kelvin_to_c(value: float) -> float:
    """K to °C."""
    return value - 273.15


def format_length(value_mm: float, units: Units, denominator: int = 32) -> str:
    """Write a length: ``27 mm``, or inches in fractions of 1/``denominator`` (``1 1/16 in``)."""
    if units is Units.METRIC:
        return f"{_trimmed(value_mm, 1)} mm"
    nearest = Fraction(round(value_mm / MM_PER_INCH * denominator), denominator)
    whole, rest = divmod(nearest, 1)
    parts = [str(whole)] if whole or not rest else []
    return " ".join([*parts, *([str(rest)] if rest else []), "in"])


def format_temperature(value_c: float, units: Units) -> str:
    """Write a temperature to the tenth: ``18 °C`` or ``64.4 °F``."""
    if units is Units.METRIC:
        return f"{_trimmed(value_c, 1)} °C"
    return f"{_trimmed(value_c * 9 / 5 + 32, 1)} °F"


def format_degrees_apart(kelvin: float, units: Units) -> str:
    """Write a difference of temperatures to the tenth: ``3 °C`` or ``5.4 °F``."""
    return (
        f"{_trimmed(kelvin, 1)} °C" if units is Units.METRIC else f"{_trimmed(kelvin * 1.8, 1)} °F"
    )


def degrees_in(prose: str, units: Units) -> str:
    """Return prose of the library, which is written in °C, with its degrees as asked for."""
    if units is Units.METRIC:
        return prose
    return _DEGREES.sub(lambda found: format_temperature(float(found[1]), units), prose)


def format_area(value_m2: float, units: Units) -> str:
    """Write an area: ``2.65 m²`` or ``28.5 ft²``."""
    if units is Units.METRIC:
        return f"{_trimmed(value_m2, 2)} m²"
    return f"{_trimmed(value_m2 / M2_PER_FT2, 1)} ft²"


def format_volume(value_l: float, units: Units) -> str:
    """Write a volume: ``0.61 L``, or gallons, below a quarter of one fluid ounces."""
    if units is Units.METRIC:
        small = value_l < 0.1
        return f"{_trimmed(value_l * 1000, 1)} ml" if small else f"{_trimmed(value_l, 2)} L"
    gallons = value_l / L_PER_GALLON
    if gallons < 0.25:
        return f"{_trimmed(gallons * FLUID_OUNCES_PER_GALLON, 1)} fl oz"
    return f"{_trimmed(gallons, 2)} gal"


def format_can(value_l: float, units: Units) -> str:
    """Write the size of a can as it stands on it: ``2.5 L``, ``1 qt``, ``2.5 L (0.66 gal)``."""
    litres = f"{value_l:.3g} L" if value_l >= 0.1 else f"{value_l * 1000:.3g} ml"
    if units is Units.METRIC:
        return litres
    quarts = value_l / L_PER_GALLON * 4
    if abs(quarts * 2 - round(quarts * 2)) > 1e-3:
        return f"{litres} ({format_volume(value_l, units)})"
    return f"{quarts / 4:g} gal" if quarts >= 4 else f"{quarts:.3g} qt"


def format_spread(value_m2_per_l: float, units: Units) -> str:
    """Write a spread rate: ``9.82 m²/L`` or ``400 ft²/gal``."""
    if units is Units.METRIC:
        return f"{_trimmed(value_m2_per_l, 2)} m²/L"
    return f"{_trimmed(value_m2_per_l / M2_PER_FT2 * L_PER_GALLON, 0)} ft²/gal"


def _trimmed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _plain(text: str, what: str, where: str) -> str:
    """Bring look-alike characters to plain ones and refuse what can't be a quantity at all."""
    if len(text) > _LONGEST_TEXT:
        raise BadInput(f"{what} {shown(text)} is too long to be a quantity", where)
    plain = "".join(
        # A vulgar fraction beside a digit is a mixed number: 1½ is 1 1/2.
        f" {unicodedata.normalize('NFKC', letter)}"
        if unicodedata.decomposition(letter).startswith("<fraction>")
        else letter
        for letter in text
    )
    plain = plain.translate(_LOOKALIKES).strip()
    if not plain:
        raise BadInput(f"{what} is empty: write a number with its unit", where)
    if re.match(r"[+-]?\s*(nan|inf(inity)?)\b", plain, re.IGNORECASE):
        raise BadInput(f"{what} {shown(text)} is not a number: write digits and a unit", where)
    return plain


def _in_range(value: float, most: float, most_said: str, text: str, what: str, where: str) -> float:
    if not math.isfinite(value) or value <= 0:
        raise BadInput(f"{what} {shown(text)} is not above zero: give a positive value", where)
    if value > most:
        raise BadInput(
            f"{what} {shown(text)} is more than {most_said}: check number and unit", where
        )
    return round(value, 9)  # 1/16 in is 1.5875 mm, not 1.5874999999999998


def _value_of(number: re.Match[str], text: str, what: str, where: str) -> float:
    """Return the value of a matched number, refusing thousands commas and division by zero."""
    decimal = number["decimal"]
    if decimal is not None:
        if _THOUSANDS.fullmatch(decimal):
            meant, grouped = (
                decimal.replace(",", ".").rstrip("0").rstrip("."),
                decimal.replace(",", ""),
            )
            raise BadInput(
                f"{what} {shown(text)} can be read as {meant} or {grouped}: write one of these",
                where,
            )
        return float(decimal.replace(",", "."))
    numerator, denominator = (number["mixed"] or number["fraction"]).split("/")
    if int(denominator) == 0:
        raise BadInput(f"{what} {shown(text)} divides by zero: correct the fraction", where)
    return int(number["whole"] or 0) + int(numerator) / int(denominator)


def _terms(text: str, what: str, where: str) -> list[tuple[float, str]]:
    """Split ``2' 6 1/2"`` into [(2.0, "'"), (6.5, '"')]; a missing unit is an empty text."""
    rest = _plain(text, what, where)
    if rest.startswith("-"):
        raise BadInput(f"{what} {shown(text)} is not above zero: give a positive value", where)
    rest = rest.removeprefix("+").strip()
    for spoken, written in _SPOKEN_UNITS:
        rest = spoken.sub(written, rest)
    terms: list[tuple[float, str]] = []
    while rest or not terms:
        number = _NUMBER.match(rest)
        if number is None:
            raise BadInput(
                f"{shown(text)} is no {what}: write a number and its unit, e.g. {_EXAMPLES[what]}",
                where,
            )
        unit = _UNIT.match(rest, number.end())
        terms.append((_value_of(number, text, what, where), unit["unit"].strip() if unit else ""))
        end = unit.end() if unit else number.end()
        rest = rest[end:].lstrip(" -,") if unit else rest[end:].strip()
        if rest and not unit:
            raise BadInput(
                f"{shown(text)} is no {what}: write a number and its unit, e.g. {_EXAMPLES[what]}",
                where,
            )
    return terms


_EXAMPLES = {
    "length": "27 mm or 1 1/16 in",
    "area": "2.5 m² or 27 ft²",
    "volume": "0.75 L or 1 qt",
    "spread rate": "10 m²/L or 400 ft²/gal",
    "duration": "2 h or 90 min",
}


def _sum_of_terms(text: str, into: str, what: str, where: str, default_unit: str) -> float:
    terms = _terms(text, what, where)
    factors = [_factor(unit or default_unit, into, text, what, where) for _, unit in terms]
    _require_falling(factors, text, what, where)
    return sum(value * factor for (value, _), factor in zip(terms, factors, strict=True))


def _require_falling(factors: Sequence[float], text: str, what: str, where: str) -> None:
    """Refuse ``6 in 2 ft``: units that do not fall are two quantities, or a slip."""
    if any(later >= earlier for earlier, later in itertools.pairwise(factors)):
        raise BadInput(
            f"{what} {shown(text)} mixes units out of order: write the larger unit first", where
        )


def _single_term(text: str, into: str, what: str, where: str, default_unit: str) -> float:
    terms = _terms(text, what, where)
    if len(terms) > 1:
        raise BadInput(f"{shown(text)} is more than one {what}: write a single value", where)
    value, unit = terms[0]
    return value * _factor(unit or default_unit, into, text, what, where)


def _factor(unit: str, into: str, text: str, what: str, where: str) -> float:
    """Return how many ``into`` one ``unit`` is."""
    if not unit:
        raise BadInput(f"{what} {shown(text)} has no unit: write e.g. {_EXAMPLES[what]}", where)
    factor = _conversion(unit, into)
    if factor is None:
        raise BadInput(
            f"{what} {shown(text)} has no unit of {what}: write e.g. {_EXAMPLES[what]}", where
        )
    return factor


@functools.lru_cache(maxsize=512)
def _conversion(unit: str, into: str) -> float | None:
    """Return the factor from ``unit`` to ``into``, None where the unit is unknown or unfit."""
    cleaned = unit.replace(".", "").strip()
    cleaned = _BARE_UNITS.get(cleaned, cleaned)
    for candidate in (cleaned, cleaned.lower()):
        factor = _pint_factor(candidate, into)
        if factor is not None:
            return factor
    return None


def _pint_factor(unit: str, into: str) -> float | None:
    import pint

    if not _UNIT_SHAPE.fullmatch(unit):
        return None
    registry = _registry()
    try:
        parsed = registry.parse_units(unit)
        if not registry.is_compatible_with(parsed, into):
            return None
        return float(registry.Quantity(1.0, parsed).to(into).magnitude)
    except (pint.PintError, ArithmeticError, AttributeError, KeyError, TypeError, ValueError):
        return None


@functools.cache
def _registry() -> Any:
    """Return the one registry of units; pint is loaded only when a unit is first read."""
    import pint

    return pint.UnitRegistry()
