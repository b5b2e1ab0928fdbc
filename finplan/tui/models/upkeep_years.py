"""The years of upkeep as a chart: what falls into which month, visits, downtime, litres, cost."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.pieces import Work
from finplan.tracking.upkeep.totals import YearTotals
from finplan.trade.moments import MONTHS
from finplan.tui.models.cared import Care, Month
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, Run, cut, fill, line, tidy
from finplan.tui.models.times import date, local
from finplan.tui.models.upkeep import WORKS
from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.tracking.upkeep.years import Visit

DONE_MARK = ("✓", Role.GOOD)
WIDE_MONTHS = 96
"""From this width on a month shows how often as well."""

FULL, COMING = "━", "╍"
LEAST_BAR = 8
FIGURES = ("visits", "days out", "finish", "cost")


def year_lines(view: View, care: Care | None, width: int, height: int) -> tuple[Line, ...]:
    """Return the chart of the years, and below it the dated visits as far as they fit.

    Years past show first, but only where all of the years to come fit too.
    """
    if care is None:
        return (line(("The years to come show here once a piece is installed.", Role.QUIET)),)
    today, measures = local(view.now, view.zone).date(), view.measures
    rows = care.totals
    past = [row for row in rows if row.year < today.year]
    coming = [row for row in rows if row.year >= today.year]
    room = max(height - 1 - len(coming), 0)
    shown = [*past[len(past) - min(len(past), room) :], *coming]
    most = max(sum(_litres(row)) for row in shown)
    lines = [_head(today, width)]
    lines += [_year_line(care, row, (today, most), measures, width) for row in shown]
    if len(lines) > height > 0:
        left = len(lines) - height + 1
        lines[height - 1 :] = [line((f"… {left} more years (v shows all)", Role.QUIET))]
    left_over = height - len(lines)
    if left_over >= 3:
        lines += [(), *visit_lines(view, care, width, left_over - 1)]
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


def _mark(care: Care, month: Month) -> tuple[str, Role, int]:
    """Return what is to come in a month, or else what was done: symbol, role, how often."""
    if month in care.coming:
        work, count = care.coming[month]
        symbol, _, role = WORKS[work]
        return symbol, role, count
    done = care.done.get(month, 0)
    return (*DONE_MARK, done) if done else ("·", Role.REST, 1)


def _year_line(
    care: Care,
    row: YearTotals,
    scale: tuple[dt.date, float],
    measures: Measures,
    width: int,
) -> Line:
    cell, (today, most) = _cell(width), scale
    here, past = row.year == today.year, row.year < today.year
    runs = [Run(f"{row.year}  ", Role.NOW if here else Role.QUIET if past else Role.STRONG)]
    for month in range(1, 13):
        symbol, role, count = _mark(care, (row.year, month))
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


def visit_lines(view: View, care: Care, width: int, height: int) -> tuple[Line, ...]:
    """Return the dated visits to come, one piece a line, those beyond the room counted."""
    if not care.visits:
        return ()
    this_year = local(view.now, view.zone).year
    titles = {seen.piece.name: seen.piece.title for seen in care.pieces}
    count = len(care.visits)
    shown = care.visits if count < height else care.visits[: max(height - 2, 0)]
    trips = "1 trip is" if care.saved == 1 else f"{care.saved} trips are"
    moved = f"  ↟ moved there: {trips} saved" if care.saved else ""
    lines = [line(("Visits", Role.HEADING), (moved, Role.QUIET))]
    before = None
    for visit in shown:
        dated = date(visit.on, this_year) if visit.on != before else ""
        before = visit.on
        title = titles.get(visit.piece, visit.piece)
        lines.append(_visit_line(visit, dated, title, view.measures, width))
    if len(shown) < count:
        lines.append(line((f"… {count - len(shown)} more visits (v shows all)", Role.QUIET)))
    return tuple(cut(one, width) for one in lines)


def _visit_line(visit: Visit, dated: str, title: str, measures: Measures, width: int) -> Line:
    symbol, word, role = WORKS[visit.work]
    name_width, place_width = (28, 20) if width >= WIDE_MONTHS else (18, 11)
    takes = ""
    if visit.work is Work.RENEWAL:
        cost = f" {visit.effort.cost:.2f}" if visit.effort.cost is not None else ""
        litres = measures.volume(visit.effort.litres)
        takes = f"{visit.effort.out_hours / 24:.1f} d out {litres}{cost}"
    return line(
        (fill(dated, 17), Role.STRONG),
        (f"{symbol} {word:<6} ", role),
        (fill(tidy(title), name_width), Role.STRONG),
        (f" {fill(tidy(visit.place), place_width)} ", Role.PLAIN),
        (takes, Role.QUIET),
        (" ↟" if visit.bundled else "", Role.QUIET),
    )
