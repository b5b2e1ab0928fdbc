"""The normal distribution over arrays: numpy has none of its own."""

from __future__ import annotations

import math

import numpy as np

from finplan.air.psychrometrics import FloatArray


def normal_below(z: FloatArray) -> FloatArray:
    """Share of a standard normal below each value, to 1e-7 (Abramowitz and Stegun, 26.2.17)."""
    size = np.abs(np.clip(z, -30.0, 30.0))
    t = 1.0 / (1.0 + 0.2316419 * size)
    series = t * (
        0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    tail = np.exp(-0.5 * size * size) / math.sqrt(2.0 * math.pi) * series
    below: FloatArray = np.where(z > 0.0, 1.0 - tail, tail)
    return below
