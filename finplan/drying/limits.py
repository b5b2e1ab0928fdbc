"""May a coat go on at this hour: the finish's limits against the air and the wood."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from finplan.air.psychrometrics import FloatArray, dew_point_c
from finplan.air.series import AirSeries, steps_at
from finplan.air.sorption import wood_moisture_percent
from finplan.drying.wood_temperature import USUAL_THICKNESS_MM, board_c
from finplan.trade.finishes import Chemistry, Finish

DEW_MARGIN_C = 3.0
DEW_MARGIN_SOURCE = "ISO 8502-4 as practice reads it, written for steel"

LOOK_AHEAD_HOURS = 24.0
LOOK_AHEAD_SOURCE = (
    "Wood Handbook (FPL-GTR-190), chapter 16: latex stays above its minimum for 24 hours"
)

BoolArray = NDArray[np.bool_]


class Limit(StrEnum):
    """What can keep a coat from going on."""

    TOO_COLD = "too cold"
    TOO_COLD_AHEAD = "too cold within 24 h"
    TOO_WARM = "too warm"
    DEW = "near the dew point"
    DAMP_AIR = "damp air"
    DAMP_WOOD = "damp wood"


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the limits look at, at instants of shape (n,), seconds since 1970-01-01 UTC.

    ``margin_c`` is the surface's distance above the dew point; ``wood_percent`` the moisture of
    the outer wood.
    """

    air: AirSeries
    at_s: FloatArray
    temperature_c: FloatArray
    humidity_percent: FloatArray
    surface_c: FloatArray
    margin_c: FloatArray
    wood_percent: FloatArray

    @property
    def coldest_ahead_c(self) -> FloatArray:
        """The coldest air of the 24 h after, °C; few finishes ask for it."""
        return coldest_ahead_c(self.air, self.at_s, LOOK_AHEAD_HOURS)


def conditions_at(
    air: AirSeries,
    at_s: FloatArray,
    thickness_mm: float = USUAL_THICKNESS_MM,
    wood_percent: float | None = None,
) -> Conditions:
    """Air, surface and wood at instants of shape (n,), seconds since 1970-01-01 UTC.

    Args:
        air: the air of the space.
        at_s: the instants; before the air's first step that step counts.
        thickness_mm: of the boards, for how slowly they follow the air.
        wood_percent: a moisture meter's reading that stands for all instants; None lets the
            outer wood follow the equilibrium of the air.
    """
    index = steps_at(air, at_s)
    temperature, humidity = air.temperature_c[index], air.humidity_percent[index]
    surface = board_c(air, thickness_mm, at_s=at_s)
    wood = (
        wood_moisture_percent(air, at_s=at_s)
        if wood_percent is None
        else np.full(at_s.shape, wood_percent)
    )
    return Conditions(
        air=air,
        at_s=at_s,
        temperature_c=temperature,
        humidity_percent=humidity,
        surface_c=surface,
        margin_c=surface - dew_point_c(temperature, humidity),
        wood_percent=wood,
    )


def coldest_ahead_c(air: AirSeries, at_s: FloatArray, hours: float) -> FloatArray:
    """Coldest air from each instant until ``hours`` later, °C, shape as ``at_s``."""
    if not at_s.size:
        return np.zeros(0)
    first = steps_at(air, at_s)
    after = np.maximum(air.at_s.searchsorted(at_s + hours * 3600.0, side="left"), first + 1)
    padded = np.append(air.temperature_c, np.inf)
    pairs = np.column_stack([first, after]).ravel()
    coldest: FloatArray = np.minimum.reduceat(padded, pairs)[::2]
    return coldest


def broken_limits(finish: Finish, now: Conditions) -> dict[Limit, BoolArray]:
    """Which limits forbid a coat of the finish, each an array of the conditions' shape.

    Refused is what spoils the coat: below the refusal temperature (for 24 h where a film must
    close or two components react), above the warmest, within 3 °C of the dew point, air or wood
    damper than the finish bears.
    """
    lowest = finish.refuse_below_c.value
    nothing = np.zeros(now.temperature_c.shape, dtype=np.bool_)
    dampest_air, dampest_wood = finish.dampest_air_percent, finish.dampest_wood_percent
    return {
        Limit.TOO_COLD: now.temperature_c < lowest,
        Limit.TOO_COLD_AHEAD: now.coldest_ahead_c < lowest if looks_ahead(finish) else nothing,
        Limit.TOO_WARM: now.temperature_c > finish.warmest_c.value,
        Limit.DEW: now.margin_c < DEW_MARGIN_C if fears_dew(finish) else nothing,
        Limit.DAMP_AIR: nothing
        if dampest_air is None
        else now.humidity_percent > dampest_air.value,
        Limit.DAMP_WOOD: nothing if dampest_wood is None else now.wood_percent > dampest_wood.value,
    }


def looks_ahead(finish: Finish) -> bool:
    """Whether the finish must also stay above its minimum for the 24 h after the coat."""
    return finish.chemistry in (Chemistry.WATERBORNE, Chemistry.TWO_COMPONENT)


def fears_dew(finish: Finish) -> bool:
    """Whether dew harms the finish: all but oils and waxes that never form a film."""
    return finish.chemistry is not Chemistry.NON_CURING


def may_coat(
    finish: Finish,
    air: AirSeries,
    at_s: FloatArray,
    thickness_mm: float = USUAL_THICKNESS_MM,
    wood_percent: float | None = None,
) -> BoolArray:
    """Whether a coat may go on at each instant: no limit of the finish is broken.

    Args:
        finish: what is to be put on.
        air: the air of the space.
        at_s: instants, seconds since 1970-01-01 UTC, shape (n,).
        thickness_mm: of the boards.
        wood_percent: a moisture meter's reading; None estimates from the air.

    Returns:
        Shape (n,).
    """
    return bears(finish, conditions_at(air, at_s, thickness_mm, wood_percent))


def bears(finish: Finish, now: Conditions) -> BoolArray:
    """Whether a coat may go on in each of some conditions: no limit of the finish is broken."""
    borne: BoolArray = ~np.any(np.stack(list(broken_limits(finish, now).values())), axis=0)
    return borne
