"""Rows of numbers side by side in one whole number, so that a whole row is handled at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

BITS = 32
"""Bits of a number in a row; the highest is only borrowed from."""

FAR = 1 << (BITS - 2)
"""No slot is that far ahead: it would be thirty thousand years of quarter hours."""

ONE = (1 << BITS) - 1

_NUMBER = np.dtype("<u4")


def row_of(numbers: Sequence[int] | NDArray[np.int64]) -> int:
    """A row of numbers, none less than 0 or more than ``FAR``."""
    return int.from_bytes(np.asarray(numbers).astype(_NUMBER).tobytes(), "little")


def number_at(row: int, shift: int) -> int:
    """The number so many bits from the beginning of a row."""
    return (row >> shift) & ONE


class Rows:
    """What can be done with rows of so many numbers."""

    def __init__(self, numbers: int) -> None:
        self._numbers = numbers
        self._ones = row_of([1] * numbers)
        self._high = self._ones << (BITS - 1)
        self._each: dict[int, int] = {}

    def greater(self, one: int, two: int) -> int:
        """The greater of each two numbers."""
        at_least = ((one | self._high) - two) & self._high
        return two ^ ((one ^ two) & (at_least - (at_least >> (BITS - 1))))

    def at_least(self, row: int, least: int) -> int:
        """A row with all numbers less than one made that one."""
        return self.greater(row, self._all(least))

    def over(self, row: int, most: int) -> int:
        """A row with all numbers up to one made 0."""
        more = ((row | self._high) - self._all(most + 1)) & self._high
        return row & (more - (more >> (BITS - 1)))

    def no_more(self, one: int, two: int) -> bool:
        """Whether no number of the first row is more than that of the second."""
        return ((two | self._high) - one) & self._high == self._high

    def numbers(self, row: int) -> NDArray[np.int64]:
        """The numbers of a row."""
        octets = row.to_bytes(BITS // 8 * self._numbers, "little")
        return np.frombuffer(octets, _NUMBER).astype(np.int64)

    def _all(self, number: int) -> int:
        """The same number everywhere."""
        row = self._each.get(number)
        if row is None:
            row = self._each[number] = self._ones * number
        return row
