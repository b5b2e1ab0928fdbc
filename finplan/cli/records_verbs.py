"""Record what happened: done, checked, skipped, repeated, spoiled, noted, wished."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.moved import print_moved
from finplan.cli.options import Verbs, session
from finplan.cli.output import paragraph
from finplan.cli.upkeep_records import add_upkeep_verbs
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.steps import DUSTY_KINDS, WET_KINDS, StepKind, of_loads

if TYPE_CHECKING:
    import datetime as dt
    from zoneinfo import ZoneInfo

    from finplan.planning.plan import PlannedStep
    from finplan.services.record import Recordable
    from finplan.services.session import Session
    from finplan.services.write import Recorded

_project = click.argument("project")
_only_project = click.argument("project", required=False)
_step = click.argument("step", nargs=-1)
_at = click.option("--at", metavar="WHEN", help="when it ended: today 18:00, fri, -2h, ISO time")
_by = click.option("--by", default="", metavar="NAME", help="who did it")
_note = click.option("--note", default="", metavar="TEXT", help="anything worth keeping")


@click.group("record", cls=Verbs)
def record_verb() -> None:
    """Record what was done.

    STEP is a planned id, batch/load/step, or words such as "coat 2" or "slats load 1
    coat 2"; of several steps that fit in one load the next is meant. Without STEP the next
    step of the kind is meant. Where there is one project only, coat, wiped, turned, sanded, step
    and check need no PROJECT either.
    """


def _done_options(function: Callable[..., None]) -> Callable[..., None]:
    options = (
        _at,
        click.option("--started", metavar="WHEN", help="when it began"),
        _by,
        click.option("--amount", metavar="VOLUME", help="used up: 0.4 l, 12 fl oz"),
        click.option(
            "--can",
            default="",
            metavar="LABEL",
            help="a can is opened: any name for it; checks on earlier ones count less",
        ),
        click.option("--temp", metavar="TEMPERATURE", help="air: 18 C, 65 F"),
        click.option("--rh", metavar="PERCENT", help="air: 55"),
        _note,
    )
    for option in reversed(options):
        function = option(function)
    return function


def _declare(name: str, kinds: frozenset[StepKind] | None, about: str) -> None:
    @record_verb.command(name, help=about)
    @_only_project
    @_step
    @_done_options
    def _(project: str | None, step: tuple[str, ...], **given: Any) -> None:
        _record_done(project, " ".join(step), kinds, given)


_declare("coat", WET_KINDS, "A coat, or a seal coat, went on.")
_declare("wiped", frozenset({StepKind.WIPE_OFF}), "What the wood did not take was wiped off.")
_declare("turned", frozenset({StepKind.TURN}), "The pieces were turned.")
_declare("sanded", DUSTY_KINDS, "Sanding, scuffing or other preparing was done.")
_declare("step", None, "A step of any kind was done.")


def _record_done(
    named_project: str | None, words: str, kinds: frozenset[StepKind] | None, given: dict[str, Any]
) -> None:
    from finplan.services.record import StepRef, record_step
    from finplan.trade.quantities import parse_humidity, parse_temperature, parse_volume

    with session() as opened:
        project = _project_meant(opened, named_project)
        seen = _plan_of(opened, project)
        step = _step_meant(seen, project, words, kinds)
        recorded = record_step(
            opened,
            StepRef.of(step),
            at=_past(opened, seen, given["at"], "--at"),
            started=_past(opened, seen, given["started"], "--started"),
            by=given["by"],
            amount_l=parse_volume(given["amount"], "--amount") if given["amount"] else None,
            can=given["can"],
            note=given["note"],
            temperature_c=parse_temperature(given["temp"], "--temp", opened.units.degree_letter)
            if given["temp"]
            else None,
            humidity_percent=parse_humidity(given["rh"], "--rh") if given["rh"] else None,
        )
        print_recorded(recorded, f"done: {named(step)}", seen.zone)


@record_verb.command("check")
@_only_project
@_step
@click.option(
    "--stage",
    default=Stage.DRY_TO_RECOAT.value,
    show_default=True,
    metavar="STAGE",
    type=click.Choice([stage.value for stage in Stage]),
    help=f"the stage looked for: {', '.join(Stage)}",
)
@click.option("--not-yet", is_flag=True, help="it had not reached the stage")
@_at
@_by
@_note
def _check(
    project: str | None, step: tuple[str, ...], stage: str, not_yet: bool, **given: Any
) -> None:
    """A surface was tried for dryness; later times learn from it.

    Without STEP the coat put on last is meant.
    """
    from finplan.services.record import StepRef, record_check

    with session() as opened:
        project = _project_meant(opened, project)
        seen = _plan_of(opened, project)
        meant = _coat_to_check(seen, project, " ".join(step))
        recorded = record_check(
            opened,
            StepRef.of(meant),
            stage=Stage(stage),
            reached=not not_yet,
            at=_past(opened, seen, given["at"], "--at"),
            by=given["by"],
            note=given["note"],
        )
        word = "not yet" if not_yet else "reached"
        print_recorded(recorded, f"checked: {named(meant)}, {stage} {word}", seen.zone)


def _declare_word(name: str, about: str, past: str) -> None:
    @record_verb.command(name, help=about)
    @_only_project
    @click.argument("step", nargs=-1, required=True)
    @_at
    @_by
    @_note
    def _(project: str, step: tuple[str, ...], at: str, by: str, note: str) -> None:
        from finplan.services import record

        write = record.skip_step if name == "skip" else record.repeat_step
        with session() as opened:
            seen = _plan_of(opened, project)
            meant = _step_meant(seen, project, " ".join(step), None)
            when = _past(opened, seen, at, "--at")
            recorded = write(opened, record.StepRef.of(meant), at=when, by=by, note=note)
            print_recorded(recorded, f"{past}: {named(meant)}", seen.zone)


_declare_word("skip", "A step is left out.", "left out")
_declare_word("repeat", "A step that was done has to be done again.", "to be done again")


@record_verb.command("spoiled")
@_project
@click.argument("part")
@click.argument("quantity", type=int)
@_at
@_by
@_note
def _spoiled(project: str, part: str, quantity: int, at: str, by: str, note: str) -> None:
    """Pieces of a part were lost."""
    from finplan.services.record import record_spoiled

    with session() as opened:
        seen = _plan_of(opened, project)
        when = _past(opened, seen, at, "--at")
        recorded = record_spoiled(opened, project, part, quantity, at=when, by=by, note=note)
        print_recorded(recorded, f"spoiled: {quantity} of {part}", seen.zone)


@record_verb.command("note")
@_project
@click.argument("text", nargs=-1, required=True)
@_at
@_by
def _write_note(project: str, text: tuple[str, ...], at: str, by: str) -> None:
    """Keep a word with the project."""
    from finplan.services.record import add_note

    with session() as opened:
        seen = _plan_of(opened, project)
        when = _past(opened, seen, at, "--at")
        recorded = add_note(opened, project, " ".join(text), at=when, by=by)
        print_recorded(recorded, "noted", seen.zone)


@record_verb.command("wish")
@_project
@click.argument("step", nargs=-1, required=True)
@click.option("--at", metavar="WHEN", help="the start wished for: sat 9:00, +36h, ISO time")
@click.option("--withdraw", is_flag=True, help="take an earlier wish back")
@_by
@_note
def _wish(
    project: str, step: tuple[str, ...], at: str | None, withdraw: bool, by: str, note: str
) -> None:
    """Wish a step at an hour.

    The plan keeps it there where that is allowed.
    """
    from finplan.services.record import StepRef, wish

    if (at is None) != withdraw:
        raise BadInput("give either --at WHEN or --withdraw", "record wish")
    with session() as opened:
        seen = _plan_of(opened, project)
        meant = _step_meant(seen, project, " ".join(step), None)
        start = _moment(opened, seen, at, "--at")
        recorded = wish(opened, StepRef.of(meant), start, by=by, note=note)
        asked = f"at {show.moment(start, seen.zone)}" if start else "withdrawn"
        print_recorded(recorded, f"wish: {named(meant)} {asked}", seen.zone, with_time=False)


def _project_meant(opened: Session, name: str | None) -> str:
    """Return the project named, or the only one there is."""
    from finplan.services.projects import only_project

    return only_project(opened) if name is None else name


def _plan_of(opened: Session, project: str) -> Recordable:
    from finplan.services.record import recordable

    return recordable(opened, project)


def _step_meant(
    seen: Recordable, project: str, words: str, kinds: frozenset[StepKind] | None
) -> PlannedStep:
    from finplan.services.steps import find_step

    steps = [s for s in seen.steps if kinds is None or s.kind in kinds]
    if words:
        return find_step(steps, words, project, to_do=True)
    open_steps = [step for step in steps if not step.done]
    if not open_steps:
        raise BadInput("no such step is left to do; name the step you mean", project)
    return min(open_steps, key=lambda step: (step.start, step.id))


def _coat_to_check(seen: Recordable, project: str, words: str) -> PlannedStep:
    coats = [step for step in seen.steps if step.kind in WET_KINDS]
    if words:
        return _step_meant(seen, project, words, WET_KINDS)
    done = [step for step in coats if step.done]
    if not done:
        raise BadInput("no coat is recorded yet: record the coat before its check", project)
    return max(done, key=lambda step: (step.end, step.id))


def _past(opened: Session, seen: Recordable, text: str | None, where: str) -> dt.datetime | None:
    return _moment(opened, seen, text, where, past=True)


def _moment(
    opened: Session, seen: Recordable, text: str | None, where: str, *, past: bool = False
) -> dt.datetime | None:
    from finplan.trade.moments import parse_moment

    return None if text is None else parse_moment(text, opened.now, seen.zone.key, where, past=past)


def named(step: PlannedStep) -> str:
    """Return what a person calls a step: ``Second coat (slats, load 1 of 2)``."""
    load = of_loads(step.load, step.loads)
    return f"{step.title} ({step.batch}{load})"


def print_recorded(
    recorded: Recorded, what: str, zone: ZoneInfo, *, with_time: bool = True
) -> None:
    """Print what was recorded, what moved by it in the plan, and what to mind now."""
    when = f", {show.moment(recorded.entry.at, zone)}" if with_time else ""
    paragraph(f"{recorded.entry.project}: {what}{when}", "  ", "")
    print_moved(recorded.moved)
    for sentence in recorded.heed:
        paragraph(sentence, "  ", "! ")
    for caution in recorded.cautions:
        paragraph(caution.text, "  ", "! ")


add_upkeep_verbs(record_verb)
