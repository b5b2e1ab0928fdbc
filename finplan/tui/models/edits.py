"""Changing the parts of a project: one changed, added or taken out, and the form for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from finplan.trade.parts import Part
from finplan.trade.project import Project
from finplan.tui.models.forms import Field, Form, kept_while, needed_text
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import tidy
from finplan.tui.models.start import count_reader, size_reader

_WOOD = needed_text("name the wood")

Change = Callable[[Project], Project]


def part_form(project: Project, part: Part | None, measures: Measures) -> Form:
    """Ask for a part's quantity, size, wood and batch; None asks for a new one, with its name."""
    sizes = (part.length_mm, part.width_mm, part.thickness_mm) if part else None
    size = measures.size(sizes, " x ") if sizes else ""
    sized = partial(size_reader, measures=measures)
    read = kept_while(size, sizes, sized) if sizes else sized
    woods = list(dict.fromkeys(one.wood for one in project.parts))
    homes = {name: batch.name for batch in project.batches for name in batch.parts}
    choices = tuple((one.name, one.name) for one in project.batches)
    home = homes.get(part.name, "") if part else (choices[0][0] if choices else "")
    if not home:
        choices = (("", "none"), *choices)
    named = () if part else (Field("name", "Part", "", "slat", needed_text("name the part")),)
    fields = (
        *named,
        Field("quantity", "Pieces", str(part.quantity) if part else "1", "", count_reader),
        Field("size", "Size", size, "length x width x thickness", read),
        Field("wood", "Wood", part.wood if part else next(iter(woods), ""), "", _WOOD),
        Field("batch", "Batch", home, choices=choices),
    )
    return Form(
        f"part:{project.name}:{part.name if part else ''}",
        f"Part: {tidy(part.name, 50)}" if part else "Add a part",
        fields,
        "Change" if part else "Add",
    )


def _measured(values: Mapping[str, Any]) -> dict[str, Any]:
    length_mm, width_mm, thickness_mm = values["size"]
    return {
        "quantity": values["quantity"],
        "length_mm": length_mm,
        "width_mm": width_mm,
        "thickness_mm": thickness_mm,
        "wood": values["wood"],
    }


def change_part(name: str, values: Mapping[str, Any]) -> Change:
    """Return the change of one part and of the batch it belongs to."""

    def change(project: Project) -> Project:
        parts = tuple(
            replace(part, **_measured(values)) if part.name == name else part
            for part in project.parts
        )
        return _at_home(replace(project, parts=parts), name, values["batch"])

    return change


def add_part(values: Mapping[str, Any]) -> Change:
    """Return the change that adds a part."""

    def change(project: Project) -> Project:
        part = Part(name=values["name"], **_measured(values))
        return _at_home(replace(project, parts=(*project.parts, part)), part.name, values["batch"])

    return change


def take_out_part(name: str) -> Change:
    """Return the change that takes a part out."""

    def change(project: Project) -> Project:
        parts = tuple(part for part in project.parts if part.name != name)
        return _at_home(replace(project, parts=parts), name, "")

    return change


def _at_home(project: Project, part: str, home: str) -> Project:
    """Return the project with a part in one batch and in no other."""
    batches = []
    for batch in project.batches:
        names = tuple(name for name in batch.parts if name != part)
        if batch.name == home:
            names = batch.parts if part in batch.parts else (*batch.parts, part)
        batches.append(replace(batch, parts=names))
    return replace(project, batches=tuple(batches))
