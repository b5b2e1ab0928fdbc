"""Filling by sessions: what keeps the dust waiting, and searches of very much work."""

from __future__ import annotations

from dataclasses import replace

import pytest

from finplan.planning.bound import HOURS, lower_bound
from finplan.planning.build import build
from finplan.planning.by_sessions import _dust_waits
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.forward import forward, rank
from finplan.planning.optimise import optimise
from finplan.planning.plan import Method
from finplan.planning.search_words import Effort
from finplan.planning.shop import Shop
from tests.benchmarks.shops_at_work import COLD, days_ahead
from tests.benchmarks.shops_at_work import shop as invented_shop


@pytest.fixture(scope="module")
def eight():
    """A request of eight batches whose hours of work bind, and its network."""
    asked = invented_shop(8, 1, "hobby", COLD)
    return asked, build(asked, days_ahead(8))


def test_dust_waits_for_a_coat_only_where_it_does_not_wait_anyway(eight):
    network = eight[1].network
    coats = [index for index, node in enumerate(network.nodes) if node.wet is not None]
    slow = max(coats, key=lambda index: network.nodes[index].wet.dust_free[40])
    session = network.axis.sessions[40]
    node, shop = network.nodes[slow], Shop(network)
    alone = _dust_waits(shop, node, session)
    assert alone > 0
    shop.take_run(slow, session)
    assert _dust_waits(shop, node, session) == 0
    apart = Shop(replace(network, dust_apart=(True,)))
    assert _dust_waits(apart, node, session) == 0


def test_very_much_work_is_filled_session_by_session_and_never_worse(eight, monkeypatch):
    asked, built = eight
    network = built.network
    monkeypatch.setattr("finplan.planning.optimise._MANY_NODES", 0)
    start, bound = forward(network), lower_bound(network)
    assert bound.by == HOURS
    best = optimise(network, start, int(asked.now.timestamp()), Effort(2.0, 1))
    assert rank(network, best.found) < rank(network, start)
    assert best.bound.ready_s == bound.ready_s <= best.found.goal[0]
    assert faults(asked, dress(built, best.found, Method.FORWARD, bound)) == []
