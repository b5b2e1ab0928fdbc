"""Oils, alkyds and oil varnishes: they take up oxygen and cross-link.

Temperature: Arrhenius with 60 kJ/mol, band 50 to 80 (a choice of this program: between 66 ± 4
kJ/mol for linolenic acid without driers, Ulkowski, Musialik and Litwinienko, J. Agric. Food
Chem. 53 (2005) 9073, and the workshop rule of twice the speed for 10 °C).

Humidity: no effect up to 65 %, then growing evenly to 1.5 times the time at 85 %, band 1 to 2
(an assumption: the direction is widely told, no verified figures were found).

Meant for 5 to 35 °C.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.arrhenius import coldness
from finplan.drying.pace import NINETY_PERCENT, Pace

ENERGY_KJ = 60.0
ENERGY_SIGMA_KJ = (80.0 - 50.0) / 2.0 / NINETY_PERCENT

DAMP_FROM_PERCENT = 65.0
DAMP_AT_PERCENT = 85.0
DAMP_MULTIPLIER = 1.5
# The band 1 to 2 about 1.5, taken in the logarithm and in proportion to the effect itself.
DAMP_SIGMA_SHARE = (np.log(2.0) / np.log(DAMP_MULTIPLIER) - 1.0) / NINETY_PERCENT


def humidity_multiplier(humidity_percent: FloatArray) -> FloatArray:
    """How many times as long the air's damp makes an oil film take."""
    over = np.maximum(0.0, humidity_percent - DAMP_FROM_PERCENT)
    slope = (DAMP_MULTIPLIER - 1.0) / (DAMP_AT_PERCENT - DAMP_FROM_PERCENT)
    multiplier: FloatArray = 1.0 + over * slope
    return multiplier


def pace(
    temperature_c: FloatArray,
    humidity_percent: FloatArray,
    energy_kj: float = ENERGY_KJ,
    energy_sigma_kj: float = ENERGY_SIGMA_KJ,
) -> Pace:
    """Speed of an oxidative finish, arrays of shape (n,)."""
    cold = coldness(temperature_c)
    damp = np.log(humidity_multiplier(humidity_percent))
    return Pace(energy_kj * cold + damp, energy_sigma_kj * cold, DAMP_SIGMA_SHARE * damp)
