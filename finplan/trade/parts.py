"""Parts: identical pieces of wood, their faces and holes."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Face(StrEnum):
    """One of the six faces of a piece. Length runs with the grain."""

    TOP = "top"
    BOTTOM = "bottom"
    LEFT_EDGE = "left edge"
    RIGHT_EDGE = "right edge"
    NEAR_END = "near end"
    FAR_END = "far end"


ALL_FACES: frozenset[Face] = frozenset(Face)

USUAL_COUNTERSINK_DEG = 82.0
"""Angle for wood screws in inch sizes; metric ones have 90° (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Hole:
    """Identical holes in each piece, drilled through the thickness.

    ``countersink_diameter_mm`` 0 means none. ``depth_mm`` None means right through.
    ``count`` is per piece.
    """

    diameter_mm: float
    count: int = 1
    countersink_diameter_mm: float = 0.0
    countersink_angle_deg: float = USUAL_COUNTERSINK_DEG
    depth_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """``quantity`` identical pieces; sizes in mm, length along the grain."""

    name: str
    quantity: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    wood: str
    holes: tuple[Hole, ...] = ()
    faces: frozenset[Face] = field(default=ALL_FACES)


@dataclass(frozen=True, slots=True)
class SurfaceAreas:
    """Area to be finished by kind of face, in m²."""

    side_grain_m2: float = 0.0
    edges_m2: float = 0.0
    end_grain_m2: float = 0.0
    holes_m2: float = 0.0

    @property
    def total_m2(self) -> float:
        """All kinds together."""
        return self.side_grain_m2 + self.edges_m2 + self.end_grain_m2 + self.holes_m2

    def __add__(self, other: SurfaceAreas) -> SurfaceAreas:
        return SurfaceAreas(
            self.side_grain_m2 + other.side_grain_m2,
            self.edges_m2 + other.edges_m2,
            self.end_grain_m2 + other.end_grain_m2,
            self.holes_m2 + other.holes_m2,
        )
