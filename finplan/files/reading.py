"""Small helps for reading tables people wrote by hand."""

from __future__ import annotations

import dataclasses
import datetime as dt
import typing
from collections.abc import Callable, Mapping

from finplan.trade.errors import BadInput
from finplan.trade.plain import place_of, table_of, within
from finplan.trade.quantities import parse_area, parse_length

Table = Mapping[str, object]

_WITH_UNITS: dict[str, Callable[[str, str], float]] = {"_mm": parse_length, "_m2": parse_area}


def tables_of(data: object, where: str) -> list[tuple[str, Table]]:
    """Return the tables of a list, each with its place (``parts 2 ("slat")``).

    Raises:
        BadInput: it is no list of tables.
    """
    if not isinstance(data, list):
        raise BadInput("expected a list of tables: write it with double brackets", where)
    placed = []
    for number, item in enumerate(data, 1):
        name = item.get("name") if isinstance(item, Mapping) else None
        place = place_of(where, number, name)
        placed.append((place, table_of(item, place)))
    return placed


def without_units(kind: type, table: Table, where: str) -> Table:
    """Return the table with every size written with its unit turned into its SI field.

    Args:
        kind: the dataclass the table is for; lists of other dataclasses in it are followed.
        table: as read.
        where: its place.

    Raises:
        BadInput: a size that cannot be read, or given twice.
    """
    hints = typing.get_type_hints(kind)
    plain = dict(table)
    for name in hints:
        unit = next((unit for unit in _WITH_UNITS if name.endswith(unit)), None)
        spoken = name.removesuffix(unit) if unit else ""
        if unit and spoken in plain:
            if name in plain:
                raise BadInput(f"given as {name} too: give it once", within(where, spoken))
            plain[name] = _size(plain.pop(spoken), _WITH_UNITS[unit], within(where, spoken))
        inner = _list_of(hints[name])
        if inner is not None and isinstance(plain.get(name), list):
            placed = tables_of(plain[name], within(where, name))
            plain[name] = [without_units(inner, item, place) for place, item in placed]
    return plain


def without_instants(value: object) -> object:
    """Return plain JSON: dates and times that TOML knows as such become ISO 8601 text."""
    if isinstance(value, Mapping):
        return {key: without_instants(item) for key, item in value.items()}
    if isinstance(value, list):
        return [without_instants(item) for item in value]
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    return value


def _size(value: object, parse: Callable[[str, str], float], where: str) -> float:
    if not isinstance(value, str):
        raise BadInput('write the size with its unit in quotes, like "27 mm"', where)
    return parse(value, where)


def _list_of(hint: object) -> type | None:
    inner = typing.get_args(hint)[0] if typing.get_origin(hint) is tuple else None
    return inner if isinstance(inner, type) and dataclasses.is_dataclass(inner) else None
