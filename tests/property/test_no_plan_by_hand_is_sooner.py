"""No plan laid out by the checker alone beats a bound, or a plan said to be the earliest."""

from __future__ import annotations

import random
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.planning.check import faults
from finplan.planning.make import make_plan
from finplan.planning.plan import Method
from tests.property.by_hand import MINUTE, ByHand
from tests.property.whole_shops import examples, planned, shops_at_work


@examples(12)
@given(shops_at_work(most_batches=2, most_slats=4, wishes=False), st.integers(0, 99))
def test_no_plan_by_hand_is_ready_before_the_bound(asked, order):
    plan = planned(asked)
    assume(plan is not None)
    by_hand = ByHand(asked, plan).finished(random.Random(order))
    assume(by_hand is not None)
    assert faults(asked, by_hand) == []
    assert ready(by_hand) >= plan.bound - MINUTE


@examples(4)
@given(shops_at_work(most_batches=2, most_slats=4, wishes=False), st.integers(0, 99))
def test_no_plan_by_hand_is_sooner_than_one_that_is_proved(asked, order):
    plain = planned(asked)
    assume(plain is not None)
    plan = plain
    if plain.method is not Method.OPTIMAL:
        plan = make_plan(replace(asked, seconds=3.0, workers=1))
    by_hand = ByHand(asked, plan).finished(random.Random(order))
    assume(by_hand is not None)
    assert faults(asked, by_hand) == []
    assert ready(by_hand) >= plan.bound - MINUTE


def ready(plan):
    """When the last step is over."""
    return max(step.end for step in plan.steps)
