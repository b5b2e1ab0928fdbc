"""Which column of an air log is what, in which unit, read from its header."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from finplan.trade.errors import BadInput
from finplan.trade.quantities import fahrenheit_to_c, kelvin_to_c

_WHERE = r"^(?:(?:air|room|indoor)\s+)?"
_DATE = re.compile(r"^(date|datum|日付|年月日)\b(?!\s*[/ -]?\s*(time|zeit))")
_CLOCK = re.compile(r"^(time|zeit|uhrzeit|heure|tid|時刻|時間)\b(?!\s*stamp)")
_INSTANT = re.compile(
    r"^(date\s*[/ -]?\s*time|datum\s*[/ -]?\s*zeit|datetime|time\s*stamp|zeitstempel|when|日時)\b"
)
_TEMPERATURE = re.compile(_WHERE + r"(temp\.?|temperature?|température|温度|気温|t)(?!\w)")
_HUMIDITY = re.compile(
    _WHERE + r"(rel(ative|\.)?\s*)?"
    r"(humidity|humidité|hum(id)?\.?|r\.?\s?h\.?|(luft)?feuchte|luftfeuchtigkeit|(相対)?湿度)(?!\w)"
)
_NOT_AIR = re.compile(r"dew|wet.?bulb|absolute|outdoor|outside|set\s?point|battery")
_LONGEST_NAME = 60
_FARTHEST_HOURS = 14
_OFFSET = re.compile(r"(?:utc|gmt)\s*([+-]\s*\d{1,2})(?::?([0-5]\d))?\b")


def _unchanged(value: float) -> float:
    return value


_TEMPERATURE_UNITS: tuple[tuple[re.Pattern[str], Callable[[float], float]], ...] = (
    (re.compile(r"fahrenheit|deg\.?\s*f\b|°\s*f|º\s*f|[(\[ ]f[)\]]?$"), fahrenheit_to_c),
    (re.compile(r"kelvin|[(\[ ]k[)\]]?$"), kelvin_to_c),
    (re.compile(r"celsius|centigrade|deg\.?\s*c\b|°\s*c|º\s*c|[(\[ ]c[)\]]?$"), _unchanged),
)


@dataclass(frozen=True, slots=True)
class Columns:
    """Places of the columns (from 0) and what their headers say.

    ``clock`` is the second column where date and time stand apart, else None.
    ``offset_minutes`` is the header's offset from UTC, None where it names none.
    ``unit_stated`` is whether the temperature's unit is named; °C is taken where not.
    """

    names: tuple[str, ...]
    date: int
    clock: int | None
    temperature: int
    humidity: int
    to_celsius: Callable[[float], float]
    unit_stated: bool
    offset_minutes: int | None


def match_header(cells: Sequence[str], where: str) -> Columns | None:
    """Read a header row; None when it is none (no time, temperature and humidity in it).

    Raises:
        BadInput: a header with two candidates for one thing.
    """
    names = [_plain_name(cell) for cell in cells]
    times = [i for i, name in enumerate(names) if _is_time(name)]
    airy = [i for i, name in enumerate(names) if not _NOT_AIR.search(name) and i not in times]
    temperatures = [i for i in airy if _TEMPERATURE.match(names[i])]
    humidities = [i for i in airy if _HUMIDITY.match(names[i])]
    if not (times and temperatures and humidities):
        return None
    if len(temperatures) == 2:  # the same in °C and °F: one will do
        metric = [i for i in temperatures if _to_celsius(names[i]) is _unchanged]
        temperatures = metric if len(metric) == 1 else temperatures
    for found, what in ((temperatures, "temperature"), (humidities, "humidity")):
        if len(found) > 1:
            both = " and ".join(repr(cells[i].strip()[:_LONGEST_NAME]) for i in found[:2])
            raise BadInput(f"two columns of {what}, {both}: leave one", where)
    date, clock = _date_and_clock(times, names, where)
    convert = _to_celsius(names[temperatures[0]])
    return Columns(
        names=tuple(cell.strip()[:_LONGEST_NAME] for cell in cells),
        date=date,
        clock=clock,
        temperature=temperatures[0],
        humidity=humidities[0],
        to_celsius=convert or _unchanged,
        unit_stated=convert is not None,
        offset_minutes=_offset_minutes(names[date if clock is None else clock], where),
    )


def _plain_name(cell: str) -> str:
    """Return a header's words in small letters, signs such as ℉ spelled out."""
    return " ".join(unicodedata.normalize("NFKC", cell).lower().replace("_", " ").split())


def unit_of_cell(cell: str) -> tuple[str, Callable[[float], float] | None]:
    """Part a temperature from the unit written behind it; None where there is none."""
    found = re.fullmatch(
        r"(.*\d[.,]?)\s*°?\s*([cf])", unicodedata.normalize("NFKC", cell), re.IGNORECASE
    )
    if found is None:
        return cell, None
    return found[1], fahrenheit_to_c if found[2] in "fF" else _unchanged


def _to_celsius(name: str) -> Callable[[float], float] | None:
    """Return how to bring a column to °C, None where its header names no unit."""
    return next((to_c for unit, to_c in _TEMPERATURE_UNITS if unit.search(name)), None)


def _is_time(name: str) -> bool:
    return any(pattern.match(name) for pattern in (_INSTANT, _DATE, _CLOCK))


def _date_and_clock(times: list[int], names: list[str], where: str) -> tuple[int, int | None]:
    if len(times) == 1:
        return times[0], None
    dates = [i for i in times if _DATE.match(names[i])]
    clocks = [i for i in times if _CLOCK.match(names[i])]
    if len(times) == 2 and len(dates) == 1 and len(clocks) == 1:
        return dates[0], clocks[0]
    raise BadInput(
        f"{len(times)} columns of time: leave one, or one called date and one called time", where
    )


def _offset_minutes(name: str, where: str) -> int | None:
    offset = _OFFSET.search(name)
    if offset is None:
        return 0 if re.search(r"\b(utc|gmt)\b", name) else None
    hours = int(offset.group(1).replace(" ", ""))
    minutes = int(offset.group(2) or 0)
    if abs(hours) > _FARTHEST_HOURS:
        raise BadInput(
            f"no place is {hours:+d} hours from UTC: give an offset of at most "
            f"{_FARTHEST_HOURS} hours",
            where,
        )
    return hours * 60 + (minutes if offset.group(1)[0] == "+" else -minutes)
