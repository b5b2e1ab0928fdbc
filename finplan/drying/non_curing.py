"""Mineral oil and beeswax: they sink in and never cure.

Their times say when the surplus has been taken up and the surface may be touched or oiled
again; nothing is known of how air changes them, so nothing is assumed.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.pace import Pace


def pace(temperature_c: FloatArray) -> Pace:
    """The same speed in any air, arrays of shape (n,)."""
    nothing = np.zeros_like(temperature_c)
    return Pace(nothing, nothing, nothing)
