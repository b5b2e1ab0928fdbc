"""Checks of what people enter, before anything is stored or planned: one clear sentence each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.names import (
    clean_note,
    clean_text,
    did_you_mean,
    legal_project_name,
    shown,
)
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.surfaces import countersink_depth_mm, footprint_m2

if TYPE_CHECKING:
    from finplan.trade.project import Batch, Project
    from finplan.trade.workshop import Workshop

LONGEST_PIECE_MM = 30_000.0
MOST_PIECES = 100_000
_RACK_SHARES = (0.05, 10.0)


def check_part(part: Part, where: str = "") -> None:
    """Refuse a part that can't be: sizes, quantity, faces, holes.

    Raises:
        BadInput: the first fault found, naming the part and the field.
    """
    clean_text(part.name, _place(where, "part name"))
    place = _place(where, f"part {shown(part.name)}")
    if part.wood:
        clean_text(part.wood, f"{place}, wood")
    if not 1 <= part.quantity <= MOST_PIECES:
        raise BadInput(f"quantity {part.quantity}: give 1 to {MOST_PIECES} pieces", place)
    for name, size in (
        ("length", part.length_mm),
        ("width", part.width_mm),
        ("thickness", part.thickness_mm),
    ):
        _check_size(name, size, place)
    if not part.faces:
        raise BadInput("no face is finished: name at least one", place)
    for number, hole in enumerate(part.holes, start=1):
        _check_hole(hole, part, f"{place}, hole {number}")
    _check_room_for_holes(part, place)


def check_project(project: Project, workshop: Workshop | None = None) -> None:
    """Refuse a project whose names, parts and batches do not fit together.

    Args:
        project: what to check; the steps themselves are checked by ``schedule_checks``.
        workshop: where given, the batches' spaces must be there and each part fit its rack.

    Raises:
        BadInput: the first fault found.
    """
    legal_project_name(project.name)
    place = f"project {shown(project.name)}"
    clean_text(project.title, f"{place}, title")
    clean_note(project.notes, f"{place}, notes")
    if project.begins is not None and project.begins.utcoffset() is None:
        raise BadInput("'begins' has no time zone: add one, e.g. 2026-10-05T08:00Z", place)
    for part in project.parts:
        check_part(part, place)
    _unique([part.name for part in project.parts], "parts", place)
    _unique([batch.name for batch in project.batches], "batches", place)
    _check_membership(project, place)
    for batch in project.batches:
        _check_batch(batch, project, workshop, f"{place}, batch {shown(batch.name)}")


def _check_size(name: str, size: float, place: str) -> None:
    if not math.isfinite(size) or size <= 0:
        raise BadInput(f"{name} {size:g} mm: give a size above zero", place)
    if size > LONGEST_PIECE_MM:
        raise BadInput(
            f"{name} {size:g} mm is more than {LONGEST_PIECE_MM:g} mm: check the unit", place
        )


def _check_hole(hole: Hole, part: Part, place: str) -> None:
    """Refuse a hole that can't be drilled into a part."""
    if hole.count < 1 or hole.count > 10_000:
        raise BadInput(f"count {hole.count}: give 1 to 10000 holes in each piece", place)
    _check_size("diameter", hole.diameter_mm, place)
    room = min(part.width_mm, part.length_mm)
    if hole.diameter_mm >= room:
        raise BadInput(f"diameter {hole.diameter_mm:g} mm does not fit {room:g} mm of wood", place)
    if hole.depth_mm is not None:
        _check_size("depth", hole.depth_mm, place)
        if hole.depth_mm > part.thickness_mm:
            raise BadInput(
                f"depth {hole.depth_mm:g} mm is more than the thickness "
                f"{part.thickness_mm:g} mm: leave the depth out for a hole right through",
                place,
            )
    if hole.countersink_diameter_mm:
        _check_countersink(hole, part, place)


def _check_countersink(hole: Hole, part: Part, place: str) -> None:
    _check_size("countersink", hole.countersink_diameter_mm, place)
    if hole.countersink_diameter_mm <= hole.diameter_mm:
        raise BadInput(
            f"countersink {hole.countersink_diameter_mm:g} mm is not wider than the hole "
            f"{hole.diameter_mm:g} mm: swap the two or leave it out",
            place,
        )
    width = min(part.width_mm, part.length_mm)
    if hole.countersink_diameter_mm >= width:
        raise BadInput(
            f"countersink {hole.countersink_diameter_mm:g} mm does not fit {width:g} mm of wood",
            place,
        )
    if not 30 <= hole.countersink_angle_deg <= 150:
        raise BadInput(
            f"countersink angle {hole.countersink_angle_deg:g}° is outside 30 to 150°", place
        )
    room = part.thickness_mm if hole.depth_mm is None else hole.depth_mm
    if countersink_depth_mm(hole) > room:
        raise BadInput(
            f"the countersink goes {countersink_depth_mm(hole):.1f} mm deep, the hole only "
            f"{room:g} mm: take a smaller countersink",
            place,
        )


def _check_room_for_holes(part: Part, place: str) -> None:
    """Refuse more holes than the face has room for."""
    opened = sum(
        hole.count * math.pi * max(hole.diameter_mm, hole.countersink_diameter_mm) ** 2 / 4
        for hole in part.holes
    )
    if opened >= part.length_mm * part.width_mm:
        raise BadInput("the holes take more than the whole face: check count and diameter", place)


def _check_membership(project: Project, place: str) -> None:
    """Every part stands in exactly one batch, and batches name only parts there are."""
    known = [part.name for part in project.parts]
    seen: dict[str, str] = {}
    for batch in project.batches:
        for name in batch.parts:
            if name not in known:
                raise BadInput(
                    f"batch {shown(batch.name)} names a part {shown(name)} that is not there"
                    f"{did_you_mean(name, known)}",
                    place,
                )
            if name in seen:
                raise BadInput(
                    f"part {shown(name)} is in batch {shown(seen[name])} and again in "
                    f"{shown(batch.name)}: leave it in one",
                    place,
                )
            seen[name] = batch.name
    if project.batches and (left := [name for name in known if name not in seen]):
        raise BadInput(f"part {shown(left[0])} is in no batch: add it to one", place)


def _check_batch(batch: Batch, project: Project, workshop: Workshop | None, place: str) -> None:
    clean_text(batch.name, f"{place}, name")
    if not batch.parts:
        raise BadInput("has no parts: name at least one", place)
    if not _RACK_SHARES[0] <= batch.rack_share <= _RACK_SHARES[1]:
        raise BadInput(
            f"rack share {batch.rack_share:g} is outside {_RACK_SHARES[0]} to {_RACK_SHARES[1]:g}",
            place,
        )
    if workshop is None:
        return
    spaces = {space.name: space for space in workshop.spaces}
    if batch.space not in spaces:
        raise BadInput(
            f"there is no space {shown(batch.space)} in workshop {shown(workshop.name)}"
            f"{did_you_mean(batch.space, spaces)}",
            place,
        )
    rack = spaces[batch.space].rack_area_m2
    for part in project.parts:
        needed = footprint_m2(part, batch.rack_share) / part.quantity
        if part.name in batch.parts and needed > rack:
            raise BadInput(
                f"one {shown(part.name)} takes {needed:.2f} m² of the rack in "
                f"{shown(batch.space)}, which has {rack:g} m²: make room or choose another space",
                place,
            )


def _unique(names: Sequence[str], what: str, place: str) -> None:
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            raise BadInput(f"two {what} are called {shown(name)}: rename one", place)
        seen.add(name.casefold())


def faces_of(words: Iterable[str], where: str = "") -> frozenset[Face]:
    """Return the faces named by words (``top``, ``left edge``); raises BadInput on another."""
    known = {face.value: face for face in Face}
    faces = set()
    for word in words:
        plain = " ".join(word[:40].lower().replace("_", " ").split())
        if plain not in known:
            raise BadInput(
                f"there is no face {shown(word)}{did_you_mean(plain, known)}: "
                f"use {', '.join(known)}",
                where,
            )
        faces.add(known[plain])
    return frozenset(faces)


def _place(where: str, inner: str) -> str:
    return f"{where}, {inner}" if where else inner
