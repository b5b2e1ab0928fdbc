"""Changing a project: one part or one step of a finishing schedule, and what it then is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from finplan.trade.errors import BadInput
from finplan.trade.parts import Part
from finplan.trade.project import Project
from finplan.trade.steps import Step
from finplan.tui.models.forms import Field, Form, Understood, kept_while, needed_text
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.start import count_reader, size_reader

MOST_MINUTES = 100_000.0


def number_reader(text: str) -> Understood:
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


def part_form(project: Project, part: Part, measures: Measures) -> Form:
    """Ask for a part's quantity, size and wood."""
    sizes = (part.length_mm, part.width_mm, part.thickness_mm)
    size = measures.size(sizes, " x ")
    read = kept_while(size, sizes, partial(size_reader, measures=measures))
    fields = (
        Field("quantity", "Pieces", str(part.quantity), "", count_reader),
        Field("size", "Size", size, "length x width x thickness", read),
        Field("wood", "Wood", part.wood, "", needed_text("name the wood")),
    )
    return Form(
        f"part:{project.name}:{part.name}", f"Part: {tidy(part.name, 50)}", fields, "Change"
    )


def step_form(project: Project, batch: str, step: Step, finishes: tuple[str, ...]) -> Form:
    """Ask for what a step of the finishing schedule takes: time, grits, finish."""
    fields = [
        Field("title", "Title", step.title, "", needed_text("name the step")),
        Field("minutes_per_m2", "Each m²", f"{step.minutes_per_m2:g}", "minutes", number_reader),
        Field("minutes_fixed", "Each load", f"{step.minutes_fixed:g}", "minutes", number_reader),
    ]
    if step.grits:
        fields.append(Field("grits", "Grits", ", ".join(step.grits), "P80, P120", grits_reader))
    if step.finish:
        choices = tuple((name, name) for name in finishes)
        fields.append(Field("finish", "Finish", step.finish, choices=choices))
    about = "The plan is made anew with it at once."
    return Form(
        f"schedule:{project.name}:{batch}:{step.key}",
        f"Step: {tidy(step.title, 50)} — {tidy(batch, 20)}",
        tuple(fields),
        "Change",
        (line((about, Role.QUIET)),),
    )


Change = Callable[[Project], Project]


def change_part(name: str, values: Mapping[str, Any]) -> Change:
    """Return the change of one part."""

    def change(project: Project) -> Project:
        length_mm, width_mm, thickness_mm = values["size"]
        parts = tuple(
            replace(
                part,
                quantity=values["quantity"],
                length_mm=length_mm,
                width_mm=width_mm,
                thickness_mm=thickness_mm,
                wood=values["wood"],
            )
            if part.name == name
            else part
            for part in project.parts
        )
        return replace(project, parts=parts)

    return change


def change_step(batch: str, key: str, values: Mapping[str, Any]) -> Change:
    """Return the change of one step of a batch's finishing schedule."""

    def change(project: Project) -> Project:
        batches = tuple(
            replace(
                one,
                steps=tuple(
                    replace(step, **values) if step.key == key else step for step in one.steps
                ),
            )
            if one.name == batch
            else one
            for one in project.batches
        )
        return replace(project, batches=batches)

    return change
