"""Every plan passes the independent checker; done steps never move; order changes nothing."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.journal.progress import Progress
from finplan.planning.check import faults
from finplan.planning.kept import kept
from finplan.planning.make import make_plan
from finplan.trade.moments import find_zone
from tests.property.whole_shops import examples, facts, hours, planned, shops_at_work, whole_shops


@examples(30)
@given(whole_shops(), st.data())
def test_plans_hold_before_and_after_work_has_begun_and_done_steps_never_move(asked, data):
    plan = planned(asked)
    assume(plan is not None)
    assert faults(asked, plan) == []
    later = data.draw(facts(asked, plan))
    again = planned(later)
    assume(again is not None)
    assert faults(later, again) == []
    for step in again.steps:
        fact = later.progress[step.project].done.get((step.batch, step.load, step.step))
        assert step.done == (fact is not None)
        if fact is not None:
            assert (step.start, step.end) == (fact.started, fact.ended)
    assert hours(planned(replace(later, before=kept(again)))) == hours(again)
    assert faults(later, planned(replace(later, before=kept(plan)))) == []


@examples(25)
@given(shops_at_work(), st.randoms(use_true_random=False))
def test_the_order_in_which_things_are_written_changes_no_plan(asked, chance):
    assert planned(shuffled(asked, chance)) == planned(asked)


def shuffled(asked, chance):
    """The same request with all that is in it in another order."""

    def other(values):
        values = list(values)
        chance.shuffle(values)
        return tuple(values)

    projects = [
        replace(
            one,
            parts=other(one.parts),
            batches=other(replace(each, parts=other(each.parts)) for each in one.batches),
        )
        for one in asked.projects
    ]
    people = [
        replace(one, windows=other(one.windows), busy=other(one.busy), days_off=other(one.days_off))
        for one in asked.workshop.people
    ]
    shop = replace(asked.workshop, people=other(people), spaces=other(asked.workshop.spaces))
    return replace(
        asked,
        projects=other(projects),
        workshop=shop,
        finishes=dict(other(asked.finishes.items())),
        air=dict(other(asked.air.items())),
        progress=dict(other(asked.progress.items())),
    )


@examples(8)
@given(whole_shops(most_batches=3, wishes=False), st.integers(5, 40))
def test_plans_backwards_from_a_date_hold(asked, days):
    plan = planned(asked)
    assume(plan is not None)
    zone = find_zone(asked.workshop.zone)
    by = max(one.safe for one in plan.ready).astimezone(zone).date() + dt.timedelta(days=days)
    back = make_plan(replace(asked, ready_by=by))
    assert faults(asked, back) == []
    assert back.deadline.met
    assert max(one.safe for one in back.ready).astimezone(zone).date() <= by
    works = [step.start for step in back.steps if step.person]
    assert min(works) == back.deadline.begin


@examples(15)
@given(whole_shops(wishes=False), st.integers(0, 40), st.floats(-3, 9))
def test_a_wish_is_kept_or_refused_with_a_reason(asked, number, days):
    plan = planned(asked)
    assume(plan is not None)
    work = [step for step in plan.steps if step.person]
    step = work[number % len(work)]
    wished = step.start + dt.timedelta(days=days)
    wish = Progress(wishes={(step.batch, step.load, step.step): wished})
    asked = replace(asked, progress={**asked.progress, step.project: wish})
    again = planned(asked)
    assume(again is not None)
    assert faults(asked, again) == []
    now = next((one for one in again.steps if one.id == step.id), None)
    if now is not None and abs(now.start - wished) >= dt.timedelta(minutes=15):
        assert any("cannot be at the wished" in warning for warning in again.warnings)
