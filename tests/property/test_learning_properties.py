"""What must hold of learning from any dryness checks."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from finplan.air.series import constant
from finplan.drying.clock import clock_for
from finplan.drying.learning import Observation, learn
from finplan.trade.finishes import Stage
from tests.finishes_for_tests import make

FINISH = make()
SHED, ATTIC = (FINISH.name, "shed"), (FINISH.name, "attic")
CLOCKS = {SHED: clock_for(FINISH, constant(20, 60)), ATTIC: clock_for(FINISH, constant(12, 70))}
NOW = 1_000 * 86400.0

checks = st.lists(
    st.builds(
        lambda key, coat, hours, stage, reached: Observation(
            key[0], key[1], coat * 86400.0, stage, coat * 86400.0 + hours * 3600.0, reached
        ),
        st.sampled_from([SHED, ATTIC]),
        st.integers(0, 900),
        st.floats(0, 400),
        st.sampled_from(list(Stage)),
        st.booleans(),
    ),
    max_size=12,
)


@given(checks)
@settings(max_examples=40)
def test_any_checks_leave_a_usable_band(found):
    for belief in learn(found, CLOCKS, NOW).values():
        band = belief.band
        assert 0.02 < band.median < 50 and 0.0 < band.sigma < 3
        assert 0.0 < band.tilt_sigma <= 1.5 and -1.5 <= band.tilt <= 1.5
        assert math.isfinite(band.pivot)
        clock = clock_for(FINISH, constant(15, 60), band)
        safe, likely = (ask(0.0, Stage.DRY_TO_RECOAT) for ask in (clock.ready, clock.likely))
        assert 0.0 < likely <= safe < math.inf


@given(checks, st.integers(0, 900), st.floats(1, 200))
@settings(max_examples=30)
def test_one_more_coat_found_dry_never_makes_the_shop_slower(found, coat, hours):
    end = coat * 86400.0 + 1.0
    dry = Observation(*SHED, end, Stage.DRY_TO_RECOAT, end + hours * 3600.0, True)
    before = learn(found, CLOCKS, NOW)[SHED]
    after = learn([*found, dry], CLOCKS, NOW)[SHED]
    old, new = (
        clock_for(FINISH, constant(20, 60), belief.band).likely(0.0, Stage.DRY_TO_RECOAT)
        for belief in (before, after)
    )
    assert new <= old * 1.02  # the grid's own rounding
