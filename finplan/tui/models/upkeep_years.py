"""The years of upkeep as a chart: what falls into which month, visits, downtime, litres, cost."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.cycle import Work
from finplan.tracking.upkeep.pieces import standing
from finplan.tracking.upkeep.totals import YearTotals, year_totals
from finplan.trade.moments import MONTHS
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, Run, cut, fill, line, tidy
from finplan.tui.models.times import date, local
from finplan.tui.models.upkeep import WORKS
from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.services.upkeep import YearsAhead

DONE_MARK = ("✓", Role.GOOD)
WIDE_MONTHS = 96
"""From this width on a month shows how often as well."""

FULL, COMING = "━", "╍"
LEAST_BAR = 8
FIGURES = ("visits", "days out", "finish", "cost")


Mark = tuple[str, Role, int]
"""Symbol, role, and how often it stands for something."""


def totals_of(view: View, care: YearsAhead, years: int) -> tuple[YearTotals, ...]:
    """Return the years that have a log entry, this one and the next ``years``, in order."""
    told = [(seen.piece, seen.entries) for seen in care.pieces]
    return year_totals(told, care.visits, local(view.now, view.zone).year, years)


def month_marks(care: YearsAhead) -> dict[tuple[int, int], Mark]:
    """Return the mark of each year and month: what is to come, or else what was done."""
    done = Counter(
        (there.year, there.month)
        for seen in care.pieces
        for entry in standing(seen.entries)
        for there in [local(entry.at, seen.piece.zone)]
    )
    marks: dict[tuple[int, int], Mark] = {key: (*DONE_MARK, count) for key, count in done.items()}
    coming: dict[tuple[int, int], list[Work]] = defaultdict(list)
    for visit in care.visits:
        coming[visit.on.year, visit.on.month].append(visit.work)
    for key, works in coming.items():
        strongest = next(work for work in WORKS if work in works)
        symbol, _, role = WORKS[strongest]
        marks[key] = (symbol, role, works.count(strongest))
    return marks


def year_lines(
    view: View, care: YearsAhead | None, years: int, width: int, height: int
) -> tuple[Line, ...]:
    """Return the chart of the years, and below it the dated visits as far as they fit.

    Years past show first, but only where all of the years to come fit too.
    """
    if care is None:
        return (line(("The years to come show here once a piece is installed.", Role.QUIET)),)
    today, measures = local(view.now, view.zone).date(), view.measures
    rows, marks = totals_of(view, care, years), month_marks(care)
    past = [row for row in rows if row.year < today.year]
    coming = [row for row in rows if row.year >= today.year]
    room = max(height - 1 - len(coming), 0)
    shown = [*past[len(past) - min(len(past), room) :], *coming]
    most = max(sum(_litres(row)) for row in shown)
    lines = [_head(today, width)]
    lines += [_year_line(row, marks, (today, most), measures, width) for row in shown]
    if len(lines) > height > 0:
        left = len(lines) - height + 1
        lines[height - 1 :] = [line((f"… {left} more years (v shows all)", Role.QUIET))]
    left_over = height - len(lines)
    if left_over >= 3:
        last = today.year + years
        lines += [(), *visit_lines(view, care, last, width, left_over - 1)]
    return tuple(cut(one, width) for one in lines)


def _cell(width: int) -> int:
    return 3 if width >= WIDE_MONTHS else 2


def _head(today: dt.date, width: int) -> Line:
    cell = _cell(width)
    runs = [Run("year  ", Role.QUIET)]
    for number, month in enumerate(MONTHS, 1):
        here = number == today.month
        runs.append(Run(fill(month[:1], cell), Role.NOW if here else Role.QUIET))
    words = "".join(
        fill(word, wide, right=True) for word, wide in zip(FIGURES, _figure_widths(), strict=True)
    )
    runs.append(Run(words, Role.QUIET))
    if _bar_room(width) >= LEAST_BAR:
        told = f"{FULL} used {COMING} to come"
        if len(told) <= _bar_room(width):
            runs.append(Run(f"  {told}", Role.QUIET))
    return tuple(runs)


def _figure_widths() -> tuple[int, ...]:
    return (8, 10, 12, 10)


def _bar_room(width: int) -> int:
    return width - 6 - 12 * _cell(width) - sum(_figure_widths()) - 2


def _litres(row: YearTotals) -> tuple[float, float]:
    """Return what was used up in a year, and what is to come."""
    return sum(row.used_l.values()), sum(row.coming_l.values())


def _year_line(
    row: YearTotals,
    marks: dict[tuple[int, int], Mark],
    scale: tuple[dt.date, float],
    measures: Measures,
    width: int,
) -> Line:
    cell, (today, most) = _cell(width), scale
    here, past = row.year == today.year, row.year < today.year
    runs = [Run(f"{row.year}  ", Role.NOW if here else Role.QUIET if past else Role.STRONG)]
    for month in range(1, 13):
        symbol, role, count = marks.get((row.year, month), ("·", Role.REST, 1))
        more = "" if count < 2 or cell < 3 else str(count) if count < 10 else "+"
        runs.append(Run(fill(symbol + more, cell), role))
    used_l, coming_l = _litres(row)
    words = (
        str(row.visits) if row.visits else "",
        f"{row.out_hours / 24:.1f}" if row.out_hours else "",
        measures.volume(used_l + coming_l) if used_l + coming_l else "",
        "not known" if row.cost is None else f"{row.cost:.2f}" if row.cost else "",
    )
    runs += [
        Run(fill(word, wide, right=True))
        for word, wide in zip(words, _figure_widths(), strict=True)
    ]
    room = _bar_room(width)
    if room >= LEAST_BAR and most:
        used, to_come = round(used_l / most * room), round(coming_l / most * room)
        runs += [
            Run("  "),
            Run(FULL * used, Role.GOOD),
            Run(COMING * min(to_come, room - used), Role.WET),
        ]
    return tuple(runs)


def visit_lines(
    view: View, care: YearsAhead, last_year: int, width: int, height: int
) -> tuple[Line, ...]:
    """Return the dated visits to come, one piece a line, those beyond the room counted."""
    today, measures = local(view.now, view.zone).date(), view.measures
    titles = {seen.piece.name: seen.piece.title for seen in care.pieces}
    due = [visit for visit in care.visits if visit.on.year <= last_year]
    if not due:
        return ()
    lines = [line(("Visits", Role.HEADING), ("  ↟ moved there to save a trip", Role.QUIET))]
    name_width, place_width = (28, 20) if width >= WIDE_MONTHS else (18, 11)
    before = None
    for visit in due:
        symbol, word, role = WORKS[visit.work]
        when = date(visit.on, today.year)
        dated = when if when != before else ""
        before = when
        takes = ""
        if visit.work is Work.RENEWAL:
            cost = f" {visit.effort.cost:.2f}" if visit.effort.cost is not None else ""
            takes = (
                f"{visit.effort.out_hours / 24:.1f} d out "
                f"{measures.volume(visit.effort.litres)}{cost}"
            )
        lines.append(
            line(
                (fill(dated, 17), Role.STRONG),
                (f"{symbol} {word:<6} ", role),
                (fill(tidy(titles.get(visit.piece, visit.piece)), name_width), Role.STRONG),
                (f" {fill(tidy(visit.place), place_width)} ", Role.PLAIN),
                (takes, Role.QUIET),
                (" ↟" if visit.bundled else "", Role.QUIET),
            )
        )
    if len(lines) > height:
        left = len(lines) - height + 1
        lines[height - 1 :] = [line((f"… {left} more visits (v shows all)", Role.QUIET))]
    return tuple(cut(one, width) for one in lines)
