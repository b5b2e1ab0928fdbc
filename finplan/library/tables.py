"""Reading typed values out of TOML tables, with errors that name the table and the field."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from enum import Enum
from typing import Any, TypeVar

from finplan.trade.errors import BadInput
from finplan.trade.names import clean_note, did_you_mean
from finplan.trade.numbers import Number, Span

Table = Mapping[str, Any]
AnEnum = TypeVar("AnEnum", bound=Enum)


def known_keys(table: Table, known: Iterable[str], where: str) -> None:
    """Refuse a key nobody reads, and say which one is near."""
    known = list(known)
    for key in table:
        if key not in known:
            raise BadInput(
                f"there is no field '{key[:40]}'{did_you_mean(key, known)}: remove or correct it",
                where,
            )


def table_of(table: Table, key: str, where: str) -> Table:
    """Return the table under a key, an empty one where it is missing."""
    value = table.get(key, {})
    if not isinstance(value, Mapping):
        raise BadInput(f"'{key}' must be a table", where)
    return value


def text_of(table: Table, key: str, where: str, default: str | None = None) -> str:
    """Return the text under a key; without a default it must be there."""
    value = table.get(key, default)
    if not isinstance(value, str):
        raise BadInput(f"'{key}' must be a text: write {key} = \"…\"", where)
    return clean_note(value, f"{where}, {key}")


def texts_of(table: Table, key: str, where: str) -> tuple[str, ...]:
    """Return the list of texts under a key, empty where it is missing."""
    value = table.get(key, [])
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise BadInput(f"'{key}' must be a list of texts: write {key} = [\"…\"]", where)
    return tuple(clean_note(one, f"{where}, {key}") for one in value)


def flag_of(table: Table, key: str, where: str, default: bool) -> bool:
    """Return the true or false under a key."""
    value = table.get(key, default)
    if not isinstance(value, bool):
        raise BadInput(f"'{key}' must be true or false", where)
    return value


def plain_number(value: object, key: str, where: str) -> float:
    """Return a finite number, refusing everything else."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadInput(f"'{key}' must be a number", where)
    if abs(value) > 1e9:
        raise BadInput(f"'{key}' is far too large: check number and unit", where)
    return float(value)


def enum_of(kind: type[AnEnum], table: Table, key: str, where: str) -> AnEnum:
    """Return the member whose value stands under a key."""
    value = text_of(table, key, where)
    try:
        return kind(value)
    except ValueError:
        known = [str(member.value) for member in kind]
        raise BadInput(
            f"'{key}' is '{value[:40]}'{did_you_mean(value, known)}: use one of {', '.join(known)}",
            where,
        ) from None


def number_of(table: Table, key: str, where: str) -> Number | None:
    """Return the number with its source under a key, None where it is missing."""
    if key not in table:
        return None
    inner = table_of(table, key, where)
    known_keys(inner, ("value", "source"), f"{where}, {key}")
    value = plain_number(inner.get("value"), "value", f"{where}, {key}")
    return Number(value, text_of(inner, "source", f"{where}, {key}"))


def span_of(table: Table, key: str, where: str) -> Span | None:
    """Return the span with its source under a key, None where it is missing."""
    if key not in table:
        return None
    place = f"{where}, {key}"
    inner = table_of(table, key, where)
    known_keys(inner, ("low", "high", "source"), place)
    low = plain_number(inner.get("low"), "low", place)
    high = plain_number(inner.get("high"), "high", place)
    if not 0 <= low <= high:
        raise BadInput(
            f"low {low:g} and high {high:g}: low must be 0 or more, high not less", place
        )
    return Span(low, high, text_of(inner, "source", place))


def required(value: Number | Span | None, key: str, where: str) -> Any:
    """Return a value that must be there."""
    if value is None:
        raise BadInput(f"'{key}' is missing: give it with its source", where)
    return value
