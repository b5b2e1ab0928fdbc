"""Woods: how much they swell and shrink, and what they are called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.trade.numbers import Number, Span

if TYPE_CHECKING:
    from collections.abc import Mapping

LINEAR_MC_PERCENT = Span(6.0, 14.0, "Wood Handbook FPL-GTR-190 (2010), ch. 13")
"""Moisture contents between which the change coefficients hold."""


DIFFUSION_HARDWOOD_M2_PER_S = Number(
    0.3e-10, "from memory, unverified: hardwoods 0.3 to 3e-10 m²/s; the slow end, to be safe"
)
DIFFUSION_SOFTWOOD_M2_PER_S = Number(
    1.0e-10, "assumption: softwoods let water through about three times as quickly"
)
"""How quickly water moves across the grain, at 20 °C."""


@dataclass(frozen=True, slots=True)
class Wood:
    """A species or trade group.

    ``change_*_per_percent``: relative change of size per percent of moisture content, 6 to 14 %.
    Radial is quarter-sawn, tangential flat-sawn. None where no value was found. ``softwood``: a
    conifer, which dries quicker.
    """

    name: str
    also: tuple[str, ...]
    change_radial_per_percent: Number | None = None
    change_tangential_per_percent: Number | None = None
    softwood: bool = False


def find_wood(name: str, known: Mapping[str, Wood]) -> Wood | None:
    """Return the wood of this name or other name, whatever its letter case; None if unknown."""
    wanted = " ".join(name.lower().replace("-", " ").split())
    for wood in known.values():
        if wanted in {one.replace("-", " ") for one in (wood.name, *wood.also)}:
            return wood
    return None


def diffusion_m2_per_s(wood: Wood | None) -> float:
    """Return how quickly water moves across the grain at 20 °C; unknown wood counts as slow."""
    quick = wood is not None and wood.softwood
    return (DIFFUSION_SOFTWOOD_M2_PER_S if quick else DIFFUSION_HARDWOOD_M2_PER_S).value


def size_change_mm(
    size_mm: float, from_mc_percent: float, to_mc_percent: float, change_per_percent: float
) -> float:
    """Return how much a size across the grain changes between two moisture contents.

    Size × coefficient × change of moisture content (Wood Handbook, equation 13-2). Valid from 6
    to 14 %; beyond it the change is understated.
    """
    return size_mm * change_per_percent * (to_mc_percent - from_mc_percent)
