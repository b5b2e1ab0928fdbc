"""Waterborne finishes: the water must leave before the film can close.

Dalton's law with the film at the temperature of the air: speed in proportion to the air's
vapour-pressure deficit, 1405 Pa at 23 °C and 50 %. A film cooled to the wet bulb would take up
to 1.5 times less in the cold than this says, and up to 1.45 times more at 30 °C: the band about
it allows for part of that. Moving air helps in some studies and not in others; it is left out.

Drier than 0.4 times the time is not believed: below it the coalescing of the particles, not the
water, sets the pace (an assumption). Saturated air dries nothing. Meant for 10 to 32 °C.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray, vapour_pressure_deficit_pa
from finplan.drying.arrhenius import REFERENCE_C, REFERENCE_PERCENT
from finplan.drying.pace import Pace

FASTEST_MULTIPLIER = 0.4

# Between the film at air temperature and at the wet bulb lies a factor of up to 1.5 at 10 °C,
# where the multiplier itself is about 2.3: half of that as one standard deviation.
SIGMA_SHARE = 0.25


def time_multiplier(temperature_c: FloatArray, humidity_percent: FloatArray) -> FloatArray:
    """How many times as long as at 23 °C and 50 %; infinite in saturated air."""
    deficit = vapour_pressure_deficit_pa(temperature_c, humidity_percent)
    reference = vapour_pressure_deficit_pa(REFERENCE_C, REFERENCE_PERCENT)
    with np.errstate(divide="ignore"):
        multiplier: FloatArray = np.where(deficit > 0.0, reference / deficit, np.inf)
    return multiplier


def pace(temperature_c: FloatArray, humidity_percent: FloatArray) -> Pace:
    """Speed of a waterborne finish, arrays of shape (n,)."""
    multiplier = time_multiplier(temperature_c, humidity_percent)
    log_time = np.log(np.maximum(multiplier, FASTEST_MULTIPLIER))
    tilt = SIGMA_SHARE * np.where(np.isinf(log_time), 0.0, log_time)
    return Pace(log_time, tilt, np.zeros_like(tilt))
