"""Air over time: temperature and humidity on steps of their own."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class AirSource(StrEnum):
    """Where a stretch of air comes from, most trusted first."""

    READING = "reading"
    FORECAST = "forecast"
    NORMALS = "normals"
    CONSTANT = "constant"


@dataclass(frozen=True, slots=True)
class AirSeries:
    """Air as steps: value ``i`` holds from ``at_s[i]`` until ``at_s[i + 1]``, the last for good.

    ``at_s``: seconds since 1970-01-01 UTC, strictly rising, float64, shape (n,).
    ``temperature_c``, ``humidity_percent``: float64, shape (n,).
    ``source``: index into ``tuple(AirSource)``, uint8, shape (n,).
    """

    at_s: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    humidity_percent: NDArray[np.float64]
    source: NDArray[np.uint8]
