"""Read the log of a temperature and humidity logger from CSV text."""

from __future__ import annotations

import csv
import datetime as dt
import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from finplan.air.log_columns import Columns, match_header, unit_of_cell
from finplan.air.log_times import TimeReader, month_comes_first
from finplan.air.series import Reading, check_air
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.names import counted

_HEADER_WITHIN = 30
_LONGEST_CELL = 200
_MISSING = frozenset({"", "-", "--", "---", "nan", "n/a", "na", "null", "none", "error"})
_SENSOR_OVERSHOOT_PERCENT = 103.0
_GAP_STEPS = 2.5
_SHORTEST_GAP = dt.timedelta(minutes=30)
_CLOCK_SLACK = dt.timedelta(minutes=10)
_HOT_SHOP_C = 45.0


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without readings: the last one before it and the first one after (UTC)."""

    start: dt.datetime
    end: dt.datetime


@dataclass(frozen=True, slots=True)
class AirLog:
    """What a log says: readings in order of time, where it is silent, and what was put right."""

    readings: tuple[Reading, ...]
    gaps: tuple[Gap, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: tuple[str, ...]


def read_air_log(
    content: str | bytes,
    where: str,
    zone: str = "",
    now: dt.datetime | None = None,
    *,
    month_first: bool | None = None,
) -> AirLog:
    """Read an air log, all of it or nothing.

    The header is found by its words (time, temperature, humidity) within the first lines; units
    are read from it (°C, °F, K, %). Columns are parted by comma, semicolon or tab; numbers may
    have a decimal comma.

    Args:
        content: the file, UTF-8, UTF-16 with mark, Windows-1252 or Japanese cp932.
        where: the file's name, for messages.
        zone: IANA name for times without a zone.
        now: readings later than this are refused; None lets the future pass.
        month_first: how 3/4/2026 is read; None takes what dates above 12 tell, or refuses.

    Raises:
        BadInput: naming the line and column: no header, a time that is none, ambiguous or
            skipped by the clock change, values no air has, columns that look swapped.
    """
    text, warnings = _decode(content, where)
    columns, rows = _table(text, where)
    if not columns.unit_stated and any(_unit_is_missing(columns, row) for row in rows):
        warnings.append(f"{where}: the temperature has no unit in the header, °C is taken")
    reader = _time_reader(columns, rows, zone, where, month_first)
    readings, counts = _read_rows(columns, rows, reader, where, now)
    if not readings:
        raise BadInput("no readings in it: give at least one row under the header", where)
    _check_columns_not_swapped(columns, readings, where)
    ordered, repeated = _in_order(readings)
    counts["at an instant given twice, the later row counts"] = repeated
    warnings += [
        f"{where}: {counted(count, 'row')} {what}" for what, count in counts.items() if count
    ]
    gaps = find_gaps(ordered)
    warnings += [_tell_gap(gap, where, zone or "UTC") for gap in gaps]
    return AirLog(ordered, gaps, tuple(warnings))


def _read_rows(
    columns: Columns, rows: list[_Row], reader: TimeReader, where: str, now: dt.datetime | None
) -> tuple[list[Reading], dict[str, int]]:
    """Readings in the file's order, and how many rows were left out or put right, by what."""
    readings: list[Reading] = []
    missing = overshoots = 0
    cells = [_instant_cell(columns, row, f"{where}, line {row.line}") for row in rows]
    if cells and reader.goes_back(cells[0], cells[-1]):
        rows = rows[::-1]
    for row in rows:
        place = f"{where}, line {row.line}"
        at = reader.utc(_instant_cell(columns, row, place), _column(place, columns, columns.date))
        values = _values(columns, row, place)
        if values is None:
            missing += 1
            continue
        if now is not None and at > now + _CLOCK_SLACK:
            raise BadInput(
                f"{at.isoformat()} lies in the future: check the logger's clock and the time zone",
                _column(place, columns, columns.date),
            )
        overshoots += values[1] > 100.0
        readings.append(Reading(at, values[0], min(100.0, values[1])))
    return readings, {
        "without values left out": missing,
        "with a humidity a little above 100 %, taken as 100 %": overshoots,
    }


def find_gaps(readings: tuple[Reading, ...]) -> tuple[Gap, ...]:
    """Stretches far longer than the usual step (2.5 times, and over half an hour)."""
    steps = [b.at - a.at for a, b in itertools.pairwise(readings)]
    if not steps:
        return ()
    usual = dt.timedelta(seconds=median(step.total_seconds() for step in steps))
    longest = max(usual * _GAP_STEPS, _SHORTEST_GAP)
    return tuple(Gap(a.at, b.at) for a, b in itertools.pairwise(readings) if b.at - a.at > longest)


def _tell_gap(gap: Gap, where: str, zone: str) -> str:
    hours = (gap.end - gap.start).total_seconds() / 3600.0
    return (
        f"{where}: no readings for {hours:.1f} h from {say_moment(gap.start, zone)}; forecast or "
        "normals fill it"
    )


def _decode(content: str | bytes, where: str) -> tuple[str, list[str]]:
    warnings: list[str] = []
    if isinstance(content, str):
        text = content.removeprefix("\ufeff")
    else:
        encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            japanese = content.decode("cp932", errors="ignore")
            if "温" in japanese:
                text, name = japanese, "Japanese (cp932)"
            else:
                text, name = content.decode("cp1252", errors="replace"), "Windows-1252"
            warnings.append(f"{where}: not UTF-8, read as {name}")
    if "\x00" in text:
        raise BadInput("not a text file: export the log as CSV", where)
    return text, warnings


def _table(text: str, where: str) -> tuple[Columns, list[_Row]]:
    """Header and rows; tries the separators in turn and takes the first that makes a header."""
    lines = text.splitlines()
    for number, line in enumerate(lines[:_HEADER_WITHIN]):
        for separator in sorted("\t;,", key=line.count, reverse=True):
            cells = next(csv.reader([line], delimiter=separator), [])
            columns = match_header(cells, f"{where}, line {number + 1}")
            if columns is not None:
                return columns, list(_rows(lines[number + 1 :], separator, number + 1, where))
    raise BadInput(
        "no header with time, temperature and humidity in the first lines: add one like "
        "time,temperature (°C),humidity (%)",
        where,
    )


def _rows(lines: list[str], separator: str, before: int, where: str) -> Iterator[_Row]:
    reader = csv.reader(io.StringIO("\n".join(lines)), delimiter=separator)
    try:
        for cells in reader:
            stripped = tuple(cell.strip() for cell in cells)
            if any(stripped) and not stripped[0].startswith("#"):
                yield _Row(before + reader.line_num, stripped)
    except csv.Error as error:
        raise BadInput(
            f"not readable as CSV ({error}): check the quotes",
            f"{where}, line {before + reader.line_num}",
        ) from error


def _column(place: str, columns: Columns, index: int) -> str:
    return f"{place}, column {columns.names[index]!r}"


def _cell(columns: Columns, row: _Row, index: int, place: str) -> str:
    if index >= len(row.cells):
        raise BadInput(
            f"the row has {len(row.cells)} cells: it needs one for each of the header's "
            f"{len(columns.names)} columns",
            _column(place, columns, index),
        )
    cell = row.cells[index]
    if len(cell) > _LONGEST_CELL:
        raise BadInput("far too long to be a value: check the file", _column(place, columns, index))
    return cell


def _instant_cell(columns: Columns, row: _Row, place: str) -> str:
    date = _cell(columns, row, columns.date, place)
    return date if columns.clock is None else f"{date} {_cell(columns, row, columns.clock, place)}"


def _time_reader(
    columns: Columns, rows: list[_Row], zone: str, where: str, month_first: bool | None
) -> TimeReader:
    if month_first is not None:
        return TimeReader(zone, columns.offset_minutes, month_first)
    cells = (_instant_cell(columns, row, f"{where}, line {row.line}") for row in rows)
    try:
        month_first = month_comes_first(cells)
    except BadInput as error:
        raise error if error.where else error.at(where) from error
    return TimeReader(zone, columns.offset_minutes, month_first)


def _values(columns: Columns, row: _Row, place: str) -> tuple[float, float] | None:
    """Temperature in °C and humidity in %, None where the logger left one out."""
    cells = [_cell(columns, row, i, place) for i in (columns.temperature, columns.humidity)]
    if any(cell.lower() in _MISSING for cell in cells):
        return None
    in_temperature = _column(place, columns, columns.temperature)
    in_humidity = _column(place, columns, columns.humidity)
    bare, to_celsius = unit_of_cell(cells[0])
    if to_celsius is not None and columns.unit_stated and to_celsius is not columns.to_celsius:
        raise BadInput(
            f"{cells[0][:60]!r} has another unit than its header: correct one", in_temperature
        )
    celsius = (to_celsius or columns.to_celsius)(_number(bare, in_temperature))
    percent = _number(cells[1], in_humidity)
    check_air(celsius, 0.0, in_temperature)
    if not 100.0 < percent <= _SENSOR_OVERSHOOT_PERCENT:
        check_air(0.0, percent, in_humidity)
    return celsius, percent


def _number(cell: str, where: str) -> float:
    bare = re.sub(r"\s*[%％](\s*rh)?$", "", cell, flags=re.IGNORECASE)
    if not re.fullmatch(r"[+\-−]?\d+([.,]\d*)?", bare):
        raise BadInput(f"{cell[:60]!r} is no number: write it like 12.5 or 12,5", where)
    return float(bare.replace(",", ".").replace("−", "-"))


def _unit_is_missing(columns: Columns, row: _Row) -> bool:
    cell = row.cells[columns.temperature] if columns.temperature < len(row.cells) else ""
    return cell.lower() not in _MISSING and unit_of_cell(cell)[1] is None


def _check_columns_not_swapped(columns: Columns, readings: list[Reading], where: str) -> None:
    hot = median(reading.temperature_c for reading in readings)
    dry = median(reading.humidity_percent for reading in readings)
    if hot > _HOT_SHOP_C and not columns.unit_stated:
        raise BadInput(
            f"most temperatures are about {hot:.0f} with no unit: name it in the header, like "
            "temperature (°F)",
            where,
        )
    if hot > _HOT_SHOP_C and dry < hot:
        raise BadInput(
            f"most temperatures are about {hot:.0f} °C and humidities about {dry:.0f} %: the two "
            "columns look swapped, put the headers right",
            where,
        )
    if max(reading.humidity_percent for reading in readings) <= 1.0:
        raise BadInput("no humidity is above 1: give it in percent, not as a share of 1", where)


def _in_order(readings: list[Reading]) -> tuple[tuple[Reading, ...], int]:
    by_instant = {reading.at: reading for reading in readings}
    ordered = tuple(by_instant[at] for at in sorted(by_instant))
    return ordered, len(readings) - len(ordered)
