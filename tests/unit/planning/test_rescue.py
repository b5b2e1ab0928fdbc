"""Where the forward planner is stuck, the solver still finds what is there."""

from __future__ import annotations

import pytest

from finplan.planning.forward import forward, missed_windows
from finplan.planning.rescue import rescued
from finplan.planning.shop import Stuck
from tests.property.test_brute_force import Brute, tiny

THERE, NOT_THERE = 126, 12


def test_a_layout_the_forward_planner_misses_is_found():
    network = tiny(THERE)
    with pytest.raises(Stuck):
        forward(network, passes=12)
    found = rescued(network, 0)
    assert found is not None
    assert not missed_windows(network, found)
    assert found.goal[0] >= Brute(network).run()


def test_nothing_is_made_up_where_there_is_no_layout():
    network = tiny(NOT_THERE)
    assert Brute(network).run() is None
    assert rescued(network, 0) is None
