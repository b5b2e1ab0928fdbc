"""What was found and done on a piece, in rows and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.tracking.upkeep.pieces import (
    Finding,
    UpkeepEntry,
    UpkeepKind,
    set_aside,
    standing,
)
from finplan.trade.moments import say_date
from finplan.tui.models.cared import Care
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, tidy
from finplan.tui.models.table import Cell, Column, Row, Table
from finplan.tui.models.times import local
from finplan.tui.models.upkeep import month_year

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen

KINDS: dict[UpkeepKind, tuple[str, Role]] = {
    UpkeepKind.INSPECTED: ("◇", Role.PLAIN),
    UpkeepKind.CLEANED: ("∿", Role.WORK),
    UpkeepKind.RENEWED: ("●", Role.WET),
    UpkeepKind.REFINISHED: ("◉", Role.WET),
    UpkeepKind.GONE: ("✕", Role.WATCH),
    UpkeepKind.UNDONE: ("↶", Role.WATCH),
}

DROPS: dict[Finding, str] = {
    Finding.BEADS: "water beads",
    Finding.SLOW: "water goes in slowly",
    Finding.SOAKS_IN: "water soaks in",
}
"""What the test with drops of water shows, in words."""

HISTORY_COLUMNS = (
    Column("when", 11),
    Column("entry", 11),
    Column("found, used", 8, grow=3),
    Column("by", 5, grow=1, drop=1),
)


def history_table(seen: PieceSeen | None, measures: Measures) -> Table:
    """Return a piece's log, the last thing done first; the row's key is the entry's uid."""
    if seen is None:
        return Table(HISTORY_COLUMNS, (), empty="")
    aside = set_aside(seen.entries)
    told = [entry for entry in seen.entries if entry.kind is not UpkeepKind.UNDONE]
    rows = []
    for entry in sorted(told, key=lambda one: (one.at, one.recorded_at), reverse=True):
        counts = entry.uid not in aside
        symbol, role = KINDS[entry.kind]
        there = local(entry.at, seen.piece.zone).date()
        quiet = Role.PLAIN if counts else Role.QUIET
        rows.append(
            Row(
                str(entry.uid),
                (
                    Cell(f"{there.day:2d} {month_year(there)}", quiet),
                    Cell(
                        f"{symbol} {entry.kind.value}{'' if counts else f' ({aside[entry.uid]})'}",
                        role if counts else Role.QUIET,
                    ),
                    Cell(entry_words(entry, measures), quiet),
                    Cell(entry.by, Role.QUIET),
                ),
            )
        )
    return Table(HISTORY_COLUMNS, tuple(rows), empty="Nothing recorded yet: c records a look.")


def entry_words(entry: UpkeepEntry, measures: Measures) -> str:
    """Return what an entry found, used up and noted, in a line."""
    words = [DROPS.get(finding, finding.value) for finding in entry.findings]
    if entry.litres is not None:
        words.append(measures.volume(entry.litres))
    if entry.cost is not None:
        words.append(f"cost {entry.cost:.2f}")
    words += [part for part in (entry.note, *entry.photos) if part]
    return tidy(", ".join(words))


def told_of(entry: UpkeepEntry, seen: PieceSeen | None) -> str:
    """Return an entry in words, to say what was undone: ``inspected on 3 May, Steps``."""
    title = seen.piece.title if seen else entry.piece
    zone = seen.piece.zone if seen else "UTC"
    found = ", ".join(DROPS.get(finding, finding.value) for finding in entry.findings)
    kind = f"{entry.kind.value} ({found})" if found else entry.kind.value
    return tidy(f"{kind}, {say_date(local(entry.at, zone).date())}, {title}")


def last_told(care: Care | None) -> UpkeepEntry | None:
    """Return the entry written last that counts, over all pieces."""
    entries = [e for seen in care.every for e in standing(seen.entries)] if care else []
    return max(entries, key=lambda entry: entry.recorded_at, default=None)


def last_written_piece(care: Care | None) -> str:
    """Return the piece whose log was written to last, '' where no log has an entry."""
    written = [
        (entry.recorded_at, seen.piece.name)
        for seen in (care.every if care else ())
        for entry in seen.entries
    ]
    return max(written, default=(None, ""))[1]
