"""A finishing schedule: its steps with their dates, and the forms and changes of single steps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from finplan.planning.plan import PlannedStep
from finplan.trade import schedule_edits
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.project import Batch, Project
from finplan.trade.schedules import Minutes
from finplan.trade.steps import WAITING_KINDS, WET_KINDS, Step, StepKind
from finplan.tui.models.edits import Change
from finplan.tui.models.forms import Field, Form, Understood, kept_while, needed_text
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.table import Cell, Column, Row, Table, with_area_unit
from finplan.tui.models.times import date, local, minutes
from finplan.tui.models.view import View
from finplan.tui.models.words import DONE, KIND_SYMBOLS, STAGE_WORDS, kind_role

COLUMNS = (
    Column("batch", 6),
    Column("step", 26, grow=3),
    Column("date", 15),
    Column("finish or grits", 16, grow=2, drop=3),
    Column("waits for", 9, drop=1),
    Column("min/m²", 7, right=True, drop=2),
)

MOST_MINUTES = 100_000.0
COAT_AGAIN = "coat again"
"""What is picked to put a whole coat, with all that belongs to it, after the last one."""


def schedule_table(view: View, project: Project | None) -> Table:
    """Return the finishing schedule of each batch, step by step, with the days it falls on."""
    if project is None:
        return Table(COLUMNS, (), empty="No project yet.")
    dated: dict[tuple[str, str], list[PlannedStep]] = {}
    for step in view.steps:
        if step.project == project.name:
            dated.setdefault((step.batch, step.step), []).append(step)
    rows = tuple(
        _step_row(view, batch, step, dated.get((batch.name, step.key), []))
        for batch in project.batches
        for step in batch.steps
    )
    columns = with_area_unit(COLUMNS, view.measures.area_unit)
    return Table(columns, rows, empty="No batch with a finishing schedule yet.")


def _step_row(view: View, batch: Batch, step: Step, dated: list[PlannedStep]) -> Row:
    if step.waits_for is not None:
        waits = STAGE_WORDS[step.waits_for]
    else:
        waits = minutes(step.wait_hours * 60) if step.wait_hours else ""
    each = view.measures.minutes_per_area(step.minutes_per_m2) if step.minutes_per_m2 else ""
    return Row(
        f"{batch.name}/{step.key}",
        (
            Cell(batch.name, Role.QUIET),
            Cell(f"{KIND_SYMBOLS[step.kind]} {step.title}", kind_role(step.kind)),
            _days(view, step, dated),
            Cell(step.finish or " → ".join(step.grits)),
            Cell(waits),
            Cell(each),
        ),
    )


def _days(view: View, step: Step, dated: list[PlannedStep]) -> Cell:
    """Return the day a step is done, or the first and last day where loads come one by one."""
    if not dated:
        return Cell("if missed" if step.only_if_window_missed else "", Role.QUIET)
    left = [one for one in dated if not one.done]
    moments = [one.end if one.kind in WAITING_KINDS else one.start for one in left or dated]
    days = sorted({local(at, view.zone).date() for at in moments})
    this_year = local(view.now, view.zone).year
    if not left:
        return Cell(f"{DONE.symbol} {date(days[-1], this_year)}", DONE.role)
    if len(days) == 1:
        return Cell(date(days[0], this_year), Role.STRONG)
    return Cell(f"{_short(days[0], days[-1])} to {date(days[-1], this_year)}", Role.STRONG)


def _short(day: dt.date, last: dt.date) -> str:
    """Return a day without what the last day says too."""
    return str(day.day) if (day.year, day.month) == (last.year, last.month) else date(day)


def minutes_reader(text: str) -> Understood:
    """Read minutes from 0."""
    plain = text.strip().replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        raise BadInput("write minutes as a number, e.g. 12 or 7,5") from None
    if not 0 <= value <= MOST_MINUTES:
        raise BadInput("write minutes from 0")
    return value, f"= {value:g} min"


def grits_reader(text: str) -> Understood:
    """Read grits such as ``P80, P120``."""
    grits = tuple(part.strip() for part in text.replace(";", ",").split(",") if part.strip())
    return grits, " → ".join(grits)


def _each_area(step: Step, measures: Measures) -> Field:
    """Ask for the minutes that each square metre, or square foot, takes."""
    unit, shown = measures.area_unit, measures.minutes_per_area(step.minutes_per_m2)

    def read(text: str) -> Understood:
        value, _ = minutes_reader(text)
        assert isinstance(value, float)
        return measures.per_m2(value), f"= {value:g} min each {unit}"

    kept = kept_while(shown, step.minutes_per_m2, read)
    return Field("minutes_per_m2", f"Each {unit}", shown, "minutes", kept)


def step_form(
    about: str, batch: str, step: Step, finishes: Collection[str], measures: Measures
) -> Form:
    """Ask what a step of the finishing schedule takes: time, grits, finish, what it waits for.

    Args:
        about: what the form is about, and the key of its draft: an added or a changed step.
        batch: the batch's name.
        step: the step as it is, or as it is offered.
        finishes: names of the finishes there are.
        measures: the units to ask in.
    """
    fields = [
        Field("title", "Title", step.title, "", needed_text("name the step")),
        _each_area(step, measures),
        Field("minutes_fixed", "Each load", f"{step.minutes_fixed:g}", "minutes", minutes_reader),
    ]
    if step.grits or step.kind in (StepKind.SAND, StepKind.SCUFF):
        fields.append(Field("grits", "Grits", ", ".join(step.grits), "P80, P120", grits_reader))
    if step.finish or step.kind in WET_KINDS:
        choices = tuple((name, name) for name in sorted(finishes))
        fields.append(Field("finish", "Finish", step.finish or "", choices=choices))
    stages = (("", "nothing"), *((stage.value, STAGE_WORDS[stage]) for stage in Stage))
    waits = step.waits_for.value if step.waits_for else ""
    fields.append(Field("waits_for", "Waits for", waits, choices=stages))
    words = "The dates follow at once; u takes it back."
    return Form(
        f"schedule:{about}:{batch}:{step.key}",
        f"{about}: {tidy(step.title, 50)} — {tidy(batch, 20)}",
        tuple(fields),
        "Add" if about == "Add" else "Change",
        (line((words, Role.QUIET)),),
    )


def kind_form(batch: Batch, after: Step) -> Form:
    """Ask which kind of step comes behind the marked one, or whether a whole coat is added."""
    coats = max((step.coat for step in batch.steps if step.kind is StepKind.COAT), default=0)
    kinds = tuple((kind.value, f"{KIND_SYMBOLS[kind]} {kind.value}") for kind in StepKind)
    again = ((COAT_AGAIN, f"coat {coats + 1}, all as coat {coats}"),) if coats else ()
    return Form(
        f"schedule:kind:{batch.name}",
        f"Add a step — {tidy(batch.name, 20)}",
        (Field("kind", "Step", (again + kinds)[0][0], choices=again + kinds),),
        "Next",
        (
            line((f"Behind: {tidy(after.title, 60)}", Role.QUIET)),
            line(("A whole coat comes behind the last one.", Role.QUIET)),
        ),
    )


def offered_step(
    batch: Batch, after: str, kind: StepKind, minutes: Mapping[str, Minutes], taken: Collection[str]
) -> Step:
    """Return a step of a kind to begin with, like the others of the batch."""
    return schedule_edits.new_step(batch.steps, after, kind, minutes, taken)


def filled(step: Step, values: Mapping[str, Any]) -> Step:
    """Return a step with what a form asked."""
    waits = values["waits_for"]
    return replace(step, **{**values, "waits_for": Stage(waits) if waits else None})


def _of_batch(batch: str, change: Callable[[tuple[Step, ...]], tuple[Step, ...]]) -> Change:
    def changed(project: Project) -> Project:
        batches = tuple(
            replace(one, steps=change(one.steps)) if one.name == batch else one
            for one in project.batches
        )
        return replace(project, batches=batches)

    return changed


def change_step(batch: str, key: str, values: Mapping[str, Any]) -> Change:
    """Return the change of one step."""
    return _of_batch(
        batch,
        lambda steps: tuple(filled(one, values) if one.key == key else one for one in steps),
    )


def add_step(batch: str, after: str, step: Step) -> Change:
    """Return the change that puts a step behind another one."""
    return _of_batch(batch, lambda steps: schedule_edits.with_step(steps, after, step))


def add_coat(batch: str, taken: Collection[str]) -> Change:
    """Return the change that puts the last coat once more, with all that belongs to it."""
    return _of_batch(batch, partial(schedule_edits.with_coat_again, taken=taken))


def take_out(batch: str, key: str) -> Change:
    """Return the change that takes a step out, or a coat with all that belongs to it."""
    return _of_batch(batch, partial(schedule_edits.without_step, key=key))


def taken_out_words(batch: Batch, step: Step) -> str:
    """Return what taking a step out takes along."""
    more = len(schedule_edits.belonging(batch.steps, step.key)) - 1
    along = f" with {more} steps that belong to it" if more > 1 else ""
    return f"{step.title}{along or (' with its other step' if more else '')}"


def move_step(batch: str, key: str, by: int) -> Change:
    """Return the change that moves a step one place."""
    return _of_batch(batch, partial(schedule_edits.moved_step, key=key, by=by))
