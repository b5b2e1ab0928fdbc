"""Arrays of numbers put in order."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from finplan.trade.arrays import rising


@given(st.lists(st.integers(-5, 5) | st.floats(-3.0, 3.0)))
def test_each_value_comes_once_in_rising_order(values):
    array = np.array(values, dtype=np.float64)
    assert rising(array).tolist() == np.unique(array).tolist()


def test_masked_arrays_are_not_loaded_for_it():
    told = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, numpy\nfrom finplan.trade.arrays import rising\n"
            "rising(numpy.array([2, 1, 2]))\nprint('numpy.ma' in sys.modules)",
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.strip() == "False"
