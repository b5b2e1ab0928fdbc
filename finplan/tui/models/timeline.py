"""The timeline: loads as rows, time across; which cell shows what."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from rich.cells import cell_len

from finplan.planning.plan import PlannedStep
from finplan.trade.steps import DUSTY_KINDS, WET_KINDS
from finplan.tui.models.paint import Line, Role, Run, fill, line, spread, tidy
from finplan.tui.models.scale import DAY_MINUTES, ZOOM_WORDS, Window, scale_lines, with_now
from finplan.tui.models.times import date, local
from finplan.tui.models.view import View
from finplan.tui.models.words import KIND_SYMBOLS, kind_role, load_of, short_title

if TYPE_CHECKING:
    from finplan.services.chance import Range

LEAST_LABEL = 12
"""Cells for the labels of rows, so that what a cell stands for can be told above them."""

LEAST_TEXT = 6
"""Cells a block needs before words are written into it."""


@dataclass(frozen=True, slots=True)
class Drying:
    """A surface that dries: from the coat's end to likely and safe, then the open window."""

    start_s: float
    likely_s: float
    safe_s: float
    closes_s: float | None


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One row: a project's heading (no steps) or a load with its steps in order."""

    key: str
    label: str
    note: str
    steps: tuple[PlannedStep, ...]
    dryings: tuple[Drying, ...]
    starts_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """All rows, the hours in which somebody works (rising), and now.

    ``places`` are row and position of each step by its id.
    """

    rows: tuple[ChartRow, ...]
    open_s: tuple[tuple[float, float], ...]
    now_s: float
    zone: str
    places: Mapping[str, tuple[int, int]]

    def place(self, step_id: str) -> tuple[int, int] | None:
        """Return row and position of a step."""
        return self.places.get(step_id)


def chart(
    view: View,
    open_hours: Iterable[tuple[dt.datetime, dt.datetime]] = (),
    ranges: Mapping[str, Range] | None = None,
) -> Chart:
    """Lay the plan out in rows: each project's heading, then its loads.

    Args:
        view: what is shown.
        open_hours: when somebody works.
        ranges: between which instants each project is likely ready, where that is known yet.
    """
    rows: list[ChartRow] = []
    waits = {s.waits_for.step: s for s in view.steps if s.waits_for is not None}
    for project in view.projects:
        own = view.loads_of(project.name)
        if not own:
            continue
        note = _ready(view, project.name, (ranges or {}).get(project.name))
        rows.append(ChartRow(project.name, tidy(project.title, 60), note, (), (), ()))
        rows += [_load_row(key, steps, waits) for key, steps in own.items()]
    stretches = tuple((start.timestamp(), end.timestamp()) for start, end in open_hours)
    places = {
        step.id: (index, position)
        for index, row in enumerate(rows)
        for position, step in enumerate(row.steps)
    }
    return Chart(tuple(rows), stretches, view.now.timestamp(), view.zone, places)


def _ready(view: View, name: str, likely: Range | None) -> str:
    ready = view.planned.ready_of(name) if view.planned else None
    if ready is None:
        return ""
    there = local(ready.safe, view.zone).date()
    words = f"ready {date(there, local(view.now, view.zone).year)} safe"
    own = (step for step in view.steps if step.project == name)
    if likely is None or likely.early is None or all(step.done for step in own):
        return words
    if likely.late is None:
        return f"{words} · {_day(view, likely.early)} at the earliest"
    return f"{words} · {_day(view, likely.early)} to {_day(view, likely.late)} in 8 of 10"


def _day(view: View, instant: dt.datetime) -> str:
    """A date without its weekday, to be short."""
    day = date(local(instant, view.zone).date(), local(view.now, view.zone).year)
    return day.split(" ", 1)[1]


def _load_row(
    key: tuple[str, str, int], steps: Sequence[PlannedStep], waits: dict[str, PlannedStep]
) -> ChartRow:
    dryings = []
    for step in steps:
        waiter = waits.get(step.id)
        if waiter is None or waiter.waits_for is None:
            continue
        closes = step.window_closes.timestamp() if step.window_closes else None
        dryings.append(
            Drying(
                step.end.timestamp(),
                waiter.waits_for.likely.timestamp(),
                waiter.waits_for.safe.timestamp(),
                closes if not waiter.done else None,
            )
        )
    return ChartRow(
        "/".join(map(str, key)),
        f"  {load_of(steps[0])}",
        "",
        tuple(steps),
        tuple(dryings),
        tuple(step.start.timestamp() for step in steps),
    )


class _Canvas:
    """Cells of one row, later marks over earlier ones."""

    def __init__(self, width: int) -> None:
        self.chars = [" "] * width
        self.roles = [Role.PLAIN] * width

    def put(self, start: int, end: int, char: str, role: Role) -> None:
        for index in range(max(start, 0), min(end, len(self.chars))):
            self.chars[index] = char
            self.roles[index] = role

    def write(self, start: int, text: str) -> None:
        for offset, char in enumerate(text):
            if 0 <= start + offset < len(self.chars) and cell_len(char) == 1:
                self.chars[start + offset] = char

    def runs(self) -> Line:
        grouped = groupby(range(len(self.chars)), key=lambda index: self.roles[index])
        return tuple(Run("".join(self.chars[i] for i in group), role) for role, group in grouped)


def row_line(
    row: ChartRow, laid: Chart, window: Window, label_width: int, chosen: str, here: bool
) -> Line:
    """Return one row: its label, then the cells of the window."""
    if not row.steps:
        head = line(" ", (row.label, Role.HEADING))
        return spread(head, line((f"{row.note} ", Role.QUIET)), label_width + window.width)
    canvas = _Canvas(window.width)
    _closed(canvas, laid, window)
    for drying in row.dryings:
        _drying(canvas, drying, laid.now_s, window)
    _now(canvas, laid.now_s, window)
    _steps(canvas, row, window, chosen)
    role = Role.KEY if here else Role.PLAIN
    label = tidy(row.label, 60)
    padded = ("▸" + row.label[1:] if here else row.label)[: label_width - 1]
    pad = " " * max(label_width - cell_len(padded), 0) if label else ""
    return line((padded + pad, role), *canvas.runs())


def _closed(canvas: _Canvas, laid: Chart, window: Window) -> None:
    """Shade cells in which nobody works (by day where a cell is a day or more)."""
    if not laid.open_s or window.minutes > DAY_MINUTES:
        return
    canvas.put(0, window.width, " ", Role.CLOSED)
    first = bisect_left(laid.open_s, (window.start_s - 7 * 86400.0, 0.0))
    for start, end in laid.open_s[first:]:
        if start >= window.end_s:
            break
        last = window.cell(end - 1) + 1
        canvas.put(window.cell(start), last, " ", Role.PLAIN)


def _drying(canvas: _Canvas, drying: Drying, now_s: float, window: Window) -> None:
    if drying.start_s > window.end_s:
        return
    start, likely, safe = (
        window.cell(at) for at in (drying.start_s, drying.likely_s, drying.safe_s)
    )
    now = window.cell(now_s)
    canvas.put(start, likely, "─", Role.WET)
    canvas.put(likely, safe + 1, "╌", Role.WET)
    canvas.put(start, min(now, safe + 1), "━", Role.WET)
    if drying.closes_s is not None:
        closes = window.cell(drying.closes_s)
        canvas.put(safe + 1, closes, "·", Role.GOOD)
        canvas.put(closes, closes + 1, "◆", Role.WATCH)


def _now(canvas: _Canvas, now_s: float, window: Window) -> None:
    cell = window.cell(now_s)
    canvas.put(cell, cell + 1, "│", Role.NOW)


def _steps(canvas: _Canvas, row: ChartRow, window: Window, chosen: str) -> None:
    """Draw the steps that show: dull ones first, wet ones over them, the chosen one on top."""
    first = max(bisect_left(row.starts_s, window.start_s) - 1, 0)
    shown = row.steps[first : bisect_right(row.starts_s, window.end_s)]
    for step in sorted(shown, key=lambda s: (s.id == chosen, s.kind in WET_KINDS)):
        for start, end in step.pieces or ((step.start, step.end),):
            begin = window.cell(start.timestamp())
            last = max(window.cell(end.timestamp() - 1), begin)
            _block(canvas, step, begin, last, step.id == chosen)


def _block(canvas: _Canvas, step: PlannedStep, begin: int, last: int, chosen: bool) -> None:
    symbol = "✓" if step.done else KIND_SYMBOLS[step.kind]
    if begin == last:
        role = Role.CHOSEN if chosen else Role.GOOD if step.done else kind_role(step.kind)
        canvas.put(begin, begin + 1, symbol, role)
        return
    canvas.put(begin, last + 1, " ", Role.CHOSEN if chosen else _block_role(step))
    room = last - max(begin, 0) + 1
    text = f"{symbol} {short_title(step)}" if room >= LEAST_TEXT else symbol
    canvas.write(max(begin, 0), tidy(text, room))


def _block_role(step: PlannedStep) -> Role:
    if step.done:
        return Role.BLOCK_DONE
    if step.kind in WET_KINDS:
        return Role.BLOCK_WET
    if step.kind in DUSTY_KINDS:
        return Role.BLOCK_DUST
    return Role.BLOCK


def head_lines(laid: Chart, window: Window, label_width: int) -> tuple[Line, Line]:
    """Return the two lines of the scale, with what a cell is and ``now`` marked."""
    upper, lower = scale_lines(window, laid.zone)
    cell = fill(f" cell {ZOOM_WORDS[window.minutes]}", label_width)
    marked = with_now(lower, window.cell(laid.now_s), window.width)
    return line((cell, Role.QUIET), *upper), line(" " * label_width, *marked)


def label_width(laid: Chart, width: int) -> int:
    """Return how wide the labels are: at most a quarter of the room."""
    loads = [row.label for row in laid.rows[:400] if row.steps]
    longest = max((cell_len(label) for label in loads), default=0)
    return min(max(longest + 2, LEAST_LABEL), max(width // 4, LEAST_LABEL))


def neighbour(laid: Chart, chosen: str, rows: int, steps: int) -> str:
    """Return the step reached from the chosen one: ``steps`` along the row, ``rows`` down."""
    place = laid.place(chosen)
    if place is None:
        return first_step(laid)
    index, position = place
    if steps:
        own = laid.rows[index].steps
        return own[min(max(position + steps, 0), len(own) - 1)].id
    at_s = laid.rows[index].starts_s[position]
    index += rows
    while 0 <= index < len(laid.rows):
        row = laid.rows[index]
        if row.steps:
            nearest = min(range(len(row.steps)), key=lambda i: abs(row.starts_s[i] - at_s))
            return row.steps[nearest].id
        index += 1 if rows > 0 else -1
    return chosen


def first_step(laid: Chart) -> str:
    """Return the step to look at first: the earliest not done, else the last."""
    every = [step for row in laid.rows for step in row.steps]
    coming = [step for step in every if not step.done]
    if coming:
        return min(coming, key=lambda step: step.start).id
    return every[-1].id if every else ""
