"""A table as data: columns that know how they shrink, rows of cells with roles."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TypeVar, overload

from rich.cells import cell_len

from finplan.tui.models.paint import Line, Role, Run, fill, tidy

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: text and what it means."""

    text: str
    role: Role = Role.PLAIN


@dataclass(frozen=True, slots=True)
class Column:
    """A column.

    ``least`` cells are kept as long as the column shows at all; ``grow`` shares what is left
    over (0: as wide as its widest cell). ``drop`` orders which columns leave first when there is
    no room (highest first; 0 stays to the end).
    """

    title: str
    least: int = 4
    grow: int = 0
    right: bool = False
    drop: int = 0


def with_area_unit(columns: tuple[Column, ...], unit: str) -> tuple[Column, ...]:
    """Return the columns with ``unit`` in the headings that name square metres."""
    return tuple(replace(one, title=one.title.replace("m²", unit)) for one in columns)


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its key, and one cell a column."""

    key: str
    cells: tuple[Cell, ...]


ROWS_KEPT = 1_000
"""Rows kept as made: assumption, more than are drawn or measured at once."""


class LaterRows(Sequence[Row]):
    """Rows made of things when they are looked at, so that thousands cost nothing at once.

    Two are equal where they are made of the same things and ``about`` the same.
    """

    def __init__(self, things: Sequence[T], make: Callable[[T], Row], about: object) -> None:
        self._things = things
        self._make = lru_cache(ROWS_KEPT)(lambda index: make(things[index]))
        self._about = about

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        """Return a row, or some."""
        if isinstance(at, slice):
            return [self._make(index) for index in range(*at.indices(len(self)))]
        return self._make(range(len(self))[at])

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self._things)

    def __eq__(self, other: object) -> bool:
        """Say whether another one shows the same."""
        if not isinstance(other, LaterRows):
            return NotImplemented
        return (self._things, self._about) == (other._things, other._about)

    __hash__ = None  # type: ignore[assignment]


@dataclass(frozen=True, slots=True)
class Table:
    """Columns and rows; ``empty`` is what stands there when there is no row."""

    columns: tuple[Column, ...]
    rows: Sequence[Row]
    empty: str = "Nothing here."
    title: str = ""


@dataclass(frozen=True, slots=True)
class Fit:
    """Widths for a given room: which columns show, and how wide."""

    shown: tuple[int, ...]
    widths: tuple[int, ...] = field(default=())


GAP = 2
_SAMPLE = 400


def fit(table: Table, room: int, natural: Sequence[int] = ()) -> Fit:
    """Return the columns that fit ``room`` cells and their widths.

    ``natural`` are the table's natural widths, where they are known already.
    """
    natural = natural or natural_widths(table)
    shown = list(range(len(table.columns)))
    while len(shown) > 1 and _least(table, shown, natural) > room:
        leaver = max(shown, key=lambda index: (table.columns[index].drop, index))
        if table.columns[leaver].drop == 0:
            break
        shown.remove(leaver)
    widths = {i: min(natural[i], max(table.columns[i].least, 1)) for i in shown}
    spare = room - sum(widths.values()) - GAP * (len(shown) - 1)
    spare = _widen(shown, widths, natural, spare, table)
    growing = [i for i in shown if table.columns[i].grow]
    for i in growing:
        share = spare * table.columns[i].grow // sum(table.columns[j].grow for j in growing)
        widths[i] += max(0, share)
    return Fit(tuple(shown), tuple(widths[i] for i in shown))


def natural_widths(table: Table) -> tuple[int, ...]:
    """Return how wide the columns would be if there were room.

    Only the first rows are measured, so that a table of thousands fits at once.
    """
    widest = [cell_len(column.title) for column in table.columns]
    for row in table.rows[:_SAMPLE]:
        widest = [max(width, cell_len(row.cells[at].text)) for at, width in enumerate(widest)]
    return tuple(min(width, 200) for width in widest)


def _least(table: Table, shown: list[int], natural: Sequence[int]) -> int:
    needed = sum(min(natural[i], max(table.columns[i].least, 1)) for i in shown)
    return needed + GAP * (len(shown) - 1)


def _widen(
    shown: list[int], widths: dict[int, int], natural: Sequence[int], spare: int, table: Table
) -> int:
    """Give columns what their text needs: fixed ones first, then those that grow."""
    for i in sorted(shown, key=lambda index: table.columns[index].grow > 0):
        extra = min(max(spare, 0), natural[i] - widths[i])
        widths[i] += extra
        spare -= extra
    return spare


def header_line(table: Table, fitted: Fit) -> Line:
    """Return the titles in their columns."""
    return _laid_out(
        tuple(Cell(table.columns[i].title, Role.QUIET) for i in fitted.shown), table, fitted
    )


def row_line(table: Table, row: Row, fitted: Fit) -> Line:
    """Return one row in its columns."""
    return _laid_out(tuple(row.cells[i] for i in fitted.shown), table, fitted)


def _laid_out(cells: tuple[Cell, ...], table: Table, fitted: Fit) -> Line:
    runs: list[Run] = []
    for position, (cell, width) in enumerate(zip(cells, fitted.widths, strict=True)):
        column = table.columns[fitted.shown[position]]
        if position:
            runs.append(Run(" " * GAP))
        runs.append(Run(fill(tidy(cell.text), width, column.right), cell.role))
    return tuple(runs)


class Texts:
    """What each row says, whatever the case; put together when it is first looked through."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self._rows = rows
        self._texts: list[str | None] = [None] * len(rows)

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self._rows)

    def __getitem__(self, at: int) -> str:
        """Return what a row says."""
        text = self._texts[at]
        if text is None:
            text = " ".join(cell.text for cell in self._rows[at].cells).casefold()
            self._texts[at] = text
        return text


class Search:
    """The rows in which every word occurs in some cell, whatever the case; looked for in pieces.

    ``found`` holds the indices of the rows that match, as far as they were looked through.
    """

    def __init__(self, texts: Texts, words: str) -> None:
        self._texts = texts
        self._wanted = words.casefold().split()
        self._looked = 0
        self.found: list[int] = []

    @property
    def done(self) -> bool:
        """Whether all rows were looked through."""
        return self._looked >= len(self._texts)

    def look(self, rows: int) -> None:
        """Look through at most so many rows more; without words all match at once."""
        end = min(self._looked + rows, len(self._texts)) if self._wanted else len(self._texts)
        self.found += (index for index in range(self._looked, end) if self._matches(index))
        self._looked = end

    def _matches(self, index: int) -> bool:
        return not self._wanted or all(word in self._texts[index] for word in self._wanted)


def as_text(table: Table, rows: tuple[int, ...] | None = None) -> str:
    """Return the table as tab-separated text with its header, for the clipboard."""
    chosen = range(len(table.rows)) if rows is None else rows
    lines = ["\t".join(column.title for column in table.columns)]
    lines += ["\t".join(tidy(cell.text) for cell in table.rows[i].cells) for i in chosen]
    return "\n".join(lines)
