"""Likely and safe: drying times as lognormal bands.

A time printed on a label or passed on in the trade is a cautious one. So the upper end of a
stated range is the *safe* time, reached by four coats in five, at 23 °C and 50 %, and the
geometric middle is the *likely* one (the median). Where only one time is stated it is the safe
one, and the band has the width usual for the chemistry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import Span

BOOK_QUANTILE = 0.8
"""The share of coats that are ready by a stated time."""

LOWEST_QUANTILE, HIGHEST_QUANTILE = 0.5, 0.99

USUAL_SIGMA: dict[Chemistry, float] = {
    Chemistry.OXIDATIVE: 0.35,
    Chemistry.SOLVENT: 0.25,
    Chemistry.WATERBORNE: 0.3,
    Chemistry.TWO_COMPONENT: 0.2,
    Chemistry.NON_CURING: 0.3,
}
"""Spread of the logarithm where no range is stated (an assumption of this program)."""


@dataclass(frozen=True, slots=True)
class Band:
    """A lognormal: its median, and the standard deviation of its natural logarithm.

    Both hold at 23 °C and 50 %; the rest says how the band follows the temperature. ``tilt``:
    by how many of its standard deviations the temperature's effect is stronger than the book
    has it, and ``tilt_sigma`` how surely, 1 being the book's own doubt. ``pivot``: where the
    band is narrowest, as a tilt of the pace (``pace.Pace``); 0 is 23 °C. The doubt about the
    temperature's effect grows with the distance from it.
    """

    median: float
    sigma: float
    tilt: float = 0.0
    tilt_sigma: float = 1.0
    pivot: float = 0.0


@lru_cache(maxsize=64)
def normal_quantile(share: float) -> float:
    """Standard normal quantile; share above 0 and below 1."""
    from statistics import NormalDist

    return NormalDist().inv_cdf(share)


def check_quantile(quantile: float) -> float:
    """Return a safety quantile that makes sense.

    Raises:
        BadInput: outside 0.5 to 0.99.
    """
    if not LOWEST_QUANTILE <= quantile <= HIGHEST_QUANTILE:
        raise BadInput(
            f"safety quantile {quantile:g}: give one from {LOWEST_QUANTILE:g} (likely) to "
            f"{HIGHEST_QUANTILE:g}; {BOOK_QUANTILE:g} is usual"
        )
    return quantile


def stage_band(finish: Finish, stage: Stage) -> Band | None:
    """Hours to a stage at 23 °C and 50 % by the book; None where it is never reached."""
    span = finish.stages.get(stage)
    if span is None or not math.isfinite(span.high):
        return None
    return _band_of(span, finish.chemistry)


def prior(finish: Finish) -> Band:
    """What to believe of a finish before any check: times the book's likely time.

    The median is 1; the spread is that of the stated range of dry-to-recoat (of the first
    stated stage where that is missing).
    """
    ordered = (Stage.DRY_TO_RECOAT, *Stage)
    for stage in ordered:
        band = stage_band(finish, stage)
        if band is not None and band.median > 0.0:
            return Band(1.0, band.sigma)
    return Band(1.0, USUAL_SIGMA[finish.chemistry])


def _band_of(span: Span, chemistry: Chemistry) -> Band:
    z = normal_quantile(BOOK_QUANTILE)
    if 0.0 < span.low < span.high:
        return Band(span.middle, math.log(span.high / span.middle) / z)
    sigma = USUAL_SIGMA[chemistry]
    return Band(span.high * math.exp(-z * sigma), sigma)
