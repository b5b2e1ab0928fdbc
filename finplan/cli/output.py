"""What goes to stdout: JSON, tables that fit 80 columns, plain lines."""

from __future__ import annotations

import json
import os
import shutil
import unicodedata
from collections.abc import Sequence
from typing import Any

import click

ALWAYS_SAID = "label governs"
"""The caution that every page ends with, so that its lines need not repeat it."""


TIED = "\N{NO-BREAK SPACE}"
"""Stands for a space at which ``paragraph`` does not break."""


def print_json(value: Any) -> None:
    """Print a value as JSON, one document, UTF-8 as it is."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False))


def say(text: str = "") -> None:
    """Print one line."""
    click.echo(clean(text).replace(TIED, " "))


def say_written(file: object, changed: bool) -> None:
    """Say whether a file was written, or held the same before."""
    say(f"{file}: {'written' if changed else 'unchanged'}")


def paragraph(text: str, indent: str = "", first: str | None = None) -> None:
    """Print a text wrapped to the page."""
    for line in wrapped(clean(text), page_width(), indent if first is None else first, indent):
        click.echo(line.replace(TIED, " "))


def wrapped(text: str, width: int, first: str = "", indent: str = "") -> list[str]:
    """Return a text as lines of at most ``width`` terminal columns, broken at spaces.

    A word too long for a line, such as a sentence in a script without spaces, is cut.
    """
    lines, line, begins = [], first, True
    for word in text.split(" "):
        gap = "" if begins else " "
        if columns_of(line + gap + word) <= width:
            line, begins = line + gap + word, False
            continue
        if not begins and columns_of(indent + word) <= width:
            lines.append(line)
            line = indent + word
            continue
        line += gap
        for letter in word:
            if columns_of(line + letter) > width:
                lines.append(line)
                line = indent
            line += letter
        begins = False
    return [*(one.rstrip() for one in lines), line.rstrip()]


def tied(text: str, longest: int = 20) -> str:
    """Return a short text such as ``3.75 m²`` so that ``paragraph`` keeps it on one line."""
    return text.replace(" ", TIED) if len(text) <= longest else text


def heading(text: str) -> None:
    """Print a heading, bold where a terminal shows it and NO_COLOR does not forbid it."""
    plain = "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    click.echo(clean(text) if plain else click.style(clean(text), bold=True))


def page_width() -> int:
    """Return the width to print to: 80 columns, or less in a narrower terminal."""
    return max(40, min(80, shutil.get_terminal_size((80, 24)).columns))


def clean(text: str) -> str:
    """Return text without control characters, so that a name cannot steer the terminal."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c == TIED else " " for c in text)


def columns_of(text: str) -> int:
    """Return how many terminal columns a text takes."""
    width = 0
    for character in text:
        if unicodedata.combining(character) or unicodedata.category(character) in ("Cf", "Mn"):
            continue
        width += 2 if unicodedata.east_asian_width(character) in "WF" else 1
    return width


def shorten(text: str, width: int) -> str:
    """Return text cut to a width in columns, the cut marked with an ellipsis."""
    if columns_of(text) <= width:
        return text
    kept = ""
    for character in text:
        if columns_of(kept + character) > width - 1:
            break
        kept += character
    return f"{kept}…"


def table(
    header: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = (), wrap: int = 0
) -> None:
    """Print rows under a header, within the page.

    Args:
        header: the names of the columns.
        rows: texts, as many a row as there are columns.
        right: columns set flush right (numbers).
        wrap: the column that goes on below itself when the page is too narrow.
    """
    cells = [[clean(cell) for cell in row] for row in rows]
    widths = [
        max([columns_of(name), *(columns_of(row[i]) for row in cells)])
        for i, name in enumerate(header)
    ]
    spare = page_width() - sum(widths) - 2 * (len(widths) - 1)
    if spare < 0:
        widths[wrap] = max(12, widths[wrap] + spare)
    heading(_line(list(header), widths, right))
    for row in cells:
        folded = wrapped(row[wrap], widths[wrap])
        for number, part in enumerate(folded):
            line = [part if i == wrap else cell for i, cell in enumerate(row)]
            if number:
                line = [part if i == wrap else "" for i in range(len(row))]
            click.echo(_line(line, widths, right))


def _line(cells: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> str:
    parts: list[str] = []
    for i, (cell, width) in enumerate(zip(cells, widths, strict=True)):
        text = shorten(cell, width)
        fill = " " * (width - columns_of(text))
        parts.append(f"{fill}{text}" if i in right else f"{text}{fill}")
    return "  ".join(parts).rstrip()
