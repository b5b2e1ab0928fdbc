"""The pace of any finish in any air: picks the chemistry and stops the clock in the cold."""

from __future__ import annotations

from typing import assert_never

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying import non_curing, oxidative, solvent, two_component, waterborne
from finplan.drying.pace import NINETY_PERCENT, Pace
from finplan.trade.finishes import Chemistry, Finish


def rate(finish: Finish, temperature_c: FloatArray, humidity_percent: FloatArray) -> FloatArray:
    """Likely speed of drying relative to 23 °C and 50 % RH, 0 where it stands still.

    Args:
        finish: the finish; its own activation energy counts before its chemistry's.
        temperature_c: air at the film, shape (n,).
        humidity_percent: relative humidity, shape (n,).
    """
    speed: FloatArray = np.exp(-pace(finish, temperature_c, humidity_percent).log_time)
    return speed


def pace(finish: Finish, temperature_c: FloatArray, humidity_percent: FloatArray) -> Pace:
    """Speed and its uncertainty; the time is infinite below the finish's refusal temperature."""
    free = pace_without_stops(finish, temperature_c, humidity_percent)
    return stopped(finish, temperature_c, free)


def stopped(finish: Finish, temperature_c: FloatArray, free: Pace) -> Pace:
    """A pace by the chemistry alone, stopped below the finish's refusal temperature."""
    if finish.chemistry is Chemistry.NON_CURING:
        return free
    log_time = np.where(temperature_c < finish.refuse_below_c.value, np.inf, free.log_time)
    return Pace(log_time, free.tilt, free.spread)


def activation_energy_kj(finish: Finish) -> tuple[float, float]:
    """Activation energy and its standard deviation, kJ/mol: the finish's own or its chemistry's.

    A stated span is read as a 5 to 95 % band about its geometric middle; one number keeps the
    uncertainty of the chemistry.
    """
    usual, sigma = _usual_energy_kj(finish.chemistry)
    own = finish.activation_energy_kj_per_mol
    if own is None:
        return usual, sigma
    if own.high > own.low:
        sigma = (own.high - own.low) / 2.0 / NINETY_PERCENT
    return own.middle, sigma


def _usual_energy_kj(chemistry: Chemistry) -> tuple[float, float]:
    match chemistry:
        case Chemistry.OXIDATIVE:
            return oxidative.ENERGY_KJ, oxidative.ENERGY_SIGMA_KJ
        case Chemistry.SOLVENT:
            return solvent.ENERGY_KJ, solvent.ENERGY_SIGMA_KJ
        case Chemistry.TWO_COMPONENT:
            return two_component.ENERGY_KJ, two_component.ENERGY_SIGMA_KJ
        case Chemistry.WATERBORNE | Chemistry.NON_CURING:
            return 0.0, 0.0
    assert_never(chemistry)


def pace_without_stops(finish: Finish, t: FloatArray, rh: FloatArray) -> Pace:
    """Speed by the chemistry alone: in the cold a window goes on closing, if slowly."""
    energy, sigma = activation_energy_kj(finish)
    match finish.chemistry:
        case Chemistry.OXIDATIVE:
            return oxidative.pace(t, rh, energy, sigma)
        case Chemistry.SOLVENT:
            return solvent.pace(t, energy, sigma)
        case Chemistry.WATERBORNE:
            return waterborne.pace(t, rh)
        case Chemistry.TWO_COMPONENT:
            return two_component.pace(t, energy, sigma)
        case Chemistry.NON_CURING:
            return non_curing.pace(t)
    assert_never(finish.chemistry)
