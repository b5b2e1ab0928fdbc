"""What the pieces of one finish under the same exposures teach each other."""

from __future__ import annotations

import numpy as np
import pytest

from finplan.tracking.upkeep.life import Bounds, learn, price_months, renewal_age
from finplan.tracking.upkeep.together import DEAREST, teach
from finplan.trade.numbers import Span

YEAR = Span(9.0, 16.0, "common practice, no source")
LONG, SHORT = [Bounds(16.0, 19.0)] * 3, [Bounds(6.0, 8.0)] * 3


def first_interval(taught):
    """When a piece nothing is known of is renewed first."""
    belief = learn(YEAR, [], taught.others([Bounds()]).before)
    return renewal_age(belief, Bounds(), price_months(YEAR, taught.dearer))


def test_one_alone_is_taught_nothing():
    taught = teach(YEAR, [[Bounds()]])
    alone = taught.others([Bounds()])
    assert taught.need == pytest.approx(1.0) and taught.dearer == pytest.approx(1.0)
    assert alone.count == 0
    assert alone.before == pytest.approx(learn(YEAR, []).weights)


def test_a_piece_does_not_teach_itself():
    taught = teach(YEAR, [LONG])
    assert taught.count == 1
    assert taught.others(LONG).count == 0
    assert taught.others(LONG).before == pytest.approx(learn(YEAR, []).weights)


def test_a_new_piece_begins_from_what_others_lasted():
    long, none, short = (
        teach(YEAR, [[Bounds()], *[lives] * 20]) for lives in (LONG, [Bounds()], SHORT)
    )
    assert long.others([Bounds()]).months > 15.0 > 8.0 > short.others([Bounds()]).months
    assert first_interval(long) > first_interval(none) > first_interval(short)
    assert none.others([Bounds()]).count == 0


def test_the_more_they_are_the_more_they_teach():
    few, many = (teach(YEAR, [[Bounds()], *[LONG] * count]) for count in (1, 30))
    middle = [
        np.exp(one.others([Bounds()]).before @ learn(YEAR, []).log_medians) for one in (few, many)
    ]
    assert 12.0 < middle[0] < middle[1] < 20.0


def test_where_many_renewals_are_needed_each_is_held_to_be_worth_more():
    long, mixed, short = (
        teach(YEAR, pieces).dearer for pieces in ([LONG] * 20, [LONG, SHORT] * 10, [SHORT] * 20)
    )
    assert long < 1.0 < mixed < short
    assert (long, short) == pytest.approx((1.0 / DEAREST.value, DEAREST.value))


def test_the_order_of_the_pieces_changes_nothing():
    some = [LONG, SHORT, [Bounds(9.0)], [Bounds()]]
    there, back = teach(YEAR, some), teach(YEAR, some[::-1])
    assert there.need == pytest.approx(back.need)
    assert there.total == pytest.approx(back.total)


def test_what_others_teach_is_the_mean_of_their_beliefs_and_of_four_of_the_default():
    taught = teach(YEAR, [LONG, SHORT, [Bounds()]])
    default, long, short = (learn(YEAR, lives).weights for lives in ((), LONG, SHORT))
    new, own = taught.others([Bounds()]), taught.others(SHORT)
    assert new.before == pytest.approx((4.0 * default + long + short) / 6.0)
    assert own.before == pytest.approx((4.0 * default + long) / 5.0)
    assert (new.before.sum(), own.before.sum()) == pytest.approx((1.0, 1.0))
    assert (new.count, own.count) == (2, 1)
