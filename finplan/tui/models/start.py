"""The first start: what to begin with, and what is asked of a new project."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.reading import is_file, path_written
from finplan.trade.errors import BadInput
from finplan.trade.names import counted
from finplan.trade.parts import Part
from finplan.tui.models.forms import (
    Field,
    Form,
    Understood,
    day_reader,
    humidity_reader,
    needed_text,
    temperature_reader,
)
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.table import Cell, Column, Row, Table
from finplan.tui.models.times import local

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from finplan.services.projects import AddedParts
    from finplan.services.samples import Sample
    from finplan.trade.schedules import Template

PREVIEWED = 10
CUT_LIST, GUIDED, IN_USE = "new:cut-list", "new:guided", "new:in-use"


def start_table(samples: Iterable[Sample]) -> Table:
    """Return what to begin with; the keys are ``sample:NAME`` or one of the new ones."""
    rows = [
        Row(
            GUIDED,
            (
                Cell("New project", Role.STRONG),
                Cell("a few questions, with answers offered; then the dated plan"),
            ),
        ),
        Row(
            CUT_LIST,
            (
                Cell("New project from a cut list", Role.STRONG),
                Cell("a CSV file with name, quantity, length, width, thickness, wood"),
            ),
        ),
        Row(
            IN_USE,
            (
                Cell("Piece in use", Role.STRONG),
                Cell("what is installed already: when to look, clean and re-oil"),
            ),
        ),
    ]
    rows += [
        Row(
            f"sample:{sample.name}",
            (Cell(f"Sample: {sample.name}", Role.STRONG), Cell(sample.about, Role.QUIET)),
        )
        for sample in samples
    ]
    columns = (Column("begin with", 20), Column("", 20, grow=1))
    return Table(columns, tuple(rows))


def new_form(
    jobs: Mapping[str, Template],
    woods: Iterable[str],
    hours: Iterable[str],
    *,
    from_list: bool,
    workshops: Sequence[str],
    now: dt.datetime,
    zone: str,
    measures: Measures,
) -> Form:
    """Ask only what changes the plan.

    Args:
        jobs: finishing schedules by name.
        woods: names of woods to offer.
        hours: names of work hours to offer.
        from_list: the pieces come from a cut list.
        workshops: those there are, the likeliest first; without any, room, rack and hours are
            asked.
        now: the present instant, for reading dates.
        zone: IANA name of the zone that days are in.
        measures: the units that what was read is echoed in.
    """
    fields = [Field("title", "What", "", "Bench for the landing stage", needed_text("name it"))]
    if from_list:
        fields.append(Field("cut_list", "Cut list", "", "path of a CSV file", cut_list_reader))
    else:
        fields += [
            Field("quantity", "Pieces", "1", "how many alike", count_reader),
            Field(
                "size",
                "Size",
                "",
                "1400 x 52 x 24 mm" if measures.metric else "4 ft x 2 in x 1 in",
                partial(size_reader, measures=measures),
            ),
            Field("wood", "Wood", next(iter(woods), ""), choices=tuple((w, w) for w in woods)),
        ]
    first = "oiled bench" if "oiled bench" in jobs else next(iter(jobs), "")
    fields.append(
        Field(
            "job", "Finish", first, choices=tuple((name, job.title) for name, job in jobs.items())
        )
    )
    if not workshops:
        rack = "4 m2" if measures.metric else "40 sq ft"
        read_area = partial(area_reader, measures=measures)
        fields += [
            Field(
                "temperature_c",
                "Room",
                measures.hint(18),
                "18 C · 65F",
                temperature_reader(measures),
            ),
            Field("humidity_percent", "Humidity", "55", "55", humidity_reader),
            Field("rack_area_m2", "Rack", rack, "4 m2 · 40 sq ft", read_area),
            Field("hours", "You work", next(iter(hours), ""), choices=tuple((h, h) for h in hours)),
        ]
    if len(workshops) > 1:
        there = tuple((name, tidy(name, 40)) for name in workshops)
        fields.append(Field("workshop", "Workshop", workshops[0], choices=there))
    read_day = day_reader(
        now, zone, earliest=local(now, zone).date(), needed=False, empty="no date"
    )
    hint = "2026-11-15 · fri"
    fields.append(Field("in_service_by", "Ready by", "", hint, read_day))
    key = CUT_LIST if from_list else GUIDED
    about = "Where ‹ › stand, the left and right arrows pick an answer."
    return Form(key, "New project", tuple(fields), "Plan it", (line((about, Role.QUIET)),))


def import_form(project: str) -> Form:
    """Ask for the cut list whose parts a project takes."""
    fields = (Field("path", "Cut list", "", "path of a CSV file", file_reader),)
    about = "Nothing is taken before you have seen what it would bring."
    return Form(
        f"import:{project}", "Parts from a cut list", fields, "Look", (line((about, Role.QUIET)),)
    )


def preview_form(added: AddedParts, path: Path, measures: Measures) -> Form:
    """Show what a cut list would bring and ask whether to take it."""
    lines = [line((f"{len(added.new)} new, {len(added.replaced)} in place of others", Role.STRONG))]
    shown = (*added.new, *added.replaced)
    for part in shown[:PREVIEWED]:
        size = measures.size((part.length_mm, part.width_mm, part.thickness_mm))
        lines.append(line(f"{part.quantity:>4} × {tidy(part.name, 24)}  ", (size, Role.QUIET)))
    if len(shown) > PREVIEWED:
        lines.append(line((f"     and {len(shown) - PREVIEWED} more", Role.QUIET)))
    home = f"They go into batch {added.batch}." if added.batch else "They belong to no batch yet."
    lines.append(line((home, Role.QUIET)))
    return Form(f"take:{path.name}", f"Take {tidy(path.name, 40)}?", (), "Take them", tuple(lines))


def file_reader(text: str) -> Understood:
    """Read the path of a file that is there."""
    if not text.strip():
        raise BadInput("no file named: write the path of a CSV file")
    path = path_written(text)
    if not is_file(path):
        raise BadInput(f"there is no file {str(path)[:80]}: write the path of a CSV file")
    return path, f"= {path.name}"


def cut_list_reader(text: str) -> Understood:
    """Read the path of a cut list, and say what pieces it brings or what is wrong in it."""
    path, _ = file_reader(text)
    assert isinstance(path, Path)
    try:
        state = path.stat()
        return path, f"= {_brought(path, state.st_mtime_ns, state.st_size)}"
    except OSError as fault:
        raise BadInput(f"{path.name} cannot be read: {fault.strerror}") from None
    except BadInput as fault:
        raise BadInput(str(fault)) from None  # a form shows no place of its own


@lru_cache(maxsize=8)
def _brought(path: Path, changed_ns: int, size: int) -> str:
    """What a cut list brings, in words; the file is read again only once it has changed."""
    from finplan.services.reading import read_bytes
    from finplan.trade.cutlist import read_cut_list

    parts = read_cut_list(read_bytes(path), path.name)
    pieces = sum(part.quantity for part in parts)
    names = ", ".join(tidy(part.name, 24) for part in parts[:PREVIEWED])
    more = f" and {len(parts) - PREVIEWED} kinds more" if len(parts) > PREVIEWED else ""
    return f"{counted(pieces, 'piece')}: {names}{more}"


def count_reader(text: str) -> Understood:
    """Read a number of pieces."""
    if not text.strip().isdecimal() or int(text) < 1:
        raise BadInput("write how many pieces, a whole number from 1")
    return int(text), ""


def size_reader(text: str, measures: Measures) -> Understood:
    """Read length × width × thickness; a unit at the end holds for all."""
    from finplan.trade.quantities import parse_length

    pieces = [piece.strip() for piece in text.replace("×", "x").lower().split("x")]
    if len(pieces) != 3 or not all(pieces):
        example = "1400 x 52 x 24 mm" if measures.metric else "4 ft x 2 in x 1 in"
        raise BadInput(f"write length x width x thickness, e.g. {example}")
    unit = "".join(c for c in pieces[2].lstrip("0123456789.,/ ") if c.isalpha() or c in "'\"")
    sizes = tuple(parse_length(piece, "", unit or measures.length_unit) for piece in pieces)
    return sizes, f"= {measures.size((sizes[0], sizes[1], sizes[2]))}"


def area_reader(text: str, measures: Measures) -> Understood:
    """Read an area such as ``4 m2``."""
    from finplan.trade.quantities import parse_area

    area = parse_area(text, "", "m**2" if measures.metric else "ft**2")
    return area, f"= {measures.area(area)}"


def pieces_of(values: Mapping[str, object]) -> tuple[Part, ...]:
    """Return the part that quantity, size and wood describe."""
    quantity, size = values["quantity"], values["size"]
    assert isinstance(quantity, int) and isinstance(size, tuple)
    length_mm, width_mm, thickness_mm = size
    return (Part("piece", quantity, length_mm, width_mm, thickness_mm, str(values["wood"])),)
