"""Coat by coat: loads down, steps across, each cell what was done or when it is due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from finplan.planning.plan import PlannedStep
from finplan.trade.steps import WET_KINDS, Side
from finplan.tui.models.paint import Line, Role, line, spread, tidy, wrap
from finplan.tui.models.table import Cell, Column, Row, Table, with_area_unit
from finplan.tui.models.times import minutes, moment, short_moment, stretch
from finplan.tui.models.view import View
from finplan.tui.models.words import (
    GOVERNS,
    KIND_SYMBOLS,
    STAGE_WORDS,
    cautions_of,
    kind_role,
    load_of,
    short_title,
    state_of,
    step_title,
    was_skipped,
)

STEP_COLUMNS = (
    Column("state", 9),
    Column("when", 12),
    Column("step", 18, grow=3),
    Column("load", 10),
    Column("min", 4, right=True, drop=1),
    Column("m²", 4, right=True, drop=2),
    Column("recorded", 20, grow=3, drop=3),
)


def coat_columns(steps: tuple[PlannedStep, ...]) -> tuple[tuple[str, int, Side], ...]:
    """Return the wet columns: a title, the coat and side they stand for."""
    seen = dict.fromkeys((s.coat, s.side) for s in steps if s.kind in WET_KINDS)
    order = {Side.ALL: 0, Side.FIRST: 1, Side.SECOND: 2}
    letters = {Side.ALL: "", Side.FIRST: ", 1st", Side.SECOND: ", 2nd"}
    return tuple(
        (f"coat {coat}{letters[side]}" if coat else f"seal{letters[side]}", coat, side)
        for coat, side in sorted(seen, key=lambda pair: (pair[0], order[pair[1]]))
    )


def coat_grid(view: View, project: str) -> Table:
    """Return batches and loads by coats; the key of a row is ``project/batch/load``."""
    steps = tuple(step for step in view.steps if step.project == project)
    columns = coat_columns(steps)
    rows = []
    for (name, batch, load), own in view.loads_of(project).items():
        cells = [Cell(load_of(own[0]), Role.STRONG)]
        for _, coat, side in columns:
            cells.append(_coat_cell(view, own, coat, side))
        rows.append(Row(f"{name}/{batch}/{load}", tuple(cells)))
    titles = tuple(Column(title, 11, drop=coat + 1) for title, coat, _ in columns)
    return Table((Column("load", 6), *titles), tuple(rows), empty="No steps planned yet.")


def _coat_cell(view: View, own: Sequence[PlannedStep], coat: int, side: Side) -> Cell:
    for step in own:
        if step.kind in WET_KINDS and step.coat == coat and step.side is side:
            state = state_of(step, view.now, was_skipped(view, step))
            when = _day_or_hour(view, step.end, past=step.done)
            return Cell(f"{state.symbol} {when}", state.role)
    return Cell("")


def _day_or_hour(view: View, at: dt.datetime, *, past: bool) -> str:
    """Return the hour of today, day and hour of the week to come, of all else the day alone."""
    when = short_moment(at, view.zone, view.now).strip()
    soon = at - view.now < dt.timedelta(days=7)
    return when if (soon and not past) or " " not in when else when.rsplit(" ", 1)[0]


def step_table(view: View, project: str) -> Table:
    """Return every step of a project in the order of its loads; the key is the step's id."""
    own = view.loads_of(project).values()
    rows = tuple(_step_row(view, step) for steps in own for step in steps)
    columns = with_area_unit(STEP_COLUMNS, view.measures.area_unit)
    return Table(columns, rows, empty="No steps planned yet.")


def _step_row(view: View, step: PlannedStep) -> Row:
    state = state_of(step, view.now, was_skipped(view, step))
    symbol = KIND_SYMBOLS[step.kind]
    return Row(
        step.id,
        (
            Cell(state.text, state.role),
            Cell(short_moment(step.start, view.zone, view.now).strip()),
            Cell(
                f"{symbol} {short_title(step)}", Role.PLAIN if step.done else kind_role(step.kind)
            ),
            Cell(load_of(step)),
            Cell(f"{step.minutes:.0f}" if step.minutes else ""),
            Cell(view.measures.bare_area(step.area_m2) if step.area_m2 else ""),
            Cell(done_details(view, step), Role.QUIET),
        ),
    )


def done_details(view: View, step: PlannedStep) -> str:
    """Return what the journal keeps of a done step: air, amount, note."""
    from finplan.tui.models.journal import details

    if view.planned is None or step.project not in view.planned.progress:
        return ""
    done = view.planned.progress[step.project].done.get((step.batch, step.load, step.step))
    return details(done.entry, view.measures) if done else ""


def step_lines(
    view: View, step: PlannedStep | None, width: int, slacks: Mapping[str, str] | None = None
) -> tuple[Line, ...]:
    """Return a step in full: when, what it waits for, why, its window and its cautions.

    ``slacks`` says how much later steps can start, by their id, as far as that is known.
    """
    if step is None:
        return (line(("No step is chosen.", Role.QUIET)),)
    state = state_of(step, view.now, was_skipped(view, step))
    lines: list[Line] = [*wrap(tidy(step_title(step)), width, Role.HEADING)]
    lines.append(
        line((state.text, state.role), f"  {load_of(step)}", (f"  {step.project}", Role.QUIET))
    )
    lines += _when_lines(view, step, width)
    own = view.as_made(step)
    if own is not None and own.finish:
        how = f", {own.method}" if own.method else ""
        lines += wrap(f"finish: {tidy(view.finish_title(own.finish))}{how}", width)
    if step.waits_for is not None:
        stage = STAGE_WORDS[step.waits_for.stage]
        likely = moment(step.waits_for.likely, view.zone, view.now)
        safe = moment(step.waits_for.safe, view.zone, view.now)
        lines += wrap(f"waits for: {stage} · safe {safe} · likely {likely}", width, Role.WET)
    if step.reason:
        lines += wrap(f"why then: {tidy(step.reason)}", width)
    if slacks and step.id in slacks and not step.done:
        lines += wrap(slacks[step.id], width)
    if step.window_closes is not None:
        closes = moment(step.window_closes, view.zone, view.now)
        lines += wrap(f"next coat without scuffing until {closes}", width, Role.WATCH)
    words = done_details(view, step)
    if words:
        lines += wrap(f"recorded: {words}", width)
    for caution in cautions_of(view, step):
        lines += wrap(f"▲ {tidy(caution)}", width, Role.WATCH)
    if cautions_of(view, step):
        lines += wrap(GOVERNS, width, Role.QUIET)
    return tuple(lines)


def chain_lines(view: View, step: PlannedStep, width: int) -> tuple[Line, ...]:
    """Return the steps that lead to one, back to the first left to do, and when each is over."""
    from finplan.planning.explain import why

    if view.planned is None or step.done:
        return ()
    chain = why(view.planned.plan, step.id).chain[:-1]
    if not chain:
        return ()
    lines: list[Line] = [(), line(("What leads to it", Role.HEADING), ("  over", Role.QUIET))]
    for one in chain:
        state = state_of(one, view.now, was_skipped(view, one))
        left = line((f"{state.symbol} ", state.role), short_title(one))
        lines.append(spread(left, line((moment(one.end, view.zone, view.now), Role.QUIET)), width))
    return tuple(lines)


def _when_lines(view: View, step: PlannedStep, width: int) -> tuple[Line, ...]:
    if len(step.pieces) > 1:
        text = ", ".join(stretch(start, end, view.zone, view.now) for start, end in step.pieces)
    else:
        text = stretch(step.start, step.end, view.zone, view.now)
    work = f" · {minutes(step.minutes)}" if step.minutes else ""
    area = f" · {view.measures.area(step.area_m2, 2)}" if step.area_m2 else ""
    person = f" · {tidy(step.person, 20)}" if step.person else ""
    return wrap(f"{text}{work}{area}{person}", width)


def load_lines(view: View, chosen: PlannedStep | None, width: int, height: int) -> tuple[Line, ...]:
    """Return the steps of the chosen one's load, a line each, the chosen one in sight."""
    if chosen is None:
        return ()
    own = view.loads[(chosen.project, chosen.batch, chosen.load)]
    at = next((index for index, step in enumerate(own) if step.id == chosen.id), 0)
    first = min(max(at - height // 2, 0), max(len(own) - height, 0))
    return tuple(
        _load_line(view, step, width, step.id == chosen.id) for step in own[first : first + height]
    )


def _load_line(view: View, step: PlannedStep, width: int, here: bool) -> Line:
    state = state_of(step, view.now, was_skipped(view, step))
    mark = ("▸ ", Role.KEY) if here else ("  ", Role.PLAIN)
    when = stretch(step.start, step.end, view.zone, view.now)
    left = line(
        mark,
        (f"{state.symbol} {state.word:<8}", state.role),
        (f"{KIND_SYMBOLS[step.kind]} ", kind_role(step.kind)),
        (short_title(step), Role.STRONG if here else Role.PLAIN),
    )
    return spread(left, line((when, Role.QUIET)), width)
