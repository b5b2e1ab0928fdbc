"""The shop card of a project: what stands on it."""

from __future__ import annotations

import datetime as dt
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.prints.card import Card, CardDay, CardLine, Label
from finplan.services.planned import planned
from finplan.services.reading import write_whole
from finplan.trade.errors import BadInput
from finplan.trade.moments import instant_or_none, short_date, short_moment
from finplan.trade.quantities import Units, format_area, format_volume
from finplan.trade.steps import WAITING_KINDS, Side, StepKind, of_loads

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep, WaitsFor
    from finplan.services.planned import Planned
    from finplan.services.session import Session

_LETTER_PT = (612.0, 792.0)
_A4_PT = (595.0, 842.0)


def write_card(session: Session, project: str, path: Path) -> bool:
    """Write a project's shop card as a PDF file.

    The steps still to be done with boxes to tick, day by day, each with what to mind; and a
    label for each load.

    Args:
        session: the open session.
        project: the project's name.
        path: the file, ending in .pdf.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: an unknown project, another ending, or the file cannot be written.
    """
    from finplan.prints.card import card_pdf

    if path.suffix.lower() != ".pdf":
        raise BadInput("a shop card is a PDF: let its name end in .pdf", str(path))
    seen = planned(session, [project])
    return write_whole(path, card_pdf(card_of(seen, project, session.units)))


def card_of(seen: Planned, project: str, units: Units) -> Card:
    """Return what stands on the shop card of a planned project."""
    width, height = paper_pt(units)
    steps = [step for step in seen.steps_of(project) if not step.done]
    told: dict[str, str] = {
        caution.key: caution.text for step in steps for caution in seen.cautions_at(step)
    }
    return Card(
        title=seen.projects[project].title,
        head=_head(seen, project),
        cautions=tuple(told.values()),
        days=_days(seen, steps, units),
        labels=_labels(seen, project),
        foot=seen.closing_line,
        width_pt=width,
        height_pt=height,
    )


def paper_pt(units: Units) -> tuple[float, float]:
    """Return the usual paper's width and height in points: letter or A4."""
    return _LETTER_PT if units is Units.IMPERIAL else _A4_PT


def _head(seen: Planned, project: str) -> tuple[str, ...]:
    made, zone = seen.projects[project], seen.zone
    lines = [
        f"Planned {short_moment(seen.plan.now, zone)}, times in {zone.key}. "
        "All dates are safe ones."
    ]
    if made.invented:
        lines.insert(0, "Invented sample data.")
    ready = seen.ready_of(project)
    if ready is not None:
        likely, safe = short_moment(ready.likely, zone), short_moment(ready.safe, zone)
        lines.append(f"Ready {safe}" + (f", likely {likely}." if likely != safe else "."))
    for batch in made.batches:
        parts = [part for part in made.parts if part.name in batch.parts]
        pieces = ", ".join(f"{part.quantity} × {part.name}" for part in parts)
        lines.append(f"{batch.name}, in the {batch.space}: {pieces}")
    return tuple(lines)


def _days(seen: Planned, steps: list[PlannedStep], units: Units) -> tuple[CardDay, ...]:
    from finplan.services.litres import litres_by_step

    litres = litres_by_step(seen)
    pieces = sorted(
        (
            (start, end, step, number)
            for step in steps
            if step.kind not in WAITING_KINDS
            for number, (start, end) in enumerate(step.pieces or ((step.start, step.end),), 1)
        ),
        key=lambda piece: (piece[0], piece[1], piece[2].id),
    )
    days = []
    for _, of_day in groupby(pieces, key=lambda piece: piece[0].astimezone(seen.zone).date()):
        listed = list(of_day)
        lines = tuple(
            _line(seen, step, (start, end), number, litres.get(step.id), units)
            for start, end, step, number in listed
        )
        days.append(CardDay(_day(listed[0][0], seen.zone), lines))
    waiting = [step for step in steps if step.kind in WAITING_KINDS]
    for step in waiting:
        days.append(
            CardDay(
                _day(step.end, seen.zone),
                (CardLine(f"{step.end.astimezone(seen.zone):%H:%M}", step.title),),
            )
        )
    return tuple(days)


def _day(instant: dt.datetime, zone: ZoneInfo) -> str:
    return short_date(instant.astimezone(zone))


def _line(
    seen: Planned,
    step: PlannedStep,
    piece: tuple[dt.datetime, dt.datetime],
    number: int,
    litres: float | None,
    units: Units,
) -> CardLine:
    start, end = (instant.astimezone(seen.zone) for instant in piece)
    load = of_loads(step.load, step.loads)
    part = f" (part {number} of {len(step.pieces)})" if len(step.pieces) > 1 else ""
    what = f"{step.title}{part} · {step.batch}{load} · {format_area(step.area_m2, units)}"
    if litres is not None:
        what += f" · about {format_volume(litres, units)}"
    notes = []
    note = seen.step_as_made(step).note
    if note:
        notes.append(note)
    if step.waits_for is not None:
        notes.append(_wait(step.waits_for, seen.zone))
    if step.window_closes is not None and step.kind is StepKind.COAT:
        notes.append(
            f"Next coat without scuffing until {short_moment(step.window_closes, seen.zone)}."
        )
    short = tuple(caution.key.replace("-", " ") for caution in seen.cautions_at(step))
    return CardLine(
        f"{start:%H:%M}–{end:%H:%M}",
        what,
        tuple(notes),
        (f"mind: {', '.join(short)}",) if short else (),
    )


def _wait(wait: WaitsFor, zone: ZoneInfo) -> str:
    return (
        f"Not before {short_moment(wait.safe, zone)}: {wait.stage.value}, safe "
        f"(likely {short_moment(wait.likely, zone)})."
    )


def _labels(seen: Planned, project: str) -> tuple[Label, ...]:
    """Return a label for each load that still gets a coat."""
    steps = seen.steps_of(project)
    found = []
    for batch, load in dict.fromkeys((step.batch, step.load) for step in steps):
        own = [step for step in steps if (step.batch, step.load) == (batch, load)]
        coats = [step for step in own if step.kind is StepKind.COAT]
        if not coats or all(step.done for step in coats):
            continue
        title = batch if coats[0].loads == 1 else f"{batch}, load {load} of {coats[0].loads}"
        about = f"{seen.projects[project].title} · {coats[0].space} · wet: hands off"
        found.append(Label(title, about, tuple(_coat(seen, coat) for coat in coats)))
    return tuple(found)


def _coat(seen: Planned, coat: PlannedStep) -> str:
    from finplan.trade.finishes import Stage

    finish = seen.step_as_made(coat).finish or ""
    side = "" if coat.side is Side.ALL else f", {coat.side.value} side"
    if coat.done:
        return f"☑ coat {coat.coat}{side}: on since {short_moment(coat.end, seen.zone)}"
    clock = seen.clock(finish, coat.space)
    handle = instant_or_none(clock.ready(coat.end.timestamp(), Stage.DRY_TO_HANDLE))
    planned_for = short_moment(coat.start, seen.zone)
    if handle is None:
        return f"☐ coat {coat.coat}{side}: planned {planned_for}"
    return (
        f"☐ coat {coat.coat}{side}: planned {planned_for}, handle from "
        f"{short_moment(handle, seen.zone)}; on ____________"
    )
