"""Checks of what people enter, before anything is stored or planned: one clear sentence each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment
from finplan.trade.names import (
    LONGEST_NAME,
    clean_note,
    clean_text,
    did_you_mean,
    legal_project_name,
    shown,
)
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.plain import place_of, within
from finplan.trade.surfaces import countersink_depth_mm, largest_face_m2

if TYPE_CHECKING:
    from finplan.trade.project import Batch, Project
    from finplan.trade.steps import Step
    from finplan.trade.workshop import Stretch, Workshop

LONGEST_PIECE_MM = 100_000.0
MOST_PIECES = 100_000
MOST_COATS = 100
_LONGEST_KEY = 60
_RACK_SHARES = (0.05, 10.0)


def check_part(part: Part, where: str = "") -> None:
    """Refuse a part that can't be: sizes, quantity, faces, holes.

    Raises:
        BadInput: the first fault found, naming the part and the field.
    """
    clean_text(part.name, within(where, "name"))
    if part.wood:
        clean_text(part.wood, within(where, "wood"))
    if not 1 <= part.quantity <= MOST_PIECES:
        raise BadInput(
            f"{part.quantity} pieces: give 1 to {MOST_PIECES}", within(where, "quantity")
        )
    for name in ("length_mm", "width_mm", "thickness_mm"):
        _check_size(getattr(part, name), within(where, name))
    if not part.faces:
        raise BadInput("no face is finished: name at least one", within(where, "faces"))
    for number, hole in enumerate(part.holes, start=1):
        _check_hole(hole, part, within(where, f"holes {number}"))
    _check_room_for_holes(part, within(where, "holes"))


def check_project(project: Project, where: str = "") -> None:
    """Refuse a project whose names, parts and batches do not fit together.

    Whether its steps make a good schedule is for ``schedule_checks``; whether a workshop can
    hold it for ``check_fits``.

    Raises:
        BadInput: the first fault found, at the field it stands in.
    """
    legal_project_name(project.name, within(where, "name"))
    clean_text(project.title, within(where, "title"))
    clean_note(project.notes, within(where, "notes"))
    if project.begins is not None and project.begins.utcoffset() is None:
        raise BadInput(
            "it has no time zone: add one, e.g. 2026-10-05T08:00Z", within(where, "begins")
        )
    for stretch in project.blocked:
        check_stretch(stretch, "UTC", within(where, "blocked"))
    no_twins([part.name for part in project.parts], "part", where)
    no_twins([batch.name for batch in project.batches], "batch", where)
    for number, part in enumerate(project.parts, start=1):
        check_part(part, place_of(within(where, "parts"), number, part.name))
    for number, batch in enumerate(project.batches, start=1):
        _check_batch(batch, project, place_of(within(where, "batches"), number, batch.name))
    _check_membership(project, where)


def check_fits(project: Project, workshop: Workshop, where: str = "") -> None:
    """Refuse a project whose batches stand in unknown spaces, or with a part larger than a rack.

    Raises:
        BadInput: the space is unknown (the nearest one is offered), or too small.
    """
    spaces = {space.name: space for space in workshop.spaces}
    for number, batch in enumerate(project.batches, start=1):
        place = within(place_of(within(where, "batches"), number, batch.name), "space")
        if batch.space not in spaces:
            near = did_you_mean(batch.space, spaces) or f" (there are {', '.join(spaces)})"
            raise BadInput(
                f"workshop {shown(workshop.name)} has no space {shown(batch.space)}{near}", place
            )
        rack = spaces[batch.space].rack_area_m2
        for part in project.parts:
            needed = largest_face_m2(part) * batch.rack_share
            if part.name in batch.parts and needed > rack:
                raise BadInput(
                    f"one {shown(part.name)} takes {needed:.2f} m² of the rack in "
                    f"{shown(batch.space)}, which has {rack:g} m²: make room or choose another",
                    place,
                )


def _check_size(size_mm: float, where: str) -> None:
    if not math.isfinite(size_mm) or size_mm <= 0:
        raise BadInput(f"{size_mm:g} mm: give a size above zero", where)
    if size_mm > LONGEST_PIECE_MM:
        raise BadInput(
            f"{size_mm:g} mm is more than {LONGEST_PIECE_MM:g} mm: check the unit", where
        )


def _check_hole(hole: Hole, part: Part, place: str) -> None:
    """Refuse a hole that can't be drilled into a part."""
    if hole.count < 1 or hole.count > 10_000:
        raise BadInput(f"count {hole.count}: give 1 to 10000 holes in each piece", place)
    _check_size(hole.diameter_mm, within(place, "diameter_mm"))
    room = min(part.width_mm, part.length_mm)
    if hole.diameter_mm >= room:
        raise BadInput(f"diameter {hole.diameter_mm:g} mm does not fit {room:g} mm of wood", place)
    if hole.depth_mm is not None:
        _check_size(hole.depth_mm, within(place, "depth_mm"))
        if hole.depth_mm > part.thickness_mm:
            raise BadInput(
                f"depth {hole.depth_mm:g} mm is more than the thickness "
                f"{part.thickness_mm:g} mm: leave the depth out for a hole right through",
                place,
            )
    if hole.countersink_diameter_mm:
        _check_countersink(hole, part, place)


def _check_countersink(hole: Hole, part: Part, place: str) -> None:
    _check_size(hole.countersink_diameter_mm, within(place, "countersink_diameter_mm"))
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


def _check_membership(project: Project, where: str) -> None:
    """Every part stands in exactly one batch, once there are batches."""
    batch_of: dict[str, str] = {}
    for number, batch in enumerate(project.batches, start=1):
        for name in batch.parts:
            if name in batch_of:
                raise BadInput(
                    f"part {shown(name)} is in batch {shown(batch_of[name])} already: "
                    "leave it in one",
                    place_of(within(where, "batches"), number, batch.name),
                )
            batch_of[name] = batch.name
    if project.batches and (left := [p.name for p in project.parts if p.name not in batch_of]):
        raise BadInput(f"part {shown(left[0])} is in no batch: add it to one", where)


def _check_batch(batch: Batch, project: Project, where: str) -> None:
    clean_text(batch.name, within(where, "name"))
    if "/" in batch.name:
        raise BadInput("a batch's name holds no slash: take another letter", within(where, "name"))
    if not batch.parts:
        raise BadInput("no part is in it: name at least one", within(where, "parts"))
    if len(set(batch.parts)) != len(batch.parts):
        raise BadInput("a part is named twice: name it once", within(where, "parts"))
    known = [part.name for part in project.parts]
    for name in batch.parts:
        if name not in known:
            raise BadInput(
                f"there is no part {shown(name)}{did_you_mean(name, known)}", within(where, "parts")
            )
    low, high = _RACK_SHARES
    if not low <= batch.rack_share <= high:
        raise BadInput(
            f"{batch.rack_share:g}: give {low:g} to {high:g}", within(where, "rack_share")
        )
    pieces = sum(part.quantity for part in project.parts if part.name in batch.parts)
    if not 1 <= batch.least_loads <= pieces:
        raise BadInput(
            f"{batch.least_loads}: give 1 to {pieces}, one load for each piece at the most",
            within(where, "least_loads"),
        )
    if not batch.steps:
        raise BadInput("it has no steps: give a schedule or list them", within(where, "steps"))
    no_twins([step.key for step in batch.steps], "step", where)
    for number, step in enumerate(batch.steps, start=1):
        check_step(step, place_of(within(where, "steps"), number, step.key))


def check_step(step: Step, where: str = "") -> None:
    """Refuse a step with texts or times that can't be; raises BadInput at the field."""
    clean_text(step.key, within(where, "key"), _LONGEST_KEY)
    clean_text(step.title, within(where, "title"), 2 * LONGEST_NAME)
    clean_note(step.note, within(where, "note"))
    if not 0 <= step.coat <= MOST_COATS:
        raise BadInput(f"coat {step.coat}: coats go up to {MOST_COATS}", within(where, "coat"))
    for name in ("minutes_fixed", "minutes_per_m2", "wait_hours"):
        value = getattr(step, name)
        if not math.isfinite(value) or not 0 <= value <= 100_000:
            raise BadInput(f"{value:g}: give 0 to 100000", within(where, name))


def check_stretch(stretch: Stretch, zone: str, where: str = "") -> None:
    """Refuse a stretch without a time zone, or one that does not end after it begins.

    Args:
        stretch: the stretch.
        zone: IANA zone to say its end in.
        where: the place named in front of an error.
    """
    if stretch.start.utcoffset() is None or stretch.end.utcoffset() is None:
        raise BadInput("it has no time zone: add one, e.g. 2026-10-05T08:00Z", where)
    if stretch.end <= stretch.start:
        raise BadInput(
            f"it ends at {say_moment(stretch.end, zone)}, not after it begins: swap them", where
        )


def no_twins(names: Sequence[str], word: str, where: str) -> None:
    """Refuse two things of one name, whatever the letter case."""
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            raise BadInput(f"two are called {shown(name)}: rename one {word}", where)
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
