"""Lines of text with a role for each run: what is drawn, before any colour is known."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from rich.cells import cell_len, set_cell_size

ELLIPSIS = "…"
LONGEST = 400


class Role(StrEnum):
    """What a run of text means; themes turn it into a colour."""

    PLAIN = "plain"
    QUIET = "quiet"
    STRONG = "strong"
    HEADING = "heading"
    GOOD = "good"
    WATCH = "watch"
    BAD = "bad"
    WET = "wet"
    WORK = "work"
    NOW = "now"
    REST = "rest"
    KEY = "key"
    CLOSED = "closed"
    BLOCK = "block"
    BLOCK_WET = "block-wet"
    BLOCK_DUST = "block-dust"
    BLOCK_DONE = "block-done"
    CHOSEN = "chosen"


@dataclass(frozen=True, slots=True)
class Run:
    """Text of one role."""

    text: str
    role: Role = Role.PLAIN


Line = tuple[Run, ...]


def scrub(text: str) -> str:
    """Return ``text`` without control and direction characters; most texts have none."""
    if text.isprintable():
        return text
    return "".join(one for one in text if unicodedata.category(one)[0] != "C")


def tidy(text: str, longest: int = LONGEST) -> str:
    """Return ``text`` on one line, without control characters, at most ``longest`` cells wide.

    Names come from people and files: a tab, an escape sequence or a direction mark must not
    reach the terminal.
    """
    kept = text[: longest * 4]
    if not kept.isprintable():
        kept = "".join(
            " " if character in "\t\n\r" else character
            for character in kept
            if character in "\t\n\r" or unicodedata.category(character)[0] != "C"
        )
    return shorten(" ".join(kept.split()), longest)


def shorten(text: str, width: int) -> str:
    """Return ``text`` in at most ``width`` cells, with an ellipsis where something was cut."""
    if width <= 0:
        return ""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + ELLIPSIS


def fill(text: str, width: int, right: bool = False) -> str:
    """Return ``text`` in exactly ``width`` cells, padded on the left when ``right``."""
    short = shorten(text, width)
    pad = " " * (width - cell_len(short))
    return pad + short if right else short + pad


def line(*parts: str | Run | tuple[str, Role]) -> Line:
    """Return a line from runs, (text, role) pairs or plain text; empty parts fall away."""
    runs = (
        part if isinstance(part, Run) else Run(part) if isinstance(part, str) else Run(*part)
        for part in parts
    )
    return tuple(run for run in runs if run.text)


def width_of(runs: Line) -> int:
    """Return the cells a line takes."""
    return sum(cell_len(run.text) for run in runs)


def text_of(runs: Line) -> str:
    """Return a line as plain text."""
    return "".join(run.text for run in runs)


def cut(runs: Line, width: int) -> Line:
    """Return the line in at most ``width`` cells, ending in an ellipsis where it was longer."""
    if width_of(runs) <= width:
        return runs
    kept: list[Run] = []
    room = width
    for run in runs:
        size = cell_len(run.text)
        if size >= room:
            kept.append(Run(shorten(run.text + ELLIPSIS, room), run.role))
            break
        kept.append(run)
        room -= size
    return tuple(kept)


def spread(left: Line, right: Line, width: int) -> Line:
    """Return ``left`` and ``right`` at the two ends of ``width`` cells; the left one gives way."""
    room = width - width_of(right)
    if room < 8:
        return cut(left, width)
    short = cut(left, room - 1)
    return (*short, Run(" " * (room - width_of(short))), *right)


def wrap(text: str, width: int, role: Role = Role.PLAIN, indent: str = "") -> tuple[Line, ...]:
    """Return ``text`` broken at spaces into lines of at most ``width`` cells."""
    lines: list[str] = []
    current = indent
    empty = True
    for word in text.split():
        candidate = current + ("" if empty else " ") + word
        if not empty and cell_len(candidate) > width:
            lines.append(current)
            current, empty = indent + word, False
        else:
            current, empty = candidate, False
    lines.append(current)
    return tuple((Run(shorten(part, width), role),) for part in lines if part.strip())


def join(lines: Iterable[Line]) -> str:
    """Return lines as plain text, for the clipboard."""
    return "\n".join(scrub(text_of(runs)).rstrip() for runs in lines)
