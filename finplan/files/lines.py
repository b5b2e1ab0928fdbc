"""Where in a TOML text a field stands, for errors that point at a line."""

from __future__ import annotations

import re
from dataclasses import dataclass

_SEGMENT = re.compile(r'(?P<key>\w+)(?: (?P<index>\d+)(?: \("(?:[^"\\]|\\.)*"\))?)?(?:, |$)')


@dataclass(frozen=True, slots=True)
class _Segment:
    key: str
    index: int


def line_of(text: str, place: str) -> int | None:
    """Return the line (from 1) nearest to a place like ``batches 2 ("slats"), steps 1, kind``.

    Args:
        text: the whole file.
        place: table and field as :func:`finplan.trade.plain.from_plain` names them.

    Returns:
        The line of the field, else of its table, None where neither is found.
    """
    lines = text.splitlines()
    found: int | None = None
    path: list[str] = []
    start = 0
    for segment in _segments(place):
        at = _header(lines, start, [*path, segment.key], segment.index)
        if at is None:
            at = _field(lines, start, segment.key)
            return found if at is None else at + 1
        path.append(segment.key)
        start, found = at + 1, at + 1
    return found


def _segments(place: str) -> list[_Segment]:
    return [_Segment(match["key"], int(match["index"] or 0)) for match in _SEGMENT.finditer(place)]


def _header(lines: list[str], start: int, path: list[str], index: int) -> int | None:
    name = re.escape(".".join(path))
    wanted = re.compile(rf"\s*\[\[\s*{name}\s*\]\]" if index else rf"\s*\[\s*{name}\s*\]")
    left = max(index, 1)
    for number in range(start, len(lines)):
        left -= bool(wanted.match(lines[number]))
        if left == 0:
            return number
    return None


def _field(lines: list[str], start: int, key: str) -> int | None:
    for number in range(start, len(lines)):
        if re.match(rf"""\s*["']?{re.escape(key)}["']?\s*=""", lines[number]):
            return number
        if re.match(r"\s*\[", lines[number]):
            return None
    return None
