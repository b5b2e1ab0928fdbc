"""The years of upkeep as a chart: what falls into which month, visits, downtime, litres, cost."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from finplan.tracking.upkeep.cycle import Work
from finplan.tracking.upkeep.pieces import UpkeepEntry, standing
from finplan.trade.moments import MONTHS
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, Run, cut, fill, line, tidy
from finplan.tui.models.times import date, local
from finplan.tui.models.upkeep import WORKS
from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.services.upkeep import YearsAhead
    from finplan.tracking.upkeep.years import Visit

DONE_MARK = ("✓", Role.GOOD)
WIDE_MONTHS = 96
"""From this width on a month shows how often as well."""

FULL, COMING = "━", "╍"
LEAST_BAR = 8
FIGURES = ("visits", "days out", "finish", "cost")


@dataclass
class YearRow:
    """A year: marks by month (symbol, role, how often), what was used and what is to come.

    ``cost`` is None where some price is not known.
    """

    year: int
    months: dict[int, tuple[str, Role, int]] = field(default_factory=dict)
    visits: int = 0
    out_hours: float = 0.0
    used_l: float = 0.0
    coming_l: float = 0.0
    cost: float | None = 0.0


def year_rows(view: View, care: YearsAhead, years: int) -> tuple[YearRow, ...]:
    """Return the years that have a log entry, this one and the next ``years``, in order."""
    today = local(view.now, view.zone).date()
    rows: dict[int, YearRow] = {}
    done = [
        (local(entry.at, seen.piece.zone).date(), entry)
        for seen in care.pieces
        for entry in standing(seen.entries)
    ]
    first = min([today.year, *(there.year for there, _ in done)])
    for year in range(first, today.year + years + 1):
        rows[year] = YearRow(year)
    for there, entry in done:
        _add_done(rows[there.year], there.month, entry)
    by_month: dict[tuple[int, int], list[Visit]] = defaultdict(list)
    for visit in care.visits:
        by_month[visit.on.year, visit.on.month].append(visit)
    for (year, month), some in by_month.items():
        if year in rows:
            _add_coming(rows[year], month, some)
    return tuple(rows[year] for year in sorted(rows))


def _add_done(row: YearRow, month: int, entry: UpkeepEntry) -> None:
    count = row.months[month][2] if month in row.months else 0
    row.months[month] = (*DONE_MARK, count + 1)
    row.used_l += entry.litres or 0.0
    row.cost = (row.cost or 0.0) + (entry.cost or 0.0)


def _add_coming(row: YearRow, month: int, some: Sequence[Visit]) -> None:
    works = {visit.work for visit in some}
    strongest = next(work for work in WORKS if work in works)
    symbol, _, role = WORKS[strongest]
    row.months[month] = (symbol, role, sum(visit.work is strongest for visit in some))
    row.visits += len({(visit.on, visit.place) for visit in some})
    row.out_hours += sum(visit.effort.out_hours for visit in some)
    row.coming_l += sum(visit.effort.litres for visit in some)
    costs = [visit.effort.cost for visit in some]
    known = [cost for cost in costs if cost is not None]
    unknown = row.cost is None or len(known) < len(costs)
    row.cost = None if unknown or row.cost is None else row.cost + sum(known)


def year_lines(
    view: View, care: YearsAhead | None, years: int, width: int, height: int
) -> tuple[Line, ...]:
    """Return the chart of the years, and below it the dated visits as far as they fit.

    Years past show first, but only where all of the years to come fit too.
    """
    if care is None:
        return (line(("The years to come show here once a piece is installed.", Role.QUIET)),)
    today, measures = local(view.now, view.zone).date(), view.measures
    rows = year_rows(view, care, years)
    past = [row for row in rows if row.year < today.year]
    coming = [row for row in rows if row.year >= today.year]
    room = max(height - 1 - len(coming), 0)
    shown = [*past[len(past) - min(len(past), room) :], *coming]
    most = max((row.used_l + row.coming_l for row in shown), default=0.0)
    lines = [_head(today, width)]
    lines += [_year_line(row, today, most, measures, width) for row in shown]
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


def _year_line(row: YearRow, today: dt.date, most: float, measures: Measures, width: int) -> Line:
    cell = _cell(width)
    here, past = row.year == today.year, row.year < today.year
    runs = [Run(f"{row.year}  ", Role.NOW if here else Role.QUIET if past else Role.STRONG)]
    for month in range(1, 13):
        symbol, role, count = row.months.get(month, ("·", Role.REST, 1))
        more = "" if count < 2 or cell < 3 else str(count) if count < 10 else "+"
        runs.append(Run(fill(symbol + more, cell), role))
    litres = row.used_l + row.coming_l
    words = (
        str(row.visits) if row.visits else "",
        f"{row.out_hours / 24:.1f}" if row.out_hours else "",
        measures.volume(litres) if litres else "",
        "not known" if row.cost is None else f"{row.cost:.2f}" if row.cost else "",
    )
    runs += [
        Run(fill(word, wide, right=True))
        for word, wide in zip(words, _figure_widths(), strict=True)
    ]
    room = _bar_room(width)
    if room >= LEAST_BAR and most:
        used, to_come = round(row.used_l / most * room), round(row.coming_l / most * room)
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
