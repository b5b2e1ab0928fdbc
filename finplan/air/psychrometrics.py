"""Moist air: saturation pressure, dew point, vapour-pressure deficit, wet bulb.

Every function takes plain numbers or numpy arrays (both arguments of the same kind) and returns
the same. Temperatures in °C, humidity in % relative to liquid water, pressures in Pa.
"""

from __future__ import annotations

from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]

Values = TypeVar("Values", float, NDArray[np.float64])

ZERO_C_IN_K = 273.15

# Hyland and Wexler's fit of the saturation pressure over liquid water, ln(Pa) of kelvin, as
# printed in the ASHRAE Handbook of Fundamentals. Meant for 0 to 200 °C; below 0 °C it goes on
# smoothly as over supercooled water, which is what a wet surface cares about.
_INVERSE, _ZERO, _FIRST = -5.8002206e3, 1.3914993, -4.8640239e-2
_SECOND, _THIRD, _LOG = 4.1764768e-5, -1.4452093e-8, 6.5459673

# Magnus form with the coefficients of the World Meteorological Organization: the first guess.
_MAGNUS_A, _MAGNUS_B, _MAGNUS_P0 = 17.62, 243.12, 611.2

_DRIEST_PERCENT = 0.01
_PSYCHROMETER_PER_K = 0.000662  # of the pressure, ventilated wet bulb (WMO guide)
_STANDARD_PRESSURE_PA = 101_325.0


def saturation_pressure_pa(temperature_c: Values) -> Values:
    """Pressure of water vapour in saturated air, Pa (Hyland–Wexler over liquid water)."""
    return _exp(_log_saturation(temperature_c))


def vapour_pressure_pa(temperature_c: Values, humidity_percent: Values) -> Values:
    """Pressure of the water vapour that is in the air, Pa."""
    return saturation_pressure_pa(temperature_c) * humidity_percent / 100.0


def vapour_pressure_deficit_pa(temperature_c: Values, humidity_percent: Values) -> Values:
    """How much vapour pressure the air still lacks to be saturated, Pa."""
    return saturation_pressure_pa(temperature_c) * (1.0 - humidity_percent / 100.0)


def humidity_of_vapour_percent(temperature_c: Values, vapour_pa: Values) -> Values:
    """Relative humidity of air that holds ``vapour_pa`` at a temperature; at most 100 %."""
    share: Values = np.minimum(100.0, 100.0 * vapour_pa / saturation_pressure_pa(temperature_c))
    return share


def dew_point_c(temperature_c: Values, humidity_percent: Values) -> Values:
    """Temperature at which the air begins to leave dew, °C (over liquid water, also below 0).

    Two Newton steps from the Magnus form invert the saturation pressure to better than
    0.001 °C from -40 to 60 °C. Humidity below 0.01 % counts as 0.01 %.
    """
    vapour: Values = np.maximum(humidity_percent, _DRIEST_PERCENT) / 100.0
    log_vapour: Values = np.log(vapour) + _log_saturation(temperature_c)
    gamma: Values = log_vapour - np.log(_MAGNUS_P0)
    dew: Values = _MAGNUS_B * gamma / (_MAGNUS_A - gamma)
    for _ in range(2):
        dew = dew - (_log_saturation(dew) - log_vapour) / _log_slope(dew)
    return dew


def wet_bulb_c(temperature_c: Values, humidity_percent: Values) -> Values:
    """Temperature of a wet, well-aired surface, °C, at sea level.

    The psychrometer equation, e = psat(tw) - 0.000662 p (t - tw), solved by Newton; within
    0.2 °C of the thermodynamic wet bulb between 5 and 35 °C.
    """
    vapour = vapour_pressure_pa(temperature_c, humidity_percent)
    constant = _PSYCHROMETER_PER_K * _STANDARD_PRESSURE_PA
    wet: Values = 0.5 * (temperature_c + dew_point_c(temperature_c, humidity_percent))
    for _ in range(5):
        saturated = saturation_pressure_pa(wet)
        excess = saturated - constant * (temperature_c - wet) - vapour
        wet = wet - excess / (saturated * _log_slope(wet) + constant)
    return wet


def _log_saturation(temperature_c: Values) -> Values:
    kelvin = temperature_c + ZERO_C_IN_K
    polynomial = _ZERO + kelvin * (_FIRST + kelvin * (_SECOND + kelvin * _THIRD))
    result: Values = _INVERSE / kelvin + polynomial + _LOG * np.log(kelvin)
    return result


def _log_slope(temperature_c: Values) -> Values:
    """Derivative of the logarithm of the saturation pressure, per K."""
    kelvin = temperature_c + ZERO_C_IN_K
    polynomial = _FIRST + kelvin * (2.0 * _SECOND + kelvin * 3.0 * _THIRD)
    return -_INVERSE / (kelvin * kelvin) + polynomial + _LOG / kelvin


def _exp(value: Values) -> Values:
    result: Values = np.exp(value)
    return result
