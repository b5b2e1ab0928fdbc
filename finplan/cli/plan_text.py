"""The dated plan as plain text: a header, then day by day what to do and why not sooner."""

from __future__ import annotations

import datetime as dt
from itertools import groupby
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.cli import show
from finplan.cli.output import heading, paragraph, say
from finplan.trade.quantities import Units, format_area
from finplan.trade.steps import WAITING_KINDS

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep, ProjectReady
    from finplan.services.planned import Planned

_INDENT = " " * 15


def print_plan(planned: Planned, project: str, units: Units, *, with_done: bool = False) -> None:
    """Print a project's plan: header, days, cautions at their steps, warnings, closing line."""
    _print_header(planned, project)
    steps = planned.steps_of(project)
    _print_done(steps, planned.zone, with_done=with_done)
    shown = [step for step in steps if with_done or not step.done]
    told: set[str] = set()
    for day, of_day in groupby(shown, key=lambda step: _day_of(step, planned.zone)):
        say()
        heading(show.day(day))
        for step in of_day:
            _print_step(planned, step, units, told)
    if planned.plan.warnings:
        say()
        heading("Warnings")
        for warning in planned.plan.warnings:
            paragraph(warning, "    ", "  ! ")
    say()
    paragraph(planned.closing_line)


def _day_of(step: PlannedStep, zone: ZoneInfo) -> dt.date:
    return step.start.astimezone(zone).date()


def _print_header(planned: Planned, project: str) -> None:
    made = planned.projects[project]
    heading(f"{made.title} ({made.name})")
    if made.invented:
        say("  invented sample data")
    zone = planned.zone
    say(f"  now     {show.moment(planned.plan.now, zone)}, times in {zone.key}")
    ready = planned.ready_of(project)
    if ready is not None:
        say(f"  ready   {show.moment(ready.safe, zone)} safe")
        say(f"          {show.moment(ready.likely, zone)} likely")
        if ready.in_service_by is not None:
            say(f"  wanted  {show.day(ready.in_service_by)}: {_spare(ready, zone)}")
    paragraph(_method(planned), "          ", "  method  ")


def _spare(ready: ProjectReady, zone: ZoneInfo) -> str:

    assert ready.in_service_by is not None
    days = (ready.in_service_by - ready.safe.astimezone(zone).date()).days
    if days < 0:
        return f"{-days} {_plural(-days, 'day')} too late on safe times"
    return f"{days} {_plural(days, 'day')} to spare on safe times"


def _plural(count: int, word: str) -> str:
    return word if count == 1 else f"{word}s"


def _method(planned: Planned) -> str:
    plan = planned.plan
    text = plan.method.value
    if plan.bound is not None:
        text += f"; nothing can be ready before {show.moment(plan.bound, planned.zone)}"
        text += f" ({plan.bound_by})" if plan.bound_by else ""
    if plan.gap is not None:
        text += f"; gap {plan.gap:.0%}"
    return text


def _print_done(steps: tuple[PlannedStep, ...], zone: ZoneInfo, *, with_done: bool) -> None:
    done = [step for step in steps if step.done]
    if not done or with_done:
        return
    last = max(done, key=lambda step: step.end)
    say(f"  done    {len(done)} of {len(steps)} {_plural(len(steps), 'step')}")
    paragraph(f"last: {last.title}, {show.moment(last.end, zone)}", "          ", "          ")


def _print_step(planned: Planned, step: PlannedStep, units: Units, told: set[str]) -> None:
    zone = planned.zone
    first = True
    for start, end in step.pieces or ((step.start, step.end),):
        when = show.span(start, end, zone)
        lead = f"  {when:<11}  "
        if len(lead) > len(_INDENT):
            say(lead.rstrip())
            lead = _INDENT
        paragraph(_what(planned, step, units) if first else "… goes on", _INDENT, lead)
        first = False
    if step.reason and not step.done:
        paragraph(step.reason, f"{_INDENT}  ", f"{_INDENT}why: ")
    if step.window_closes is not None and not step.done:
        closes = show.moment(step.window_closes, zone)
        paragraph(f"next coat without scuffing: until {closes}", f"{_INDENT}  ", _INDENT)
    if not step.done:
        for caution in planned.cautions_at(step):
            known = caution.key in told
            told.add(caution.key)
            text = f"{caution.key.replace('-', ' ')}: as above" if known else caution.text
            paragraph(text, f"{_INDENT}  ", f"{_INDENT}! ")


def _what(planned: Planned, step: PlannedStep, units: Units) -> str:
    parts = [f"{'done: ' if step.done else ''}{step.title}"]
    load = f", load {step.load} of {step.loads}" if step.loads > 1 else ""
    parts.append(f"{step.batch}{load}")
    if step.kind not in WAITING_KINDS:
        parts.append(show.duration(step.minutes))
        if step.area_m2 > 0:
            parts.append(format_area(step.area_m2, units))
        if len(planned.workshop.people) > 1 and step.person:
            parts.append(step.person)
    return " · ".join(parts)
