"""Looking through all orders finds what trying every layout finds, and proves it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from finplan.planning.all_orders import AllOrders
from finplan.planning.bound import alone
from finplan.planning.by_all_orders import try_all_orders
from finplan.planning.flat import Kept, flatten
from finplan.planning.lines import lines_of
from tests.property.test_brute_force import Brute, first_layout, quarters, tiny

EVERYTHING = 1 << 60


def alone_at_work(network):
    """The network with the first person only."""
    nodes = tuple(replace(node, people=(0,)) for node in network.nodes)
    return replace(network, nodes=nodes)


def cases():
    """Tiny networks that one person can do, with the earliest ready time of all layouts."""
    for seed in range(400, 480):
        network = alone_at_work(tiny(seed))
        best, start = Brute(network).run(), first_layout(network)
        assert (best is None) == (start is None), seed
        if best is not None:
            yield seed, network, start, best


@pytest.fixture(scope="module")
def compared():
    found = list(cases())
    assert len(found) > 50
    return found


def test_all_orders_can_be_ready_by_the_optimum_and_none_before(compared):
    for seed, network, start, best in compared:
        tasks = flatten(network, alone(network), start.goal[0], 0, kept=Kept())
        lines = lines_of(tasks)
        assert lines is not None, seed
        at_best = AllOrders(lines, best).search(EVERYTHING, EVERYTHING)
        assert at_best.layout, seed
        assert at_best.ready_s == best, seed
        before = AllOrders(lines, best - 1).search(EVERYTHING, EVERYTHING)
        assert before.whole, seed
        assert before.layout is None, seed


def test_the_best_layout_is_found_and_proved(compared):
    for seed, network, start, best in compared:
        tried = try_all_orders(network, start, 0, Kept(), 0, lambda: True)
        assert tried.proved, seed
        assert quarters(tried.found.goal[0]) == quarters(best), seed
        assert tried.bound_s <= best, seed


def test_few_states_are_never_called_all(compared):
    for seed, network, start, best in compared[:40]:
        tasks = flatten(network, alone(network), start.goal[0], 0, kept=Kept())
        narrow = AllOrders(lines_of(tasks), best).search(1, EVERYTHING)
        assert narrow.layout or not narrow.whole, seed
        short = AllOrders(lines_of(tasks), best).search(EVERYTHING, 2)
        assert short.layout or not short.whole, seed
