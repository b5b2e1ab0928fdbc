"""A plan made anew keeps to the plan before, holds, and is never worse for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.planning.check import faults
from finplan.planning.kept import kept
from tests.property.whole_shops import (
    carried_out,
    examples,
    hours,
    planned,
    shops_at_work,
    whole_shops,
)

DAY = dt.timedelta(days=1)


def quality(plan):
    """Windows missed without remedy, then when all is ready; less is better."""
    missed = [one for one in plan.warnings if "after the recoat window has closed" in one]
    return len(missed), max(one.safe for one in plan.ready)


@examples(25)
@given(shops_at_work())
def test_with_nothing_new_nothing_moves(asked):
    plan = planned(asked)
    assume(plan is not None)
    again = planned(replace(asked, before=kept(plan)))
    assert hours(again) == hours(plan)


@examples(25)
@given(whole_shops(), st.floats(0, 1))
def test_work_done_as_planned_leads_to_no_worse_plan(asked, share):
    plan = planned(asked)
    assume(plan is not None)
    later = carried_out(asked, plan, share)
    fresh = planned(later)
    again = planned(replace(later, before=kept(plan)))
    assert faults(later, again) == []
    assert quality(again) <= quality(fresh)


@examples(25)
@given(whole_shops(), st.integers(0, 40), st.floats(-2, 4))
def test_any_hours_given_as_the_plan_before_lead_to_a_plan_that_holds(asked, number, days):
    plan = planned(asked)
    assume(plan is not None)
    before = kept(plan)
    work = [at for at, step in enumerate(before.steps) if step.person]
    at = work[number % len(work)]
    step = before.steps[at]
    pieces = tuple((start + days * DAY, end + days * DAY) for start, end in step.pieces)
    steps = (*before.steps[:at], replace(step, pieces=pieces), *before.steps[at + 1 :])
    again = planned(replace(asked, before=replace(before, steps=steps)))
    assert faults(asked, again) == []
    assert quality(again) <= quality(plan)
