"""The library of finishes: a table, and every number of one with its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.trade.finishes import Finish, Stage
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, line, spread, tidy, wrap
from finplan.tui.models.table import Cell, Column, Row, Table

if TYPE_CHECKING:
    from finplan.services.finishes import Fact
    from finplan.trade.numbers import Span

COLUMNS = (
    Column("finish", 18, grow=1),
    Column("dries by", 12),
    Column("coats", 5, drop=3),
    Column("recoat safe", 11, right=True, drop=1),
    Column("from", 6, right=True, drop=2),
    Column("own", 3, drop=4),
)


def finish_table(finishes: tuple[Finish, ...], measures: Measures) -> Table:
    """Return the finishes, one a row."""
    rows = tuple(
        Row(
            finish.name,
            (
                Cell(finish.title, Role.STRONG),
                Cell(finish.chemistry.value),
                Cell(_range(finish.coats)),
                Cell(_recoat(finish)),
                Cell(measures.limit(finish.coldest_c.value)),
                Cell("own" if finish.own else "", Role.GOOD),
            ),
        )
        for finish in finishes
    )
    if any(finish.own for finish in finishes):
        return Table(COLUMNS, rows, empty="The library is empty.")
    without_own = tuple(Row(row.key, row.cells[:-1]) for row in rows)
    return Table(COLUMNS[:-1], without_own, empty="The library is empty.")


def _range(span: Span) -> str:
    return f"{span.low:g}" if span.low == span.high else f"{span.low:g}–{span.high:g}"


def _recoat(finish: Finish) -> str:
    span = finish.stages.get(Stage.DRY_TO_RECOAT)
    return f"{span.high:g} h" if span else ""


def finish_lines(
    finish: Finish | None,
    facts: tuple[Fact, ...],
    learned: tuple[str, ...],
    cautions: tuple[str, ...],
    width: int,
    measures: Measures,
) -> tuple[Line, ...]:
    """Return one finish in full: what was learned, every number and its source, what to mind."""
    if finish is None:
        return ()
    lines: list[Line] = [*wrap(tidy(finish.title), width, Role.HEADING)]
    lines += wrap(tidy(finish.about), width)
    for words in learned:
        lines += wrap(f"✓ {tidy(words)}", width, Role.GOOD)
    air = f"At {measures.limit(23)} and 50 % humidity; the upper end is the safe time."
    lines += [(), *wrap(air, width, Role.QUIET)]
    for fact in facts:
        lines.append(spread(line(fact.name), line((fact.value, Role.STRONG)), width))
        lines += wrap(tidy(fact.source), width, Role.QUIET, indent="  ")
    if finish.notes:
        lines.append(())
        for about, words in finish.notes.items():
            lines += wrap(tidy(f"{about}: {words}"), width)
    if cautions:
        lines.append(())
        for words in cautions:
            lines += wrap(f"▲ {tidy(words)}", width, Role.WATCH)
    return tuple(lines)
