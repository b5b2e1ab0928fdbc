"""Surfaces: the area to be finished, by kind of face, and the room on the rack."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from finplan.trade.parts import Face, Hole, Part, SurfaceAreas

if TYPE_CHECKING:
    from collections.abc import Iterable

MM2_PER_M2 = 1e6


def areas(part: Part) -> SurfaceAreas:
    """Return the area to be finished of all pieces of a part, by kind of face, in m².

    Only the faces the part names count. A hole takes its opening from each of the two faces it
    opens in; its wall counts when at least one of these faces is finished. A blind hole has a
    flat bottom. Sizes are taken as checked (``checks.check_part``).
    """
    length, width, thickness = part.length_mm, part.width_mm, part.thickness_mm
    broad = {face for face in (Face.TOP, Face.BOTTOM) if face in part.faces}
    edges = sum(face in part.faces for face in (Face.LEFT_EDGE, Face.RIGHT_EDGE))
    ends = sum(face in part.faces for face in (Face.NEAR_END, Face.FAR_END))
    side_mm2 = len(broad) * length * width
    holes_mm2 = 0.0
    for hole in part.holes:
        opened = sum(opening_mm2(hole, face, thickness) for face in broad)
        opens_in = {face for face in broad if opening_mm2(hole, face, thickness) > 0}
        side_mm2 -= hole.count * opened
        holes_mm2 += hole.count * wall_mm2(hole, thickness) if opens_in else 0.0
    each = part.quantity / MM2_PER_M2
    return SurfaceAreas(
        side_grain_m2=side_mm2 * each,
        edges_m2=edges * length * thickness * each,
        end_grain_m2=ends * width * thickness * each,
        holes_m2=holes_mm2 * each,
    )


def total_areas(parts: Iterable[Part]) -> SurfaceAreas:
    """Return the areas of several parts together."""
    return sum((areas(part) for part in parts), SurfaceAreas())


def countersink_depth_mm(hole: Hole) -> float:
    """Return how deep the countersink goes: ((D - d) / 2) / tan(angle / 2), 0 without one."""
    if hole.countersink_diameter_mm <= hole.diameter_mm:
        return 0.0
    overhang = (hole.countersink_diameter_mm - hole.diameter_mm) / 2
    return overhang / math.tan(math.radians(hole.countersink_angle_deg) / 2)


def wall_mm2(hole: Hole, thickness_mm: float) -> float:
    """Return the wall of one hole: cone, cylinder and, where it is blind, its flat bottom."""
    depth = _depth_mm(hole, thickness_mm)
    cone_depth = countersink_depth_mm(hole)
    cone = 0.0
    if cone_depth > 0:
        overhang = (hole.countersink_diameter_mm - hole.diameter_mm) / 2
        mean_girth = math.pi * (hole.countersink_diameter_mm + hole.diameter_mm) / 2
        cone = mean_girth * math.hypot(overhang, cone_depth)
    cylinder = math.pi * hole.diameter_mm * max(0.0, depth - cone_depth)
    bottom = 0.0 if _goes_through(hole, thickness_mm) else math.pi * hole.diameter_mm**2 / 4
    return cone + cylinder + bottom


def opening_mm2(hole: Hole, face: Face, thickness_mm: float) -> float:
    """Return what one hole takes from a face: it is drilled, and countersunk, from the top."""
    if face is Face.TOP:
        return math.pi * max(hole.diameter_mm, hole.countersink_diameter_mm) ** 2 / 4
    if face is Face.BOTTOM and _goes_through(hole, thickness_mm):
        return math.pi * hole.diameter_mm**2 / 4
    return 0.0


def largest_face_m2(part: Part) -> float:
    """Return the largest face of one piece in m²."""
    _, middle, longest = sorted((part.length_mm, part.width_mm, part.thickness_mm))
    return middle * longest / MM2_PER_M2


def footprint_m2(part: Part, rack_share: float) -> float:
    """Return the rack area all pieces of a part take.

    Args:
        part: the pieces.
        rack_share: rack area per m² of a piece's largest face (1.0 = laid edge to edge).
    """
    return part.quantity * largest_face_m2(part) * rack_share


def _goes_through(hole: Hole, thickness_mm: float) -> bool:
    return hole.depth_mm is None or hole.depth_mm >= thickness_mm


def _depth_mm(hole: Hole, thickness_mm: float) -> float:
    return thickness_mm if hole.depth_mm is None else min(hole.depth_mm, thickness_mm)
