"""The dated plan as plain text: a header, then day by day what to do and why not sooner."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.cli import show
from finplan.cli.output import ALWAYS_SAID, TIED, heading, page_width, paragraph, say, shorten, tied
from finplan.planning.plan import days_to_spare, spare_said
from finplan.services.outlook import outlook
from finplan.trade.names import counted
from finplan.trade.quantities import Units, format_area, format_volume
from finplan.trade.steps import WAITING_KINDS, of_loads

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned

_INDENT = " " * 15


@dataclass(frozen=True, slots=True)
class _Row:
    """One stretch of work on one step; a split step has several (``piece`` from 1)."""

    start: dt.datetime
    end: dt.datetime
    step: PlannedStep
    piece: int


@dataclass(frozen=True)
class _Page:
    """What the lines of a plan are made from; ``told``: cautions printed in full already."""

    planned: Planned
    units: Units
    litres: dict[str, float]
    told: set[str]


def print_plan(planned: Planned, project: str, units: Units, *, with_done: bool = False) -> None:
    """Print a project's plan: header, days, cautions at their steps."""
    from finplan.services.litres import litres_by_step

    _print_header(planned, project)
    steps = planned.steps_of(project)
    if not with_done:
        _print_done(steps, planned.zone)
    page = _Page(planned, units, litres_by_step(planned), set())
    rows = _rows(step for step in steps if with_done or not step.done)
    for day, of_day in groupby(rows, key=lambda row: row.start.astimezone(planned.zone).date()):
        say()
        heading(show.day(day))
        for row in of_day:
            _print_row(page, row)


def print_closing(planned: Planned) -> None:
    """Print what ends all plans of a workshop: their warnings, and the closing line."""
    if planned.plan.warnings:
        say()
        heading("Warnings")
        for warning in planned.plan.warnings:
            paragraph(warning, "    ", "  ! ")
    say()
    paragraph(planned.closing_line)


def print_short_plan(planned: Planned, project: str, *, with_done: bool = False) -> None:
    """Print a project's plan with one line a step: time, title, batch and load."""
    ready = planned.ready_of(project)
    when = f", ready {show.moment(ready.safe, planned.zone)} (safe)" if ready else ""
    heading(f"{project}{when}")
    width = page_width()
    rows = _rows(s for s in planned.steps_of(project) if with_done or not s.done)
    for day, of_day in groupby(rows, key=lambda row: row.start.astimezone(planned.zone).date()):
        heading(show.day(day))
        for row in of_day:
            step = row.step
            load = f" {step.load}/{step.loads}" if step.loads > 1 else ""
            done = "done: " if step.done else ""
            lead = f"  {show.clock(row.start, planned.zone)}  "
            place = f"  {step.batch}{load}"
            title = shorten(f"{done}{step.title}", max(20, width - len(lead) - len(place)))
            say(f"{lead}{title}{place}")


def _rows(steps: Iterable[PlannedStep]) -> list[_Row]:
    rows = [
        _Row(start, end, step, number)
        for step in steps
        for number, (start, end) in enumerate(step.pieces or ((step.start, step.end),), 1)
    ]
    return sorted(rows, key=lambda row: (row.start, row.end, row.step.id))


def _print_header(planned: Planned, project: str) -> None:
    made = planned.projects[project]
    heading(f"{made.title} ({made.name})")
    if made.invented:
        say("  invented sample data")
    zone = planned.zone
    say(f"  now     {show.moment(planned.plan.now, zone)}, times in {zone.key}")
    ready = planned.ready_of(project)
    if ready is not None and all(step.done for step in planned.steps_of(project)):
        say(f"  finished {show.moment(ready.safe, zone)}")
        return
    if ready is not None:
        say(f"  ready   {show.moment(ready.safe, zone)} safe")
        say(f"          {show.moment(ready.likely, zone)} likely")
        if ready.in_service_by is not None:
            spare = days_to_spare(ready.safe, ready.in_service_by, zone)
            words = f"{spare_said(spare)} on safe times"
            say(f"  wanted  {show.day(ready.in_service_by)}: {words}")
            if spare < 0 <= days_to_spare(planned.plan.now, ready.in_service_by, zone):
                words = f"what would meet it: finplan plan {project} --ready-by"
                paragraph(f"{words} {ready.in_service_by.isoformat()}", " " * 10)
    good = outlook(planned, project)
    hint = f" Look longer: finplan plan {project} --seconds 20" if good.gap else ""
    if good.words:
        paragraph(f"{good.words}{hint}", "          ", "  sooner  ")
    _print_changed(planned, project)


def _print_changed(planned: Planned, project: str) -> None:
    before = planned.request.before
    moved = [one for one in planned.changes if one.project == project and one.step]
    if before is not None and moved:
        steps = f"{counted(len(moved), 'step')} moved"
        since = show.moment(before.at, planned.zone)
        words = f"{steps} since {since}: finplan plan {project} --changes"
        paragraph(words, "          ", "  changed ")


def _print_done(steps: tuple[PlannedStep, ...], zone: ZoneInfo) -> None:
    done = [step for step in steps if step.done]
    if done:
        last = max(done, key=lambda step: step.end)
        words = f"{len(done)} of {counted(len(steps), 'step')}, the last "
        paragraph(
            f"{words}{last.title} ({last.batch}), {show.moment(last.end, zone)}",
            "          ",
            "  done    ",
        )


def _print_row(page: _Page, row: _Row) -> None:
    zone, step = page.planned.zone, row.step
    lead = f"  {show.span(row.start, row.end, zone):<11}  "
    if len(lead) > len(_INDENT):
        say(lead.rstrip())
        lead = _INDENT
    if row.piece > 1:
        paragraph(f"{step.title}, part {row.piece} of {len(step.pieces)}", _INDENT, lead)
        return
    paragraph(_what(page, row), _INDENT, lead)
    if step.done:
        return
    if step.reason:
        paragraph(step.reason, f"{_INDENT}  ", f"{_INDENT}why: ")
    if step.window_closes is not None:
        closes = show.moment(step.window_closes, zone)
        paragraph(f"next coat without scuffing: until {closes}", f"{_INDENT}  ", _INDENT)
    _print_cautions(page, step)


def _print_cautions(page: _Page, step: PlannedStep) -> None:
    """In full the first time, then by name, so that the page stays readable."""
    again: list[str] = []
    for caution in page.planned.cautions_at(step):
        if caution.key == ALWAYS_SAID:
            continue
        if caution.key in page.told:
            again.append(caution.key.replace("-", " "))
        else:
            page.told.add(caution.key)
            paragraph(caution.text, f"{_INDENT}  ", f"{_INDENT}! ")
    if again:
        paragraph(f"mind again: {', '.join(again)}", f"{_INDENT}  ", f"{_INDENT}! ")


def _what(page: _Page, row: _Row) -> str:
    step = row.step
    load = of_loads(step.load, step.loads)
    parts = [f"{'done: ' if step.done else ''}{step.title}", f"{step.batch}{load}"]
    if step.kind not in WAITING_KINDS:
        parts.append(show.duration(step.minutes))
        if step.area_m2 > 0:
            parts.append(format_area(step.area_m2, page.units))
        if step.id in page.litres:
            parts.append(f"about {format_volume(page.litres[step.id], page.units)}")
        if len(page.planned.workshop.people) > 1 and step.person:
            parts.append(step.person)
    if len(step.pieces) > 1:
        parts.append(f"part 1 of {len(step.pieces)}")
    return f" ·{TIED}".join(tied(part) for part in parts)
