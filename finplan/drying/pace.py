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
    infinite where nothing dries. ``spread``: standard deviation of that logarithm that comes
    from not knowing the temperature's and humidity's effect exactly, 0 at 23 °C and 50 %.
    """

    log_time: FloatArray
    spread: FloatArray
