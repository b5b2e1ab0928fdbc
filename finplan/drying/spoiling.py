"""What may spoil a coat that is already on: cold while a film forms, dew on a wet film."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from finplan.air.psychrometrics import FloatArray, dew_point_c
from finplan.drying.clock import DryingClock
from finplan.drying.limits import BoolArray, fears_dew
from finplan.drying.wood_temperature import USUAL_THICKNESS_MM, board_c
from finplan.trade.finishes import Chemistry, Stage
from finplan.trade.quantities import Units, format_temperature

_LONGEST_LOOK_S = 7 * 86400.0

COLD_SOURCE = "Wood Handbook (FPL-GTR-190), chapter 16: latex does not coalesce in the cold"
DEW_SOURCE = "MIL-HDBK-1110, section 7.4.2: water condensing on a fresh film whitens it"


class Cause(StrEnum):
    """What spoils a coat."""

    COLD = "cold while the film forms"
    DEW = "dew on the wet film"


@dataclass(frozen=True, slots=True)
class Spoiling:
    """The first instant (seconds since 1970-01-01 UTC) at which a coat is in danger, and why."""

    cause: Cause
    at_s: float
    sentence: str
    source: str


def spoiling(
    clock: DryingClock,
    end_s: float,
    thickness_mm: float = USUAL_THICKNESS_MM,
    units: Units = Units.METRIC,
) -> tuple[Spoiling, ...]:
    """Look for what spoils a coat between its end and the *safe* tack-free time.

    Args:
        clock: of the finish in the space's air.
        end_s: the end of the coat, seconds since 1970-01-01 UTC.
        thickness_mm: of the boards, for how slowly they follow the air.
        units: of the sentences.

    Returns:
        At most one warning for each cause, the first instant it holds. Where the stage is never
        reached, a week is looked through.
    """
    finish, air = clock.finish, clock.air
    wet_until = min(_wet_until(clock, end_s), end_s + _LONGEST_LOOK_S)
    ends = np.append(air.at_s[1:], np.inf)
    wet = (ends > end_s) & (air.at_s < wet_until)
    wet[0] |= end_s < air.at_s[0]
    found = []
    lowest = finish.refuse_below_c.value
    if finish.chemistry is Chemistry.WATERBORNE:
        at_s = _first(air.at_s, wet & (air.temperature_c < lowest), end_s)
        if at_s is not None:
            found.append(
                Spoiling(
                    Cause.COLD,
                    at_s,
                    f"below {format_temperature(lowest, units)} before the film of {finish.title} "
                    "has formed: it may stay weak or powdery",
                    f"{finish.refuse_below_c.source}; {COLD_SOURCE}",
                )
            )
    if fears_dew(finish):
        dew = dew_point_c(air.temperature_c, air.humidity_percent)
        at_s = _first(air.at_s, wet & (board_c(air, thickness_mm) <= dew), end_s)
        if at_s is not None:
            found.append(
                Spoiling(
                    Cause.DEW,
                    at_s,
                    f"the wood falls to the dew point while {finish.title} is still tacky: it may "
                    "dull or whiten",
                    DEW_SOURCE,
                )
            )
    return tuple(found)


def _wet_until(clock: DryingClock, end_s: float) -> float:
    """Safe tack-free time, or that of the first stage stated where tack-free is not."""
    stated = clock.finish.stages
    stage = Stage.TACK_FREE if Stage.TACK_FREE in stated else next(iter(stated), Stage.TACK_FREE)
    return clock.ready(end_s, stage)


def _first(at_s: FloatArray, danger: BoolArray, end_s: float) -> float | None:
    where = np.flatnonzero(danger)
    return max(end_s, float(at_s[where[0]])) if where.size else None
