"""How warmth speeds a reaction: the Arrhenius law about the reference temperature."""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import ZERO_C_IN_K, Values

GAS_CONSTANT_KJ = 8.314462618e-3
"""kJ/(mol K), exact in the SI."""

REFERENCE_C = 23.0
"""Standard temperature for tests of coatings (ASTM D3924, ISO 3270)."""

REFERENCE_PERCENT = 50.0
"""Standard relative humidity for tests of coatings (ASTM D3924, ISO 3270)."""


def coldness(temperature_c: Values) -> Values:
    """Distance from 23 °C as 1/(R T) - 1/(R T23), mol/kJ: above zero when colder."""
    return (
        1.0 / (temperature_c + ZERO_C_IN_K) - 1.0 / (REFERENCE_C + ZERO_C_IN_K)
    ) / GAS_CONSTANT_KJ


def time_multiplier(temperature_c: Values, activation_energy_kj: float) -> Values:
    """How many times as long a reaction takes as at 23 °C."""
    multiplier: Values = np.exp(activation_energy_kj * coldness(temperature_c))
    return multiplier
