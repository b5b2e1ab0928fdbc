"""The journal as rows, newest first."""

from __future__ import annotations

import datetime as dt

from finplan.journal.entries import Entry, EntryKind
from finplan.journal.standing import undone_uids
from finplan.trade.names import counted
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, line, tidy, wrap
from finplan.tui.models.table import Cell, Column, Row, Table
from finplan.tui.models.times import date, local, moment
from finplan.tui.models.view import View
from finplan.tui.models.words import load_of, short_title

COLUMNS = (
    Column("when", 12),
    Column("entry", 8),
    Column("what", 24, grow=2),
    Column("details", 10, grow=3, drop=2),
    Column("by", 4, drop=3),
    Column("project", 8, drop=1),
)

MOST_MOVED = 2
"""Sentences on what moved that a notice has room for."""

SYMBOLS: dict[EntryKind, tuple[str, Role]] = {
    EntryKind.STEP_DONE: ("✓", Role.GOOD),
    EntryKind.STEP_SKIPPED: ("↷", Role.QUIET),
    EntryKind.STEP_REPEAT: ("↺", Role.WATCH),
    EntryKind.DRYNESS_CHECK: ("◔", Role.WET),
    EntryKind.PARTS_SPOILED: ("✗", Role.BAD),
    EntryKind.WISH: ("◇", Role.PLAIN),
    EntryKind.NOTE: ("¶", Role.PLAIN),
    EntryKind.CORRECTION: ("±", Role.WATCH),
    EntryKind.UNDO: ("↶", Role.WATCH),
    EntryKind.REDO: ("↷", Role.WATCH),
}

DETAIL_WORDS = {
    "temperature_c": ("", " °C"),
    "humidity_percent": ("", " % RH"),
    "amount_l": ("", " l"),
    "can": ("can ", ""),
    "note": ("", ""),
    "stage": ("", ""),
    "part": ("", ""),
    "quantity": ("", " pieces"),
}


INSTANT_WORDS = {"started": "begun", "at": "ended", "start": "wished"}
"""Details that are instants; one withdrawn holds nothing."""


def journal_table(view: View) -> Table:
    """Return all entries, the last written first; the row's key is the entry's uid."""
    undone = undone_uids(view.entries)
    rows = tuple(_row(view, entry, entry.uid in undone) for entry in reversed(view.entries))
    return Table(COLUMNS, rows, empty="Nothing recorded yet. On the bench, d records a step done.")


def _row(view: View, entry: Entry, undone: bool) -> Row:
    symbol, role = SYMBOLS[entry.kind]
    word = f"{symbol} {entry.kind.value}" + (" (undone)" if undone else "")
    there = local(entry.at, view.zone)
    quiet = Role.QUIET if undone else Role.PLAIN
    return Row(
        str(entry.uid),
        (
            Cell(f"{date(there.date(), local(view.now, view.zone).year)} {there:%H:%M}", quiet),
            Cell(word, Role.QUIET if undone else role),
            Cell(about(entry, view.entries), Role.QUIET if undone else Role.STRONG),
            Cell(details(entry, view.measures), quiet),
            Cell(entry.by, Role.QUIET),
            Cell(entry.project, Role.QUIET),
        ),
    )


def about(entry: Entry, entries: tuple[Entry, ...]) -> str:
    """Return what an entry is about: a step of a load, or the earlier entry."""
    if entry.about is not None:
        earlier = next((other for other in entries if other.uid == entry.about), None)
        return _with_kind(earlier, entries) if earlier else "an earlier entry"
    load = f" {entry.load}/{entry.loads}" if entry.loads > 1 else ""
    place = f"{entry.batch}{load}"
    return " · ".join(part for part in (place, entry.step.replace("-", " ")) if part.strip())


def _with_kind(entry: Entry, entries: tuple[Entry, ...]) -> str:
    """Return what kind an entry is of, and what it is about: of a note its words."""
    told = about(entry, entries) or tidy(str(entry.details.get("note", "")))
    return f"{entry.kind.value}: {told}" if told else entry.kind.value


def told_of(entry: Entry, view: View) -> str:
    """Return what an entry is about as a notice says it: by the step's title, where it has one."""
    step = view.step_of(entry)
    if step is not None:
        return f"{short_title(step)} ({load_of(step)})"
    return about(entry, view.entries) or _with_kind(entry, view.entries)


def details(entry: Entry, measures: Measures) -> str:
    """Return the details of an entry in a line."""
    words = [
        _told(entry.details[key], key, measures) or f"{before}{_plain(entry.details[key])}{after}"
        for key, (before, after) in DETAIL_WORDS.items()
        if entry.details.get(key) not in (None, "")
    ]
    if entry.kind is EntryKind.DRYNESS_CHECK:
        words.append("reached" if entry.details.get("reached") else "not yet")
    return tidy(", ".join(words))


def _told(value: object, key: str, measures: Measures) -> str:
    """Return a measured value in other units than those it is kept in; empty for the rest."""
    if measures.metric or not isinstance(value, int | float):
        return ""
    if key == "temperature_c":
        return measures.temperature(value)
    return measures.volume(value) if key == "amount_l" else ""


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def entry_lines(view: View, entry: Entry | None, width: int) -> tuple[Line, ...]:
    """Return one entry in full, for the panel beside the list."""
    if entry is None:
        return ()
    lines: list[Line] = [line((entry.kind.value, Role.HEADING))]
    lines += wrap(about(entry, view.entries), width, Role.STRONG)
    lines.append(line(("happened  ", Role.QUIET), moment(entry.at, view.zone, view.now)))
    lines.append(line(("written   ", Role.QUIET), moment(entry.recorded_at, view.zone, view.now)))
    if entry.by:
        lines.append(line(("by        ", Role.QUIET), tidy(entry.by, 40)))
    for key, word in INSTANT_WORDS.items():
        if key in entry.details:
            told = entry.details[key]
            at = dt.datetime.fromisoformat(told) if isinstance(told, str) else None
            when = moment(at, view.zone, view.now) if at else "withdrawn"
            lines.append(line((f"{word:<10}", Role.QUIET), when))
    words = details(entry, view.measures)
    if words:
        lines += wrap(words, width)
    return tuple(lines)


def first_moved(moved: tuple[str, ...]) -> tuple[str, ...]:
    """Return the first sentences on what moved, without what lies behind the reasons."""
    told = [tidy(one.split(". ")[0], 120) for one in moved[:MOST_MOVED]]
    more = len(moved) - len(told)
    words = counted(more, "more change")
    return (*told, f"and {words}") if more > 0 else tuple(told)
