"""Laws of chances, in whole invented shops."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from finplan.planning.chance import chances
from finplan.planning.request import NoPlan
from finplan.planning.worlds import Source
from tests.property.whole_shops import examples, planned, shops_at_work

HOUR = dt.timedelta(hours=1)


def carried_out(asked, plan, runs, **more):
    try:
        return chances(asked, plan, runs=runs, **more)
    except NoPlan:
        return None


@examples(10)
@given(
    shops_at_work(most_batches=2), st.integers(0, 99), st.lists(st.integers(0, 9000), min_size=2)
)
def test_a_chance_is_a_share_that_grows_with_the_date(asked, seed, hours):
    plan = planned(asked)
    assume(plan is not None)
    found = carried_out(asked, plan, 4, seed=seed)
    assume(found is not None)
    for project in found.ready_s:
        shares = [found.share(project, asked.now + hour * HOUR) for hour in sorted(hours)]
        assert all(0.0 <= share <= 1.0 for share in shares)
        assert all(sooner <= later for sooner, later in pairwise(shares))


@examples(10)
@given(shops_at_work(most_batches=2), st.integers(0, 99))
def test_with_all_sources_held_there_is_one_world_whatever_the_seed(asked, seed):
    plan = planned(asked)
    assume(plan is not None)
    found = carried_out(asked, plan, 3, held=tuple(Source))
    assume(found is not None)
    other = carried_out(asked, plan, 1, seed=seed, held=tuple(Source))
    for project, runs in found.ready_s.items():
        assert np.all(runs == runs[0])
        assert other.ready_s[project][0] == runs[0]
