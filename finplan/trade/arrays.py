"""Arrays of numbers, where numpy's own way would load too much."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

N = TypeVar("N", bound=np.generic)


def rising(values: NDArray[N]) -> NDArray[N]:
    """Return each value once, in rising order; no value may be NaN.

    ``numpy.unique`` does the same, but loads masked arrays first, which every start would pay.
    """
    ordered = np.sort(values)
    first = np.ones(len(ordered), dtype=np.bool_)
    np.not_equal(ordered[1:], ordered[:-1], out=first[1:])
    return ordered[first]
