"""Looking through all orders finds what trying every layout finds, and proves it.

In one room and in two: coats of different rooms fear different dust and lie on different racks.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import pytest

from finplan.planning.all_orders import AllOrders
from finplan.planning.bound import alone
from finplan.planning.by_all_orders import try_all_orders
from finplan.planning.flat import Kept, flatten
from finplan.planning.hours import NEVER_S, SLOT_S, Axis
from finplan.planning.lines import lines_of
from finplan.planning.network import Block, Chain, Lag, Network, Node, State, Wet
from finplan.planning.optimise import kept_of
from tests.property.test_brute_force import Brute, first_layout, optimum, quarters, tiny

EVERYTHING = 1 << 60
SEEDS = {
    ((0, 0), False): range(400, 480),
    ((0, 1), False): range(500, 560),
    ((0, 1, 0), False): range(560, 600),
    ((0, 1, 1), False): range(620, 660),
    ((0, 0), True): range(700, 750),
    ((0, 1), True): range(750, 830),
}
_TRIED_AT_MOST = 1e10
"""Networks with more layouts than that are left out: trying them all takes minutes."""


def alone_at_work(network):
    """The network with the first person only."""
    nodes = tuple(replace(node, people=(0,)) for node in network.nodes)
    return replace(network, nodes=nodes)


def cases(spaces, cleaned):
    """Tiny networks that one person can do, with the earliest ready time of all layouts."""
    for seed in SEEDS[spaces, cleaned]:
        network = alone_at_work(tiny(seed, spaces, cleaned=cleaned))
        brute = Brute(network)
        if math.prod(len(choices) or 1 for choices in brute.choices) < _TRIED_AT_MOST:
            best = brute.run()
            if best is not None:
                yield seed, network, best


@pytest.fixture(scope="module", params=list(SEEDS), ids=str)
def compared(request):
    found = list(cases(*request.param))
    assert len(found) > 10
    return found


def lines(network, ready_s):
    """The lines of a network whose fresh work is done in the session of its coat."""
    fresh = tuple((at, at + 1) for at, node in enumerate(network.nodes) if node.fresh)
    tasks = flatten(network, alone(network), ready_s, 0, kept=Kept(together=fresh))
    found = lines_of(tasks)
    assert found is not None
    return found


def test_all_orders_can_be_ready_by_the_optimum_and_none_before(compared):
    for seed, network, best in compared:
        found = lines(network, NEVER_S)
        before = AllOrders(found, best - 1).search(EVERYTHING)
        assert before.layout is None, seed
        assert before.whole, seed
        at_best = AllOrders(found, best).search(EVERYTHING)
        assert at_best.layout, seed
        assert at_best.ready_s == best, seed


def test_the_best_layout_is_found_and_proved(compared):
    looked = 0
    for seed, network, best in compared:
        start = first_layout(network)
        fresh = sum(node.fresh for node in network.nodes)
        if start is None or len(kept_of(network, start).together) < fresh:
            continue  # with these apart there may be sooner layouts than were tried
        tried = try_all_orders(network, start, 0, kept_of(network, start), 0, lambda: True)
        assert tried.bound_s <= best, seed
        assert tried.proved, seed
        assert quarters(tried.found.goal[0]) == quarters(best), seed
        looked += 1
    assert looked > 10


def test_few_states_are_never_called_all(compared):
    for seed, network, best in compared[:40]:
        found = lines(network, best)
        narrow = AllOrders(found, best, width=1).search(EVERYTHING)
        assert narrow.layout or not narrow.whole, seed
        short = AllOrders(found, best).search(2)
        assert short.layout or not short.whole, seed


def test_a_search_that_goes_on_says_what_it_says_in_one_go(compared):
    for seed, network, best in compared[:40]:
        found, stopped = lines(network, best), 0
        orders = AllOrders(found, best)
        while not (outcome := orders.search(stopped)).whole:
            stopped += 7
        assert outcome == AllOrders(found, best).search(EVERYTHING), seed
        assert stopped or outcome.states < 2, seed


@pytest.mark.parametrize("spaces", [(0, 1, 0, 1), (0, 1, 1, 0)])
def test_four_loads_in_two_rooms_with_small_racks_are_as_soon_as_the_solver_says(spaces):
    looked = 0
    for seed in range(900, 930):
        network = replace(alone_at_work(tiny(seed, spaces)), rack_m2=(1.0, 1.0))
        start = first_layout(network)
        if start is None:
            continue
        tried = try_all_orders(network, start, 0, kept_of(network, start), 0, lambda: True)
        assert tried.proved, seed
        assert quarters(tried.found.goal[0]) == optimum(network, start), seed
        looked += 1
    assert looked > 10


@pytest.mark.parametrize(("dust_in", "coat_in"), product((0, 1), repeat=2))
def test_dust_keeps_only_the_coats_of_its_own_room_waiting(dust_in, coat_in):
    """Sanding ends just before the one slot fit for the coat, and settles for two more."""
    starts = [slot * SLOT_S + (slot >= 5) * 86_400 for slot in range(10)]
    axis = Axis(starts, 0b111101111, ((1 << 10) - 1,))
    at_once = [axis.end_s(slot) for slot in range(10)]
    good = 1 << 4 | 1 << 9
    nodes = (
        Node("0/sand", 0, State.WORK, 3, split=True, people=(0,), space=dust_in, dusty=True),
        Node("0/cut", 0, State.WORK, 1, people=(0,), space=dust_in, after=(Lag(0),)),
        Node("1/clean", 1, State.WORK, 1, people=(0,), space=coat_in, fresh=True),
        Node(
            "1/coat",
            1,
            State.WORK,
            1,
            people=(0,),
            space=coat_in,
            starts=good,
            after=(Lag(2),),
            wet=Wet(at_once, at_once),
        ),
    )
    chains = (
        Chain("load 0", dust_in, 1.0, (Block((0,)), Block((1,)))),
        Chain("load 1", coat_in, 1.0, (Block((2, 3), holds=True),)),
    )
    network = Network(axis, nodes, chains, (9.0, 9.0), (False, False), 2 * SLOT_S, 1, ((1,), (3,)))
    best = Brute(network).run()
    assert best == axis.end_s(6 if dust_in == coat_in else 5)
    found = lines(network, NEVER_S)
    assert AllOrders(found, best).search(EVERYTHING).ready_s == best
    before = AllOrders(found, best - 1).search(EVERYTHING)
    assert before.whole
    assert before.layout is None
