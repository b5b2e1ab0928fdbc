"""Whatever way a plan of a whole shop is found, it holds; no bound and no proof is ever beaten."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given

from finplan.planning.bound import Bound
from finplan.planning.check import faults
from finplan.planning.dress import dress
from finplan.planning.forward import rank
from finplan.planning.layout import lay_out
from finplan.planning.make import make_plan
from finplan.planning.plan import Method
from finplan.planning.request import NoPlan
from finplan.planning.tidy import tidy
from tests.property.searches import keeps, searched
from tests.property.whole_shops import examples, planned, shops_at_work

SEARCHED_S = 1.5
DOES_NOT_HOLD = "This plan does not hold"


@examples(10)
@given(shops_at_work())
def test_whatever_way_a_plan_is_found_it_holds_and_no_bound_or_proof_is_beaten(asked):
    try:
        built, _ = lay_out(asked, thorough=False)
    except NoPlan:
        assume(False)
    network, now_s = built.network, int(asked.now.timestamp())
    claims = searched(network, now_s, seconds=SEARCHED_S)
    start = claims.layouts["forward"]
    for way, found in claims.layouts.items():
        assert rank(network, found) <= rank(network, start), way
        neat = tidy(network, found)
        plan = dress(built, neat, Method.FORWARD, Bound(found.goal[0], ""))
        assert faults(asked, plan) == [], way
        if not keeps(network, found, claims.kept):
            continue
        for other, bound_s in claims.never_before.items():
            assert bound_s <= found.goal[0], (other, way)
        for other, quarters in claims.proved.items():
            assert quarters <= claims.quarters(found.goal[0]), (other, way)


@examples(4)
@given(shops_at_work(most_batches=3))
def test_a_search_that_was_asked_for_holds_and_is_no_worse(asked):
    plain = planned(asked)
    assume(plain is not None)
    asked = replace(asked, seconds=1.0, workers=1)
    plan = make_plan(asked)
    assert faults(asked, plan) == []
    assert not any(DOES_NOT_HOLD in warning for warning in plan.warnings)
    assert max(one.safe for one in plan.ready) <= max(one.safe for one in plain.ready)
    assert plan.bound <= max(one.safe for one in plan.ready)
