"""What can be recorded about a step: the form to ask, and what to do with the answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from finplan.trade.finishes import Stage
from finplan.trade.steps import WET_KINDS
from finplan.tui.models.step_forms import (
    check_form,
    done_form,
    note_form,
    repeat_form,
    skip_form,
    wish_form,
)
from finplan.tui.models.view import View

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.tui.writing_app import WritingApp

Ask = Callable[["WritingApp", View, "PlannedStep"], None]


def done(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Record a step as done."""
    if step.done:
        app.notify("This step is done already; a records it to be done again.", markup=False)
        return
    app.ask(done_form(view, step), lambda v: app.act("done", lambda: app.shop.record(step, v)))


def surface_below(view: View, step: PlannedStep) -> PlannedStep | None:
    """Return the done wet step whose surface a person can touch: this one, or the last before."""
    own = [
        other
        for other in view.steps
        if (other.project, other.batch, other.load) == (step.project, step.batch, step.load)
        and other.kind in WET_KINDS
        and other.done
    ]
    before = [other for other in own if other.start <= step.start]
    found = before or own
    return found[-1] if found else None


def check(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Record how dry the surface is that the chosen step waits for."""
    surface = surface_below(view, step)
    if surface is None:
        app.notify("No coat is on this load yet: there is nothing to check.", markup=False)
        return
    own = view.as_made(surface)
    finish = view.planned.finishes.get((own and own.finish) or "") if view.planned else None
    stages = tuple(finish.stages) if finish else tuple(Stage)

    def then(given: dict[str, Any]) -> None:
        values = dict(given)
        stage, reached = Stage(values.pop("stage")), values.pop("reached") == "yes"
        app.act("checked", lambda: app.shop.check(surface, stage, reached, values))

    app.ask(check_form(view, surface, stages), then)


def skip(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Record that a step is left out."""
    app.ask(skip_form(view, step), lambda v: app.act("left out", lambda: app.shop.skip(step, v)))


def repeat(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Record that a done step has to be done again."""
    if not step.done:
        app.notify("This step is not done yet; d records it as done.", markup=False)
        return
    app.ask(
        repeat_form(view, step), lambda v: app.act("to do again", lambda: app.shop.repeat(step, v))
    )


def wish(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Wish a step at an hour."""
    app.ask(
        wish_form(view, step), lambda v: app.act("wished", lambda: app.shop.wish(step, v["start"]))
    )


def note(app: WritingApp, view: View, step: PlannedStep) -> None:
    """Keep a word with the step's project."""
    app.ask(
        note_form(step.project),
        lambda v: app.act("noted", lambda: app.shop.note(step.project, v["note"])),
    )


ACTIONS: dict[str, Ask] = {
    "done": done,
    "check": check,
    "skip": skip,
    "repeat": repeat,
    "wish": wish,
    "note": note,
}
