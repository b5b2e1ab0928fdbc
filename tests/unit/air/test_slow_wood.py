"""The lag behind the air, summed block by block, is the step by step one."""

from __future__ import annotations

import numpy as np
import pytest

from finplan.air.sorption import follow


@pytest.mark.parametrize("lag_hours", [0.01, 0.3, 1.0, 24.0, 500.0, 1e5])
@pytest.mark.parametrize("size", [1, 2, 7, 4000])
def test_in_blocks_or_step_by_step_is_the_same(lag_hours, size):
    draws = np.random.default_rng(size)
    hours = draws.exponential(1.0, size - 1)
    hours[2:3], hours[1:2] = 5000.0, 1e-9
    target = draws.normal(10.0, 5.0, size)
    value, values = 3.0, [3.0]
    for aim, step in zip(target, hours, strict=False):
        value = aim + (value - aim) * np.exp(-step / lag_hours)
        values.append(value)
    assert follow(target, hours, lag_hours, 3.0) == pytest.approx(values, rel=1e-9, abs=1e-9)
