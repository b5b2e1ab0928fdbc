"""The forms about a step: done, dryness check, skipped, to be repeated, wished, corrected."""

from __future__ import annotations

from finplan.journal.entries import Entry, EntryKind
from finplan.planning.plan import PlannedStep
from finplan.trade.finishes import Stage
from finplan.trade.steps import WET_KINDS
from finplan.tui.models.forms import (
    Field,
    Form,
    Understood,
    amount_reader,
    humidity_reader,
    moment_reader,
    needed_text,
    temperature_reader,
    text_reader,
)
from finplan.tui.models.journal import about
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.times import local, moment
from finplan.tui.models.view import View
from finplan.tui.models.words import STAGE_WORDS, cautions_of, load_of, step_title

WHEN_HINT = "now · today 18:00 · -2h"


def _who(step: PlannedStep) -> str:
    return f"{step_title(step)} — {load_of(step)}"


def done_form(view: View, step: PlannedStep) -> Form:
    """Ask when a step was done and, for a coat, how much went on in what air."""
    fields = [
        Field("at", "Done at", "now", WHEN_HINT, moment_reader(view.now, view.zone, needed=True)),
        Field(
            "started", "Begun at", "", "if noted", moment_reader(view.now, view.zone, needed=False)
        ),
    ]
    if step.kind in WET_KINDS:
        fields.append(
            Field("amount_l", "Used up", "", "0,4 l · 12 fl oz", amount_reader(view.measures))
        )
        fields.append(Field("can", "Can", "", "a new one: any name", text_reader(80)))
        fields.append(
            Field("temperature_c", "Air", "", "18 C · 65F", temperature_reader(view.measures))
        )
        fields.append(Field("humidity_percent", "Humidity", "", "55", humidity_reader))
    fields.append(Field("by", "By", step.person, "who did it", text_reader(80)))
    fields.append(Field("note", "Note", "", "anything worth keeping", text_reader()))
    planned = f"planned {moment(step.start, view.zone, view.now)} · {step.project}"
    return Form(
        f"done:{step.id}",
        f"Done: {_who(step)}",
        tuple(fields),
        lines=(line((planned, Role.QUIET)),),
        cautions=cautions_of(view, step),
    )


def check_form(view: View, step: PlannedStep, stages: tuple[Stage, ...]) -> Form:
    """Ask which stage a surface has reached, or not."""
    goal = Stage.DRY_TO_RECOAT if Stage.DRY_TO_RECOAT in stages else stages[-1]
    fields = (
        Field(
            "stage",
            "Stage",
            goal.value,
            "left and right arrows",
            choices=tuple((stage.value, STAGE_WORDS[stage]) for stage in stages),
        ),
        Field(
            "reached", "Is it so?", "yes", "", choices=(("yes", "yes, reached"), ("no", "not yet"))
        ),
        Field("at", "Looked at", "now", WHEN_HINT, moment_reader(view.now, view.zone, needed=True)),
        Field("note", "Note", "", "tacky at the ends, …", text_reader()),
    )
    about_it = "What you find teaches finplan how fast this finish dries in your shop."
    return Form(
        f"check:{step.id}",
        f"Dryness check: {_who(step)}",
        fields,
        lines=(line((about_it, Role.QUIET)),),
    )


def skip_form(view: View, step: PlannedStep) -> Form:
    """Ask why a step is left out."""
    return _short_form(view, step, "skip", "Leave out", "why it is left out")


def repeat_form(view: View, step: PlannedStep) -> Form:
    """Ask why a step has to be done again."""
    return _short_form(view, step, "repeat", "Do again", "what went wrong")


def _short_form(view: View, step: PlannedStep, key: str, verb: str, hint: str) -> Form:
    fields = (
        Field(
            "at", "Decided at", "now", WHEN_HINT, moment_reader(view.now, view.zone, needed=True)
        ),
        Field("note", "Note", "", hint, text_reader()),
    )
    return Form(f"{key}:{step.id}", f"{verb}: {_who(step)}", fields, confirm=verb)


def wish_form(view: View, step: PlannedStep) -> Form:
    """Ask at what hour a step is wished; empty withdraws the wish."""
    there = local(step.start, view.zone)
    fields = (
        Field(
            "start",
            "Start at",
            "",
            "fri 18:00 · +36h",
            moment_reader(view.now, view.zone, needed=False, past=False, empty="no wish"),
        ),
    )
    now_planned = f"planned {moment(step.start, view.zone, view.now)}; e.g. {there:%Y-%m-%d %H:%M}"
    return Form(
        f"wish:{step.id}",
        f"Wish: {_who(step)}",
        fields,
        confirm="Wish",
        lines=(
            line((now_planned, Role.QUIET)),
            line(("An empty time withdraws the wish.", Role.QUIET)),
        ),
    )


def note_form(project: str) -> Form:
    """Ask for a word to keep with a project."""
    fields = (Field("note", "Note", "", "", needed_text("write what to keep")),)
    return Form(f"note:{project}", f"Note for {tidy(project, 40)}", fields, confirm="Keep")


def correct_form(view: View, entry: Entry) -> Form:
    """Ask for the fields of an entry that were wrong."""
    there = local(entry.at, view.zone)
    fields = [
        Field(
            "at",
            "Happened",
            f"{there:%Y-%m-%d %H:%M}",
            WHEN_HINT,
            moment_reader(view.now, view.zone, needed=True),
        )
    ]
    if entry.kind is EntryKind.STEP_DONE:
        fields += [
            Field(
                "amount_l",
                "Used up",
                _given(entry, "amount_l", " l"),
                "0,4 l · 12 fl oz",
                amount_reader(view.measures),
            ),
            Field("can", "Can", _given(entry, "can"), "a new one: any name", _can_reader),
            Field(
                "temperature_c",
                "Air",
                _given(entry, "temperature_c", " C"),
                view.measures.hint(18),
                temperature_reader(view.measures),
            ),
            Field(
                "humidity_percent",
                "Humidity",
                _given(entry, "humidity_percent"),
                "55",
                humidity_reader,
            ),
        ]
    fields.append(Field("note", "Note", _given(entry, "note"), "", text_reader()))
    return Form(
        f"correct:{entry.uid}",
        f"Correct: {tidy(about(entry, view.entries), 50)}",
        tuple(fields),
        confirm="Correct",
        lines=(line(("The first entry stays in the journal; this one counts.", Role.QUIET)),),
    )


def _can_reader(text: str) -> Understood:
    """Read a can's name; an empty one takes back that another can was opened."""
    name, _ = text_reader(80)(text)
    return (name, "") if name else (None, "the can before")


def _given(entry: Entry, key: str, unit: str = "") -> str:
    value = entry.details.get(key)
    if value in (None, ""):
        return ""
    return f"{value:g}{unit}" if isinstance(value, float) else f"{value}{unit}"
