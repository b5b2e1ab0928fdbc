"""The words of the trade as plain data (what JSON and TOML can hold), and back again.

One codec serves the database's documents and the project file, so that a field added to a
dataclass travels everywhere at once.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import difflib
import json
import math
import types
import typing
import uuid
from collections.abc import Callable, Mapping, Sequence
from enum import Enum
from functools import cache
from typing import Any, TypeVar

from finplan.trade.errors import BadInput

T = TypeVar("T")
Moment = TypeVar("Moment", dt.datetime, dt.date, dt.time)


def to_plain(value: object, *, skip_defaults: bool = False) -> Any:
    """Return ``value`` as dicts, lists, strings, numbers and (still native) dates and times.

    Args:
        value: a dataclass of the trade or anything its fields may hold.
        skip_defaults: leave out fields that hold their default, for people to read.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: to_plain(getattr(value, field.name), skip_defaults=skip_defaults)
            for field in dataclasses.fields(value)
            if not (skip_defaults and _is_default(field, getattr(value, field.name)))
        }
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, Mapping):
        return {
            to_plain(key): to_plain(item, skip_defaults=skip_defaults)
            for key, item in value.items()
        }
    if isinstance(value, frozenset):
        return sorted(to_plain(item) for item in value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [to_plain(item, skip_defaults=skip_defaults) for item in value]
    return value


def to_json(value: object) -> str:
    """Return ``value`` as one line of canonical JSON: keys sorted, instants in ISO 8601."""
    return json.dumps(
        to_plain(value),
        default=_iso,
        sort_keys=True,
        ensure_ascii=False,
        allow_nan=False,
        separators=(",", ":"),
    )


def from_json(kind: type[T], text: str, where: str = "") -> T:
    """Return the ``kind`` that :func:`to_json` wrote.

    Raises:
        BadInput: the text is no JSON, or not the data of a ``kind``.
    """
    try:
        data = json.loads(text)
    except ValueError as fault:
        raise BadInput(f"this is not JSON ({fault})", where) from None
    return from_plain(kind, data, where)


def from_plain(kind: type[T], data: object, where: str = "") -> T:
    """Return the dataclass ``kind`` held by ``data``, every field checked.

    Args:
        kind: a dataclass of the trade.
        data: a table as :func:`to_plain` gives it; dates and times native or in ISO 8601.
        where: what stands in front of an error's own place.

    Raises:
        BadInput: a key missing, unknown (the nearest known one is named) or of the wrong type.
    """
    return typing.cast("T", _read(kind, data, where))


def table_of(data: object, where: str) -> Mapping[str, object]:
    """Return ``data`` as a table.

    Raises:
        BadInput: it is something else.
    """
    if not isinstance(data, Mapping):
        raise BadInput(f"expected a table of fields, found {_shown(data)}", where)
    return data


def refuse_unknown(given: Mapping[str, object], known: Sequence[str], where: str) -> None:
    """Refuse keys that mean nothing here, naming the nearest that does.

    Raises:
        BadInput: a key of ``given`` is not in ``known``.
    """
    for key in given:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]!r}?" if near else f"known are {', '.join(known)}"
            raise BadInput(f"unknown field {_shown(key)}: {hint}", where)


def within(where: str, inner: str) -> str:
    """Return the place ``inner`` inside the place ``where``."""
    return f"{where}, {inner}" if where else inner


def place_of(where: str, index: int, name: object = None) -> str:
    """Return the place of a list's item (from 1), with its name where it has one."""
    return f"{where} {index} ({_shown(name)})" if isinstance(name, str) else f"{where} {index}"


def _iso(value: object) -> str:
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in plain data")


def _is_default(field: dataclasses.Field[Any], value: object) -> bool:
    if field.default is not dataclasses.MISSING:
        return bool(value == field.default) and type(value) is type(field.default)
    if field.default_factory is not dataclasses.MISSING:
        return bool(value == field.default_factory())
    return False


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _read(kind: Any, data: object, where: str) -> object:
    origin = typing.get_origin(kind)
    if origin in (typing.Union, types.UnionType):
        return None if data is None else _read(_without_none(kind), data, where)
    if origin in (tuple, frozenset):
        return origin(_read_items(typing.get_args(kind)[0], data, where))
    if origin is not None and issubclass(origin, Mapping):
        return _read_mapping(kind, data, where)
    if dataclasses.is_dataclass(kind):
        return _read_dataclass(typing.cast("type", kind), data, where)
    if kind in (object, Any):
        return data
    if issubclass(kind, Enum):
        return _read_enum(kind, data, where)
    return _READERS[kind](data, where)


def _without_none(kind: Any) -> Any:
    (left,) = [arg for arg in typing.get_args(kind) if arg is not type(None)]
    return left


def _read_items(kind: Any, data: object, where: str) -> list[object]:
    if not isinstance(data, list | tuple):
        raise BadInput(f"expected a list, found {_shown(data)}", where)
    return [
        _read(kind, item, place_of(where, index, _called(item)))
        for index, item in enumerate(data, 1)
    ]


def _called(item: object) -> object:
    return item.get("name") or item.get("key") if isinstance(item, Mapping) else None


def _read_mapping(kind: Any, data: object, where: str) -> dict[object, object]:
    key_kind, value_kind = typing.get_args(kind)
    return {
        _read(key_kind, key, where): _read(value_kind, item, within(where, str(key)))
        for key, item in table_of(data, where).items()
    }


def _read_dataclass(kind: type, data: object, where: str) -> object:
    table = table_of(data, where)
    fields = dataclasses.fields(kind)
    refuse_unknown(table, [field.name for field in fields], where)
    values = {}
    for field in fields:
        if field.name in table:
            place = within(where, field.name)
            values[field.name] = _read(_hints(kind)[field.name], table[field.name], place)
        elif field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
            raise BadInput(f"the field {field.name!r} is missing: add it", where)
    return kind(**values)


def _read_enum(kind: type[Enum], data: object, where: str) -> Enum:
    known = [str(member.value) for member in kind]
    if isinstance(data, str) and data in known:
        return kind(data)
    near = difflib.get_close_matches(str(data), known, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"use one of {', '.join(known)}"
    raise BadInput(f"{_shown(data)} is not known here: {hint}", where)


def _read_text(data: object, where: str) -> str:
    if not isinstance(data, str):
        raise BadInput(f"expected text in quotes, found {_shown(data)}", where)
    if any(0xD800 <= ord(letter) <= 0xDFFF or letter == "\0" for letter in data):
        raise BadInput("the text holds a character that cannot be stored: remove it", where)
    return data


def _read_truth(data: object, where: str) -> bool:
    if not isinstance(data, bool):
        raise BadInput(f"expected true or false, found {_shown(data)}", where)
    return data


def _read_whole(data: object, where: str) -> int:
    if isinstance(data, bool) or not isinstance(data, int):
        raise BadInput(f"expected a whole number, found {_shown(data)}", where)
    return data


def _read_number(data: object, where: str) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float):
        raise BadInput(f"expected a number, found {_shown(data)}", where)
    try:
        number = float(data)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise BadInput(f"expected an ordinary number, found {_shown(data)}", where)
    return number


def _read_instant(data: object, where: str) -> dt.datetime:
    moment = _parsed(dt.datetime, data, where, "a date and time like 2026-10-05T18:30:00Z")
    if moment.tzinfo is None:
        raise BadInput(f"the time {moment.isoformat()} has no zone: add Z or an offset", where)
    try:
        return moment.astimezone(dt.UTC)
    except OverflowError:
        raise BadInput(f"the time {moment.isoformat()} is out of range", where) from None


def _read_day(data: object, where: str) -> dt.date:
    if isinstance(data, dt.datetime):
        raise BadInput(f"expected a date alone, found {data.isoformat()}", where)
    return _parsed(dt.date, data, where, "a date like 2026-10-05")


def _read_clock(data: object, where: str) -> dt.time:
    return _parsed(dt.time, data, where, "a time of day like 18:30:00")


def _parsed(kind: type[Moment], data: object, where: str, example: str) -> Moment:
    if isinstance(data, kind):
        return data
    if isinstance(data, str):
        try:
            return kind.fromisoformat(data)
        except ValueError:
            pass
    raise BadInput(f"{_shown(data)} is not {example}", where)


def _read_uid(data: object, where: str) -> uuid.UUID:
    if isinstance(data, uuid.UUID):
        return data
    try:
        return uuid.UUID(_read_text(data, where))
    except ValueError:
        raise BadInput(f"{_shown(data)} is no UUID", where) from None


def _shown(data: object) -> str:
    text = json.dumps(data, default=str, ensure_ascii=True)
    return text if len(text) <= 60 else f"{text[:57]}..."


_READERS: dict[Any, Callable[[object, str], object]] = {
    str: _read_text,
    bool: _read_truth,
    int: _read_whole,
    float: _read_number,
    dt.datetime: _read_instant,
    dt.date: _read_day,
    dt.time: _read_clock,
    uuid.UUID: _read_uid,
}
