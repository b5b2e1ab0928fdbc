"""A project: its parts in rows, and what is said about it."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from finplan.planning.plan import Method, days_to_spare
from finplan.trade.names import counted
from finplan.trade.parts import Part
from finplan.trade.project import Project
from finplan.tui.models.litres import litres_lines
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Line, Role, line, tidy, wrap
from finplan.tui.models.table import Cell, Column, LaterRows, Row, Table
from finplan.tui.models.times import date, local, minutes, moment
from finplan.tui.models.view import View

PART_COLUMNS = (
    Column("part", 8, grow=2),
    Column("pcs", 3, right=True),
    Column("length", 6, right=True),
    Column("width", 5, right=True),
    Column("thick", 5, right=True),
    Column("wood", 8, grow=1, drop=2),
    Column("holes", 5, drop=3),
    Column("batch", 6, drop=1),
)


def part_table(project: Project | None, measures: Measures) -> Table:
    """Return the parts with their sizes, bare of the unit."""
    if project is None:
        return Table(PART_COLUMNS, (), empty="No project yet.")
    size = measures.bare_length
    batch_of = {name: batch.name for batch in project.batches for name in batch.parts}

    def row(part: Part) -> Row:
        return Row(
            part.name,
            (
                Cell(part.name, Role.STRONG),
                Cell(str(part.quantity)),
                Cell(size(part.length_mm)),
                Cell(size(part.width_mm)),
                Cell(size(part.thickness_mm)),
                Cell(part.wood),
                Cell(str(sum(hole.count for hole in part.holes)) if part.holes else ""),
                Cell(batch_of.get(part.name, "none"), Role.QUIET),
            ),
        )

    rows = LaterRows(project.parts, row, (measures, batch_of))
    return Table(PART_COLUMNS, rows, empty="No parts yet. i takes them from a cut list.")


def project_table(view: View) -> Table:
    """Return the projects, each with its state and the day it is ready."""
    columns = (
        Column("project", 10, grow=2),
        Column("state", 8),
        Column("steps", 5, right=True, drop=2),
        Column("ready (safe)", 10),
        Column("wanted", 10, drop=1),
    )
    summaries = {s.name: s for s in view.overview.projects} if view.overview else {}
    rows = []
    this_year, zone = local(view.now, view.zone).year, ZoneInfo(view.zone)
    for project in view.projects:
        summary = summaries.get(project.name)
        ready = summary.ready if summary else None
        there = local(ready, view.zone).date() if ready else None
        wanted = project.in_service_by
        late = bool(ready and wanted and days_to_spare(ready, wanted, zone) < 0)
        ready_words = ("! " if late else "") + (date(there, this_year) if there else "")
        rows.append(
            Row(
                project.name,
                (
                    Cell(project.title, Role.STRONG),
                    Cell(summary.state if summary else ""),
                    Cell(f"{summary.done_steps}/{summary.total_steps}" if summary else ""),
                    Cell(ready_words, Role.BAD if late else Role.PLAIN),
                    Cell(date(wanted, this_year) if wanted else "no date", Role.QUIET),
                ),
            )
        )
    return Table(columns, tuple(rows), empty="No project yet.")


def project_words(view: View, project: Project | None, width: int) -> tuple[Line, ...]:
    """Return a project's own words, its batches and its loads."""
    if project is None:
        return ()
    lines: list[Line] = [*wrap(tidy(project.title), width, Role.HEADING)]
    if project.invented:
        lines.append(line(("An invented sample.", Role.QUIET)))
    for batch in project.batches:
        own = [s for s in view.steps if s.project == project.name and s.batch == batch.name]
        loads = max((s.loads for s in own), default=0)
        work = minutes(sum(s.minutes for s in own if not s.done))
        kinds = counted(len(batch.parts), "kind of part", "kinds of part")
        text = f"{batch.name}: {kinds}, {counted(loads, 'load')} in {batch.space}"
        lines += wrap(tidy(text), width)
        lines.append(line((f"  {work} of work left", Role.QUIET)))
    lines += [(), *plan_words(view, width), (), *material_lines(view, project, width)]
    if project.notes:
        lines += [(), *wrap(tidy(project.notes), width, Role.QUIET)]
    return tuple(lines)


def material_lines(view: View, project: Project, width: int) -> tuple[Line, ...]:
    """Return how much to buy, cans and cost of each finish the project takes."""
    need, measures = view.materials.get(project.name), view.measures
    if need is None or not need.finishes:
        return ()
    lines: list[Line] = [
        line(("To buy", Role.HEADING), (f"  for {measures.area(need.area_m2)}", Role.QUIET))
    ]
    for one in need.finishes:
        cans = " + ".join(
            f"{count} × {measures.can(size)}" for size, count in one.cans.items() if count
        )
        cost = f" · {one.cost:.0f}" if one.cost is not None else ""
        bought = measures.volume(one.litres_to_buy) + (f" ({cans}{cost})" if cans else "")
        used = measures.volume(one.used_l)
        lines += wrap(f"{tidy(one.finish.title, 60)}: {bought}, used {used}", width)
        lines += litres_lines(one, measures, width)
    return tuple(lines)


def plan_words(view: View, width: int) -> tuple[Line, ...]:
    """Return how good the plan is known to be, of all projects planned together."""
    if view.planned is None:
        return ()
    plan = view.planned.plan
    if plan.bound is None:
        return ()
    all_ready = "have all projects ready" if len(view.projects) > 1 else "be ready"
    why = f": {plan.bound_said}" if plan.bound_said else ""
    if plan.method is Method.OPTIMAL or plan.gap == 0:
        return wrap(f"✓ No plan can {all_ready} sooner{why}.", width, Role.GOOD)
    day = moment(plan.bound, view.zone, view.now)
    late = f" This one is {plan.gap:.0%} over that; t looks for a better one." if plan.gap else ""
    return wrap(f"No plan can {all_ready} before {day}{why}.{late}", width, Role.QUIET)
