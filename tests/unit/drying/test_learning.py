"""Learning from dryness checks."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from finplan.air.series import constant
from finplan.drying.bands import prior
from finplan.drying.clock import clock_for
from finplan.drying.learning import Observation, learn
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from tests.finishes_for_tests import make, span

FINISH = make()
NAME = FINISH.name
SHED, ATTIC = (NAME, "shed"), (NAME, "attic")
CLOCKS = {
    SHED: clock_for(FINISH, constant(23, 50)),
    ATTIC: clock_for(FINISH, constant(23, 50)),
}
DAY = 86400.0
START = 1_790_000_000.0
NOW = START + 100 * DAY
LIKELY_S = math.sqrt(12 * 24) * 3600.0
RECOAT = Stage.DRY_TO_RECOAT


def check(coat: int, times: float, reached: bool, key=SHED, can="", stage=RECOAT, start=START):
    likely = {RECOAT: LIKELY_S, Stage.TACK_FREE: math.sqrt(6 * 12) * 3600.0}[stage]
    end = start + coat * 2 * DAY
    return Observation(key[0], key[1], end, stage, end + times * likely, reached, can)


def fenced(truth: float, coats: int = 6, key=SHED, **more):
    """Checks just before and just after the true time of each coat."""
    return [
        check(coat, truth * side, side > 1, key, **more)
        for coat in range(coats)
        for side in (0.9, 1.1)
    ]


def median(observations, key=SHED, **more) -> float:
    return learn(observations, CLOCKS, NOW, **more)[key].times_here


def test_without_checks_the_book_holds_exactly():
    belief = learn([], CLOCKS, NOW)[SHED]
    assert belief.band == prior(FINISH)
    assert belief.say("this oil") == "nothing learned of this oil yet: the book's times hold"


def test_a_slow_shop_is_learned():
    belief = learn(fenced(1.3), CLOCKS, NOW)[SHED]
    assert belief.times_here == pytest.approx(1.3, rel=0.06)
    assert belief.band.sigma < 0.7 * prior(FINISH).sigma
    assert (
        belief.say("this oil") == "in your shop this oil takes 1.3 times the book, from 12 checks"
    )


def test_a_shop_far_off_is_believed_in_time():
    assert median(fenced(3.0, coats=8)) == pytest.approx(3.0, rel=0.1)
    assert median(fenced(0.35, coats=8)) == pytest.approx(0.35, rel=0.1)


def test_checks_from_one_side_only_move_one_way():
    dry_early = [check(coat, 0.6, True) for coat in range(4)]
    wet_late = [check(coat, 1.6, False) for coat in range(4)]
    assert median(dry_early) < 0.75
    assert median(wet_late) > 1.5


def test_another_space_of_the_same_finish_learns_part_of_it():
    beliefs = learn(fenced(1.6, coats=8), CLOCKS, NOW)
    assert 1.15 < beliefs[ATTIC].times_here < beliefs[SHED].times_here < 1.7
    assert (beliefs[ATTIC].checks, beliefs[ATTIC].checks_elsewhere) == (0, 16)
    assert "from 0 checks and 16 in other spaces" in beliefs[ATTIC].say("this oil")
    assert beliefs[ATTIC].band.sigma > beliefs[SHED].band.sigma


def test_other_finishes_learn_nothing_from_it():
    other = make(name="other")
    clocks = {**CLOCKS, ("other", "shed"): clock_for(other, constant(23, 50))}
    beliefs = learn(fenced(1.6), clocks, NOW)
    assert beliefs["other", "shed"].band == prior(other)


def test_another_stage_tells_of_recoating_too():
    told = median(fenced(1.5, stage=Stage.TACK_FREE))
    assert told == pytest.approx(1.5, rel=0.08)


def test_one_outlier_does_not_wreck_it():
    honest = fenced(1.0)
    wrong = [check(20, 8.0, False), check(21, 0.02, True)]
    assert median(honest + wrong) == pytest.approx(median(honest), rel=0.06)


def test_contradicting_checks_of_one_coat_are_survived():
    belief = learn([check(0, 0.5, True), check(0, 1.5, False)], CLOCKS, NOW)[SHED]
    assert 0.8 < belief.times_here < 1.25
    assert np.isfinite(belief.band.sigma)


def test_old_checks_fade():
    old = fenced(2.0, start=START - 900 * DAY)
    assert 1.0 < median(old) < median(fenced(2.0))
    fresh = fenced(1.0, coats=4, start=START + 50 * DAY)
    assert median(old + fresh) < 1.2


def test_a_new_can_makes_old_checks_count_less():
    first = fenced(1.8, coats=3, can="first")
    same = median(first, cans={NAME: "first"})
    other = median(first, cans={NAME: "second"})
    assert 1.0 < other < same


def test_the_can_of_the_latest_check_is_the_one_in_use():
    first = fenced(1.8, coats=4, can="first")
    second = fenced(1.0, coats=4, can="second", start=START + 20 * DAY)
    assert median(first + second) < median([*first, *second], cans={NAME: "first"})


def test_it_can_be_reset():
    forgotten = learn(fenced(1.8), CLOCKS, NOW, forget_before_s={SHED: NOW - DAY})
    assert forgotten[SHED].band == prior(FINISH)


def test_checks_later_than_now_do_not_count_yet():
    assert learn(fenced(1.8), CLOCKS, START)[SHED].band == prior(FINISH)


def test_the_order_of_checks_does_not_matter():
    checks = fenced(1.3) + fenced(0.9, key=ATTIC)
    there, back = learn(checks, CLOCKS, NOW), learn(checks[::-1], CLOCKS, NOW)
    for key in CLOCKS:
        assert there[key].times_here == pytest.approx(back[key].times_here)


def test_it_can_be_exported_plain():
    plain = learn(fenced(1.3), CLOCKS, NOW)[SHED].as_plain()
    assert (plain["finish"], plain["space"], plain["checks"]) == (NAME, "shed", 12)
    assert json.loads(json.dumps(plain)) == plain


def test_what_was_learned_moves_the_clock():
    band = learn(fenced(1.5), CLOCKS, NOW)[SHED].band
    told = clock_for(FINISH, constant(23, 50), band)
    assert told.likely(0.0, RECOAT) / LIKELY_S == pytest.approx(1.5, rel=0.06)


def test_checks_in_cold_air_tell_less_of_warm_air():
    warm = learn(fenced(1.5), CLOCKS, NOW)[SHED]
    cold = {SHED: clock_for(FINISH, constant(6, 50))}
    slower = cold[SHED].likely(0.0, RECOAT) / LIKELY_S
    checks = [check(i, 1.5 * f * slower, f > 1) for i in range(6) for f in (0.9, 1.1)]
    found = learn(checks, cold, NOW)[SHED]
    assert found.times_here == pytest.approx(warm.times_here, rel=0.05)
    assert 1.0 < found.band.median < warm.band.median
    assert found.band.pivot > 0.1 and warm.band.pivot == pytest.approx(0.0, abs=1e-9)

    def width(belief, celsius: float) -> float:
        clock = clock_for(FINISH, constant(celsius, 50), belief.band)
        return clock.ready(0.0, RECOAT) / clock.likely(0.0, RECOAT)

    assert width(found, 6) < width(found, 23) and width(warm, 23) < width(warm, 6)
    assert width(found, 6) < width(warm, 6)


def test_checks_in_cold_and_warmth_tell_the_temperature_effect():
    cold_clock = clock_for(FINISH, constant(6, 50))
    clocks = {SHED: clock_for(FINISH, constant(24, 50)), ATTIC: cold_clock}
    checks = [
        Observation(*key, end, RECOAT, end + (ready - end) * truth * side, side > 1)
        for key, truth in ((SHED, 1.0), (ATTIC, 1.5))
        for coat in range(8)
        for side in (0.9, 1.1)
        for end in [START + coat * 5 * DAY]
        for ready in [clocks[key].likely(end, RECOAT)]
    ]
    found = learn(checks, clocks, NOW)[SHED]
    assert found.band.tilt > 0.5
    assert found.band.tilt_sigma < 0.9


def test_a_stage_the_book_does_not_state_teaches_nothing():
    bare = make(stages={RECOAT: span(12, 24), Stage.SET_TO_TOUCH: span(0, 0)})
    clocks = {SHED: clock_for(bare, constant(23, 50))}
    for stage in (Stage.FULL_CURE, Stage.SET_TO_TOUCH):
        for reached in (True, False):
            seen = Observation(*SHED, START, stage, START + 9e4, reached)
            found = learn([seen], clocks, NOW)[SHED]
            assert found.times_here == pytest.approx(1.0, abs=0.02)


def test_senseless_checks_are_refused():
    with pytest.raises(BadInput, match="no air is known"):
        learn([check(0, 1.0, True, key=(NAME, "moon"))], CLOCKS, NOW)
    with pytest.raises(BadInput, match="before the end of its coat"):
        learn([check(0, -1.0, True)], CLOCKS, NOW)
