"""Filling each session in several ways: sound, never worse, the same again, and often sooner."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from finplan.planning.bound import lower_bound
from finplan.planning.build import build
from finplan.planning.by_several_ways import improve_by_several_ways
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.forward import forward, rank
from finplan.planning.parts import in_parts
from finplan.planning.plan import Method
from finplan.trade.workshop import Space
from tests.benchmarks.shops_at_work import COLD, NORMALS, WARM, days_ahead
from tests.benchmarks.shops_at_work import shop as invented_shop


def shop_of(batches, seed, nights, rack_m2=6.0):
    asked = invented_shop(batches, seed, "hobby", nights)
    room = Space("room", rack_m2, NORMALS)
    asked = replace(asked, workshop=replace(asked.workshop, spaces=(room,)))
    return asked, build(asked, days_ahead(batches))


def turns(count):
    left = iter(range(count))
    return lambda: next(left, None) is not None


@pytest.mark.parametrize("nights", [COLD, WARM])
@pytest.mark.parametrize(("seed", "rack_m2"), [(0, 6.0), (1, 2.0), (5, 6.0), (5, 1.9)])
def test_what_is_found_holds_is_never_worse_and_is_found_again(seed, rack_m2, nights):
    asked, built = shop_of(5, seed, nights, rack_m2)
    network = built.network
    start, bound = forward(network, seed), lower_bound(network)
    found = improve_by_several_ways(network, start, bound, seed, turns(1500))
    assert rank(network, found) <= rank(network, start)
    assert found.goal[0] >= bound.ready_s
    assert faults(asked, dress(built, found, Method.FORWARD, bound)) == []
    again = improve_by_several_ways(network, start, bound, seed, turns(1500))
    assert again.layout == found.layout


def test_a_warm_shop_of_ten_batches_is_ready_days_sooner():
    asked, built = shop_of(10, 4, WARM)
    network = built.network
    start, bound = forward(network), lower_bound(network)
    found = improve_by_several_ways(network, start, bound, 0, turns(3000))
    assert found.goal[0] < start.goal[0] - 3 * 86400
    assert faults(asked, dress(built, found, Method.FORWARD, bound)) == []


def test_parts_have_the_work_of_their_blocks_and_keep_the_rack_until_the_last():
    _, built = shop_of(10, 2, WARM)
    network = built.network
    cut = in_parts(network)
    assert any(part.more for chain in cut.chains for part in chain.blocks)
    for chain, parted in zip(network.chains, cut.chains, strict=True):
        assert [i for block in chain.blocks for i in block.nodes] == [
            i for part in parted.blocks for i in part.nodes
        ]
        assert [one for block in chain.blocks for one in block.windows] == [
            one for part in parted.blocks for one in part.windows
        ]
        lies = False
        for part in parted.blocks:
            assert part.goes_on == lies
            lies = part.more
        assert not lies


def test_a_block_whose_missed_window_nothing_makes_up_for_stays_whole():
    _, built = shop_of(10, 2, WARM)
    network = built.network
    whole = [
        block
        for chain in network.chains
        for block in chain.blocks
        if block.windows and not any(network.nodes[i].optional for i in block.nodes)
    ]
    assert whole
    parts = [part for chain in in_parts(network).chains for part in chain.blocks]
    assert all(block in parts for block in whole)


def test_without_dust_to_fear_only_what_is_urgent_comes_first():
    _, built = shop_of(3, 1, WARM)
    network = replace(built.network, dust_apart=(True,), rack_m2=(math.inf,))
    start, bound = forward(network), lower_bound(network)
    found = improve_by_several_ways(network, start, bound, 0, turns(300))
    assert rank(network, found) <= rank(network, start)
