"""What every chemistry answers: how much slower than at 23 °C and 50 %, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

from finplan.air.psychrometrics import FloatArray

NINETY_PERCENT = 1.6449
"""Half the width of a stated band in standard deviations, a band being read as 5 to 95 %."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Speed of drying on each step of the air.

    ``log_time``: natural logarithm of the time needed relative to 23 °C and 50 %, shape (n,);
    infinite where nothing dries. ``tilt``: how the logarithm changes if the temperature's effect
    is one standard deviation stronger than thought; above zero where it slows. ``spread``:
    standard deviation of the logarithm from other doubts, such as about damp. Both are 0 at
    23 °C and 50 %.
    """

    log_time: FloatArray
    tilt: FloatArray
    spread: FloatArray
