"""The words of the trade as plain data (what JSON and TOML can hold), and back again.

One codec serves the database's documents and the project file, so that a field added to a
dataclass travels everywhere at once.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
import re
import types
import typing
import uuid
from collections.abc import Callable, Mapping, Sequence
from enum import Enum
from functools import cache
from typing import Any, TypeVar

from finplan.trade.errors import BadInput
from finplan.trade.names import nearest

T = TypeVar("T")
Moment = TypeVar("Moment", dt.datetime, dt.date, dt.time)


def to_plain(value: object, *, skip_defaults: bool = False) -> Any:
    """Return ``value`` as dicts, lists, strings, numbers and (still native) dates and times.

    Args:
        value: a dataclass of the trade or anything its fields may hold.
        skip_defaults: leave out fields that hold their default, for people to read.

    Raises:
        BadInput: a text with a character that no file or database takes.
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
    return _read_text(value) if isinstance(value, str) else value


def to_json(value: object) -> str:
    """Return ``value`` as one line of canonical JSON: keys sorted, instants in ISO 8601.

    Raises:
        BadInput: a text or number that JSON cannot hold.
    """
    try:
        return json.dumps(
            to_plain(value),
            default=_iso,
            sort_keys=True,
            ensure_ascii=False,
            allow_nan=False,
            separators=(",", ":"),
        )
    except ValueError as fault:
        if isinstance(fault, BadInput):
            raise
        raise BadInput("a number without end cannot be kept: give an ordinary one") from None


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
    try:
        return typing.cast("T", _reader(typing.cast("Any", kind))(data))
    except BadInput as fault:
        raise (fault.at(where) if where else fault) from None


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
            near = nearest(str(key), known)
            hint = f"did you mean {near!r}?" if near else f"known are {', '.join(known)}"
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


Reader = Callable[[object], object]
"""Reads one kind of value; a fault's place is put in front of it on the way up."""


@cache
def _reader(kind: Any) -> Reader:
    origin = typing.get_origin(kind)
    if origin in (typing.Union, types.UnionType):
        return _optional_reader(kind)
    if origin in (tuple, frozenset):
        return _items_reader(origin, _reader(typing.get_args(kind)[0]))
    if origin is not None and issubclass(origin, Mapping):
        return _mapping_reader(*map(_reader, typing.get_args(kind)))
    if dataclasses.is_dataclass(kind):
        return _dataclass_reader(typing.cast("type", kind))
    if kind in (object, Any):
        return lambda data: data
    if issubclass(kind, Enum):
        return _enum_reader(kind)
    return _READERS[kind]


def _optional_reader(kind: Any) -> Reader:
    (left,) = [arg for arg in typing.get_args(kind) if arg is not type(None)]
    read = _reader(left)
    return lambda data: None if data is None else read(data)


def _items_reader(into: Callable[[list[object]], object], read_item: Reader) -> Reader:
    def read(data: object) -> object:
        if not isinstance(data, list | tuple):
            raise BadInput(f"expected a list, found {_shown(data)}")
        items: list[object] = []
        try:
            for item in data:
                items.append(read_item(item))
        except BadInput as fault:
            raise fault.at(place_of("", len(items) + 1, _called(item)).strip()) from None
        return into(items)

    return read


def _called(item: object) -> object:
    return item.get("name") or item.get("key") if isinstance(item, Mapping) else None


def _mapping_reader(read_key: Reader, read_value: Reader) -> Reader:
    def read(data: object) -> object:
        values: dict[object, object] = {}
        for key, item in table_of(data, "").items():
            try:
                values[read_key(key)] = read_value(item)
            except BadInput as fault:
                raise fault.at(str(key)[:40]) from None
        return values

    return read


def _dataclass_reader(kind: type) -> Reader:
    hints = typing.get_type_hints(kind)
    fields = dataclasses.fields(kind)
    readers = {field.name: _reader(hints[field.name]) for field in fields}
    needed = [
        field.name
        for field in fields
        if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    ]

    def read(data: object) -> object:
        table = table_of(data, "")
        if not table.keys() <= readers.keys():
            refuse_unknown(table, list(readers), "")
        for name in needed:
            if name not in table:
                raise BadInput(f"the field {name!r} is missing: add it")
        values = {}
        name = ""
        try:
            for name, item in table.items():
                values[name] = readers[name](item)
        except BadInput as fault:
            numbered = fault.where[:1].isdigit()
            raise BadInput(
                fault.what, f"{name} {fault.where}" if numbered else fault.at(name).where
            ) from None
        return kind(**values)

    return read


def _enum_reader(kind: type[Enum]) -> Reader:
    members = {str(member.value): member for member in kind}

    def read(data: object) -> object:
        member = members.get(data) if isinstance(data, str) else None
        if member is None:
            near = nearest(str(data), members)
            hint = f"did you mean {near!r}?" if near else f"use one of {', '.join(members)}"
            raise BadInput(f"{_shown(data)} is not known here: {hint}")
        return member

    return read


def _read_text(data: object) -> str:
    if not isinstance(data, str):
        raise BadInput(f"expected text in quotes, found {_shown(data)}")
    if "\0" in data or not (data.isascii() or _LONE_HALF.search(data) is None):
        raise BadInput("the text holds a character that cannot be stored: remove it")
    return data


def _read_truth(data: object) -> bool:
    if not isinstance(data, bool):
        raise BadInput(f"expected true or false, found {_shown(data)}")
    return data


def _read_whole(data: object) -> int:
    if isinstance(data, bool) or not isinstance(data, int):
        raise BadInput(f"expected a whole number, found {_shown(data)}")
    return data


def _read_number(data: object) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float):
        raise BadInput(f"expected a number, found {_shown(data)}")
    try:
        number = float(data)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise BadInput(f"expected an ordinary number, found {_shown(data)}")
    return number


def _read_instant(data: object) -> dt.datetime:
    moment = _parsed(dt.datetime, data, "a date and time like 2026-10-05T18:30:00Z")
    if moment.tzinfo is None:
        raise BadInput(f"the time {moment.isoformat()} has no zone: add Z or an offset")
    try:
        return moment.astimezone(dt.UTC)
    except OverflowError:
        raise BadInput(f"the time {moment.isoformat()} is out of range") from None


def _read_day(data: object) -> dt.date:
    if isinstance(data, dt.datetime):
        raise BadInput(f"expected a date alone, found {data.isoformat()}")
    return _parsed(dt.date, data, "a date like 2026-10-05")


def _read_clock(data: object) -> dt.time:
    return _parsed(dt.time, data, "a time of day like 18:30:00")


def _parsed(kind: type[Moment], data: object, example: str) -> Moment:
    if isinstance(data, kind):
        return data
    if isinstance(data, str):
        try:
            return kind.fromisoformat(data)
        except ValueError:
            pass
    raise BadInput(f"{_shown(data)} is not {example}")


def _read_uid(data: object) -> uuid.UUID:
    if isinstance(data, uuid.UUID):
        return data
    try:
        return uuid.UUID(_read_text(data))
    except ValueError:
        raise BadInput(f"{_shown(data)} is no UUID") from None


def _shown(data: object) -> str:
    text = json.dumps(data, default=str, ensure_ascii=True)
    return text if len(text) <= 60 else f"{text[:57]}..."


_LONE_HALF = re.compile("[\ud800-\udfff]")
"""Half of a character that only half an encoder lets through; no database takes it."""

_READERS: dict[Any, Reader] = {
    str: _read_text,
    bool: _read_truth,
    int: _read_whole,
    float: _read_number,
    dt.datetime: _read_instant,
    dt.date: _read_day,
    dt.time: _read_clock,
    uuid.UUID: _read_uid,
}
