"""Plain data as TOML that a person likes to read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

OWN_TABLES = frozenset({"people", "spaces", "parts", "batches", "steps", "journal", "air"})
"""Lists whose items stand as ``[[tables]]`` of their own; others stand in one line each."""

HEADING = "A finplan project. Times are in UTC; sizes in mm unless a unit is written with them."


def toml_text(data: Mapping[str, Any]) -> str:
    """Return the text of a TOML file that holds exactly ``data``."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(HEADING))
    _fill(document, data)
    return tomlkit.dumps(document)


def _fill(table: Any, data: Mapping[str, Any]) -> None:
    import tomlkit

    later = {}
    for key, value in data.items():
        if _is_tables(key, value) or isinstance(value, Mapping):
            later[key] = value
        else:
            table.add(key, _item(value))
    for key, value in later.items():
        if isinstance(value, Mapping):
            inner = tomlkit.table()
            _fill(inner, value)
            table.add(key, inner)
        else:
            listed = tomlkit.aot()
            for item in value:
                inner = tomlkit.table()
                _fill(inner, item)
                listed.append(inner)
            table.add(key, listed)


def _is_tables(key: str, value: object) -> bool:
    return key in OWN_TABLES and isinstance(value, list) and _all_tables(value)


def _all_tables(value: list[object]) -> bool:
    return bool(value) and all(isinstance(item, Mapping) for item in value)


def _item(value: Any) -> Any:
    import tomlkit

    if isinstance(value, Mapping):
        inline = tomlkit.inline_table()
        for key, inner in value.items():
            inline.add(key, _item(inner))
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(_item(inner))
        return array.multiline(_all_tables(value))
    if isinstance(value, str) and "\n" in value:
        return _lines(value)
    return tomlkit.item(value)


def _lines(text: str) -> Any:
    """A text of several lines, the first below the quotes (that line break is not read)."""
    import tomlkit
    from tomlkit.items import String, StringType, Trivia

    written = tomlkit.string(text, multiline=True).as_string()[3:-3]
    if not text.startswith("\n"):
        written = "\n" + written
    return String(StringType.MLB, text, written, Trivia())
