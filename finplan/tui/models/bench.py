"""The opening screen: what to do in order, which windows close, the air now, the projects."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.planning.plan import PlannedStep, days_to_spare
from finplan.trade.names import counted
from finplan.trade.steps import WET_KINDS
from finplan.tui.models.paint import Line, Role, Run, cut, line, spread, tidy, width_of, wrap
from finplan.tui.models.table import Cell, Column, Row, Table, with_area_unit
from finplan.tui.models.times import date, local, minutes, moment, short_moment, stretch, until
from finplan.tui.models.view import View, step_id
from finplan.tui.models.words import (
    DONE,
    GOVERNS,
    OVERDUE,
    PLANNED,
    READY,
    SOON,
    State,
    cautions_of,
    load_of,
    short_title,
    title_with_finish,
)

if TYPE_CHECKING:
    from finplan.services.overview import AirNow, ClosingWindow, ProjectSummary

TODO_COLUMNS = (
    Column("state", 9),
    Column("when", 12),
    Column("what", 26, grow=3),
    Column("load", 10, grow=1),
    Column("min", 4, right=True, drop=1),
    Column("m²", 4, right=True, drop=2),
    Column("project", 12, drop=3),
)

WIDE_AIR = 60
ROOM_FOR_BOTH = 48
LEAST_NAME = 6
"""A space's name is cut to no less; what the air is stays whole."""


def todo_steps(view: View) -> tuple[tuple[PlannedStep, State], ...]:
    """Return what to do, the most pressing first: overdue, then the session's steps in order."""
    if view.overview is None:
        return ()
    late = {
        step_id(item.project, item.batch, item.load, item.step): None
        for item in view.overview.overdue
    }
    overdue = [step for key in late if (step := view.step(key)) is not None and not step.done]
    chosen: dict[str, tuple[PlannedStep, State]] = {}

    def choose(step: PlannedStep) -> None:
        state = OVERDUE if step.id in late else _state(step, view.now, first=not chosen)
        chosen.setdefault(step.id, (step, state))

    for step in overdue:
        for sooner in view.overview.tonight:
            if _comes_before(sooner, step):
                choose(sooner)
        choose(step)
    for step in view.overview.tonight:
        choose(step)
    return tuple(chosen.values())


def _comes_before(step: PlannedStep, overdue: PlannedStep) -> bool:
    """Whether a step of the same load goes first, as a scuffing that a closed window brought."""
    same_load = (step.project, step.batch, step.load) == (
        overdue.project,
        overdue.batch,
        overdue.load,
    )
    return same_load and step.start < overdue.start


def _state(step: PlannedStep, now: dt.datetime, first: bool) -> State:
    if step.done:
        return DONE
    if step.start <= now:
        return READY
    return SOON if first else PLANNED


def todo_table(view: View) -> Table:
    """Return the list of what to do, one row a step; the row's key is the step's id.

    Projects are named where there are several.
    """
    _, pieces = session_pieces(view)
    shown = len(TODO_COLUMNS) if len(view.projects) > 1 else len(TODO_COLUMNS) - 1
    rows = tuple(
        Row(
            step.id,
            (
                Cell(state.text, state.role),
                Cell(_when(view, step, pieces.get(step.id, ())), Role.STRONG),
                Cell(title_with_finish(view, step), Role.STRONG),
                Cell(load_of(step)),
                Cell(f"{minutes_now(step, pieces.get(step.id, step.pieces)):.0f}"),
                Cell(view.measures.bare_area(step.area_m2) if step.area_m2 else ""),
                Cell(step.project, Role.QUIET),
            )[:shown],
        )
        for step, state in todo_steps(view)
    )
    columns = with_area_unit(TODO_COLUMNS[:shown], view.measures.area_unit)
    return Table(columns, rows, empty=_nothing_to_do(view))


def overdue_since(view: View, step: PlannedStep) -> str:
    """Return since when a step is overdue, in words; empty where it is not."""
    for item in view.overview.overdue if view.overview else ():
        if step_id(item.project, item.batch, item.load, item.step) == step.id:
            return f"Due since {moment(item.at, view.zone, view.now)}. "
    return ""


def _when(view: View, step: PlannedStep, own: Pieces) -> str:
    """Return when a step starts; of one in several pieces, when it goes on."""
    start = own[0][0] if own else step.start
    return short_moment(start, view.zone, view.now).strip()


def _nothing_to_do(view: View) -> str:
    coming = next((s for s in view.steps if not s.done and s.start >= view.now), None)
    if coming is None:
        return "Nothing left to do. Press 3 for the projects."
    when = moment(coming.start, view.zone, view.now)
    return f"Nothing to do now. Next: {short_title(coming)}, {when}."


def todo_title(view: View) -> str:
    """Return e.g. ``To do tonight · 18:30 to 21:30 · 2 h 10 min of work``."""
    day, pieces = session_pieces(view)
    if day is None:
        return "To do"
    begin = max(min(start for own in pieces.values() for start, _ in own), view.now)
    last = max(end for own in pieces.values() for _, end in own)
    steps = {step.id: step for step, _ in todo_steps(view)}
    work = minutes(sum(minutes_now(steps[key], own) for key, own in pieces.items()))
    zone = f" {view.elsewhere}" if view.elsewhere else ""
    return f"To do {stretch(begin, last, view.zone, view.now)}{zone} · {work} of work"


Pieces = tuple[tuple[dt.datetime, dt.datetime], ...]


def session_pieces(view: View) -> tuple[dt.date | None, dict[str, Pieces]]:
    """Return the day the work goes on, and the pieces of each step on that day by its id.

    A step spread over several evenings counts with what falls on this one alone.
    """
    coming = {
        step.id: tuple(piece for piece in step.pieces if piece[1] > view.now)
        for step, _ in todo_steps(view)
        if not step.done
    }
    starts = [start for own in coming.values() for start, _ in own]
    if not starts:
        return None, {}
    day = local(max(min(starts), view.now), view.zone).date()
    today = {
        key: tuple(p for p in own if local(max(p[0], view.now), view.zone).date() == day)
        for key, own in coming.items()
    }
    return day, {key: own for key, own in today.items() if own}


def minutes_now(step: PlannedStep, own: Pieces) -> float:
    """Return the hands-on minutes of a step that fall on some of its pieces."""
    if len(own) == len(step.pieces):
        return step.minutes
    share = sum((end - start).total_seconds() for start, end in own)
    whole = sum((end - start).total_seconds() for start, end in step.pieces)
    return step.minutes * share / whole if whole else step.minutes


def step_notes(
    view: View,
    step: PlannedStep | None,
    width: int,
    height: int,
    slacks: Mapping[str, str] | None = None,
) -> tuple[Line, ...]:
    """Return why a step stands where it does, and its cautions in full as far as they fit.

    Where there is room for it, how much later it can start, too, by ``slacks``.
    """
    if step is None:
        return ()
    lines: list[Line] = []
    warnings = cautions_of(view, step)
    room = height - (2 if warnings else 0)
    if step.reason:
        since = overdue_since(view, step)
        why = wrap(f"{since}Why then: {tidy(step.reason)}", width, Role.QUIET)
        slack = slacks.get(step.id, "") if slacks else ""
        more = (*why, *wrap(f"{slack[:1].upper()}{slack[1:]}.", width)) if slack else why
        if len(more) <= room:
            why = more
        if 0 < room < len(why):
            why = (*why[: room - 1], _ending(why[room - 1], "…", width))
        lines += why[: max(room, 0)]
    if warnings:
        text = f"▲ Caution: {' '.join(tidy(words) for words in warnings)} {GOVERNS}"
        wrapped = wrap(text, width, Role.WATCH)
        free = max(height - len(lines), 1)
        if len(wrapped) > free:
            tail = f"… {GOVERNS} (enter: all)"
            wrapped = (*wrapped[: free - 1], cut(_ending(wrapped[free - 1], tail, width), width))
        lines += wrapped
    return tuple(lines)


def _ending(runs: Line, tail: str, width: int) -> Line:
    """Return a line that ends in ``tail``, its own text cut to make room."""
    text, role = (runs[0].text, runs[0].role) if runs else ("", Role.WATCH)
    keep = max(width - len(tail) - 1, 0)
    kept = text[:keep].rsplit(" ", 1)[0] if len(text) > keep else text
    return (Run(f"{kept} {tail}", role),)


def window_lines(
    windows: tuple[ClosingWindow, ...], view: View, width: int, height: int
) -> tuple[Line, ...]:
    """Return the recoat windows, the first to close on top, then the plan's warnings."""
    lines: list[Line] = [line(("No recoat window is closing.", Role.QUIET))]
    if windows:
        ordered = sorted(windows, key=lambda window: window.closes)
        lines = [_window(window, view, width) for window in ordered]
    for warning in view.overview.warnings if view.overview else ():
        lines += wrap(f"▲ {tidy(warning)}", width, Role.WATCH)
    return _counted(lines, height)


def _window(window: ClosingWindow, view: View, width: int) -> Line:
    name = load_of(window.next_step)
    left = line((f"{short_title(window.next_step)}", Role.STRONG), f" {name}")
    if window.closes <= view.now:
        return spread(line(("■ ", Role.BAD), *left), line(("closed, scuff first", Role.BAD)), width)
    when = short_moment(window.closes, view.zone, view.now).strip()
    if window.never_open:
        right = line((f"closes {when}, scuff first", Role.WATCH))
        return spread(line(("◆ ", Role.WATCH), *left), right, width)
    left_over = until(window.closes, view.now)
    hurry = window.closes - view.now < dt.timedelta(hours=24)
    symbol, role = ("◆ ", Role.WATCH) if hurry else ("◇ ", Role.PLAIN)
    if window.opens > view.now:
        opens = short_moment(window.opens, view.zone, view.now).strip()
        right = line((f"{opens} to {when}", Role.PLAIN))
    else:
        after = f", {left_over}" if width >= ROOM_FOR_BOTH else ""
        right = line((f"closes {when}{after}", role))
    return spread(line((symbol, role), *left), right, width)


def air_lines(air: tuple[AirNow, ...], view: View, width: int, height: int) -> tuple[Line, ...]:
    """Return the air in each space and whether coating may go on."""
    if not air:
        return (line(("No space with air yet.", Role.QUIET)),)
    lines: list[Line] = []
    for item in air:
        lines += space_lines(item, view, width)
    return _counted(lines, height)


def space_lines(item: AirNow, view: View, width: int) -> tuple[Line, ...]:
    """Return one space: the measures in a line, then go or wait for each finish."""
    said = view.measures
    measures = f" {said.temperature(item.temperature_c)} {item.humidity_percent:.0f} %"
    dew = said.temperature(item.dew_point_c)
    more = f" · dew point {dew} · wood tends to {item.emc_percent:.1f} %"
    if width < WIDE_AIR:
        more = f" dew {said.degrees(item.dew_point_c):.1f}"
    said_by = line((item.source, Role.QUIET))
    room = width - len(measures) - len(more) - width_of(said_by) - 1
    name = tidy(item.space, max(min(room, 20), LEAST_NAME))
    head = line((name, Role.STRONG), measures, (more, Role.PLAIN))
    lines = [spread(head, said_by if room >= LEAST_NAME else (), width)]
    going = [tidy(a.finish, 40) for a in item.advice if a.allowed]
    if going:
        lines.append(cut(line((" ✓ go ", Role.GOOD), ", ".join(going)), width))
    for advice in item.advice:
        if not advice.allowed:
            why = f": {tidy(advice.reasons[0])}" if advice.reasons else ""
            text = line((" ✗ wait ", Role.BAD), tidy(advice.finish, 40), (why, Role.QUIET))
            lines.append(cut(text, width))
    return tuple(lines)


def _counted(lines: list[Line], height: int) -> tuple[Line, ...]:
    """Cut to ``height``, the last line counting what is left out."""
    if len(lines) <= height or height < 1:
        return tuple(lines)
    left = counted(len(lines) - height + 1, "more line")
    return (*lines[: height - 1], line((f"… {left} (v shows all)", Role.QUIET)))


def project_lines(
    projects: tuple[ProjectSummary, ...], view: View, width: int, height: int
) -> tuple[Line, ...]:
    """Return each project with its progress and the day it is ready."""
    if not projects:
        return (line(("No project yet.", Role.QUIET)),)
    lines: list[Line] = []
    for item in projects:
        count = f"{item.done_steps}/{item.total_steps} steps"
        if item.ready is None:
            when = line((item.state, Role.GOOD))
        else:
            wanted, zone = item.in_service_by, ZoneInfo(view.zone)
            late = wanted is not None and days_to_spare(item.ready, wanted, zone) < 0
            mark = ("! late  ", Role.BAD) if late else ("", Role.PLAIN)
            day = moment(item.ready, view.zone, view.now).rsplit(" ", 1)[0]
            when = line(mark, ("ready ", Role.QUIET), (day, Role.STRONG), (" safe", Role.QUIET))
        lines.append(spread(line((tidy(item.title, 60), Role.STRONG)), when, width))
        detail = line(f"  {item.state}", (f" · {count}", Role.QUIET))
        if item.next is not None:
            detail = (*detail, Run(f" · next {short_title(item.next)}", Role.QUIET))
        lines.append(cut(detail, width))
    return _counted(lines, height)


def coming_lines(view: View, width: int, height: int) -> tuple[Line, ...]:
    """Return the days after this session: when, how long, and what."""
    _, tonight = session_pieces(view)
    pieces = sorted(
        (start, end, step.id, step)
        for step in view.steps
        if not step.done and step.minutes
        for start, end in step.pieces
        if start > view.now and (start, end) not in tonight.get(step.id, ())
    )
    lines: list[Line] = []
    day = None
    for start, end, _, step in pieces:
        if len(lines) >= height:
            break
        there = local(start, view.zone)
        if there.date() != day:
            day = there.date()
            lines.append(line((date(day, local(view.now, view.zone).year), Role.HEADING)))
        role = Role.WET if step.kind in WET_KINDS else Role.PLAIN
        left = line(
            (f"  {there:%H:%M} ", Role.QUIET),
            (title_with_finish(view, step), role),
            (f"  {load_of(step)}", Role.QUIET),
        )
        took = minutes((end - start).total_seconds() / 60)
        lines.append(spread(left, line((took, Role.QUIET)), width))
    if not lines:
        return (line(("Nothing more is planned.", Role.QUIET)),)
    return tuple(lines[:height])
