"""Two-component polyurethane and epoxy: base and hardener react.

Arrhenius with 50 kJ/mol, that is half or twice the time for 10 °C: the rule for pot life in
Unified Facilities Guide Specifications 09970 and 09971 (paragraph 3.7.1.3), and within 5 % of
the recoat table of UFGS-09971 from 16 to 43 °C. Fits to other tables run from 47 to 62 kJ/mol.
The same law drives pot life and the end of the recoat window. Meant for 16 to 38 °C.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.arrhenius import coldness, time_multiplier
from finplan.drying.pace import NINETY_PERCENT, Pace

ENERGY_KJ = 50.0
ENERGY_SIGMA_KJ = (62.0 - 47.0) / 2.0 / NINETY_PERCENT


def pace(
    temperature_c: FloatArray,
    energy_kj: float = ENERGY_KJ,
    energy_sigma_kj: float = ENERGY_SIGMA_KJ,
) -> Pace:
    """Speed of a two-component finish, arrays of shape (n,)."""
    cold = coldness(temperature_c)
    return Pace(energy_kj * cold, energy_sigma_kj * cold, np.zeros_like(cold))


def pot_life_hours(
    at_reference_hours: float, temperature_c: float, energy_kj: float = ENERGY_KJ
) -> float:
    """Pot life at a temperature from the one at 23 °C, hours."""
    return at_reference_hours * time_multiplier(temperature_c, energy_kj)
