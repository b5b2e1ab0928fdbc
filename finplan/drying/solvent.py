"""Shellac and lacquer: dry when the solvent has gone.

The solvent leaves in proportion to its saturated vapour pressure, which follows an Arrhenius
law over workshop temperatures: 43 kJ/mol for ethanol, 38 for toluene, 32 to 52 from acetone to
decane (computed with CoolProp 8.0). Humidity does not change the speed; it whitens the film
(blushing), which is a matter of limits. Meant for 5 to 35 °C.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.arrhenius import coldness
from finplan.drying.pace import NINETY_PERCENT, Pace

ENERGY_KJ = 43.0
ENERGY_SIGMA_KJ = (52.0 - 32.0) / 2.0 / NINETY_PERCENT


def pace(
    temperature_c: FloatArray,
    energy_kj: float = ENERGY_KJ,
    energy_sigma_kj: float = ENERGY_SIGMA_KJ,
) -> Pace:
    """Speed of a solvent-borne, non-reacting finish, arrays of shape (n,)."""
    cold = coldness(temperature_c)
    return Pace(energy_kj * cold, energy_sigma_kj * cold, np.zeros_like(cold))
