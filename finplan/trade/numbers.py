"""Numbers that carry their source, as everything finplan ships must."""

from __future__ import annotations

import math
from dataclasses import dataclass

COMMON_PRACTICE = "common practice, no source"
FROM_MEMORY = "from memory, unverified"


@dataclass(frozen=True, slots=True)
class Number:
    """One value and where it comes from."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Span:
    """A stated range, both ends included, and where it comes from.

    For a time, the upper end is the safe one and the geometric middle the likely one.
    """

    low: float
    high: float
    source: str

    @property
    def middle(self) -> float:
        """The geometric middle (the arithmetic one where an end is zero)."""
        return math.sqrt(self.low * self.high) if self.low > 0 else (self.low + self.high) / 2
