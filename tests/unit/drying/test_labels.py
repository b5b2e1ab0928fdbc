"""A user's own finish from the words of a label."""

from __future__ import annotations

import pytest

from finplan.air.series import constant
from finplan.drying.clock import clock_for
from finplan.drying.labels import finish_from_label, parse_conditions, parse_time
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Chemistry, Stage
from tests.finishes_for_tests import make, number

RECOAT, TOUCH = Stage.DRY_TO_RECOAT, Stage.SET_TO_TOUCH


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("24 h", 24, 24),
        ("4-6 hours", 4, 6),
        ("4 – 6 hrs.", 4, 6),
        ("45min", 0.75, 0.75),
        ("30 min to 2 h", 0.5, 2),
        ("1,5 to 2 days", 36, 48),
        ("about 7 days", 168, 168),
        ("2 weeks", 336, 336),
        ("Max. 3 Days", 72, 72),
    ],
)
def test_times_as_labels_write_them(text, low, high):
    span = parse_time(text)
    assert (span.low, span.high) == (pytest.approx(low), pytest.approx(high))
    assert span.source


@pytest.mark.parametrize(
    "text",
    ["", "soon", "24", "6-4 h", "0 h", "-3 h", "3 furlongs", "99999 weeks", "9" * 500 + " h"],
)
def test_senseless_times_are_refused(text):
    with pytest.raises(BadInput, match="own oil, recoat: ") as raised:
        parse_time(text, "own oil, recoat")
    assert len(str(raised.value)) < 200


@pytest.mark.parametrize(
    ("text", "celsius", "percent"),
    [
        ("", 23, 50),
        ("20 °C, 65 %", 20, 65),
        ("68°F / 40-60% RH", 20, 50),
        ("15-25 °C", 20, 50),
        ("70 % humidity", 23, 70),
    ],
)
def test_conditions(text, celsius, percent):
    assert parse_conditions(text) == (pytest.approx(celsius), pytest.approx(percent))


@pytest.mark.parametrize("text", ["a warm room", "300 °C", "20 °C, 140 %", "-10 °C"])
def test_senseless_conditions_are_refused(text):
    with pytest.raises(BadInput):
        parse_conditions(text)


def test_under_the_labels_own_conditions_the_safe_time_is_the_labels():
    own = finish_from_label(make(), "my-oil", "My oil", {RECOAT: "16-20 h"}, "15 °C, 50 %")
    air = constant(15, 50)
    # At the median of the temperature's effect: the extra doubt away from 23 °C comes on top.
    hours = clock_for(own, air, quantile=0.5).likely(0.0, RECOAT) / 3600
    assert hours == pytest.approx((16 * 20) ** 0.5, abs=0.01)
    assert clock_for(own, air).ready(0.0, RECOAT) / 3600 >= 20
    assert own.stages[RECOAT].high < 20
    assert own.own and (own.name, own.title) == ("my-oil", "My oil")


def test_a_label_at_reference_is_taken_as_it_stands():
    own = finish_from_label(make(), "my-oil", "My oil", {RECOAT: "8 h"})
    assert own.stages[RECOAT].high == 8
    assert clock_for(own, constant(23, 50)).ready(0.0, RECOAT) == 8 * 3600


def test_what_the_label_leaves_out_keeps_its_proportion():
    own = finish_from_label(make(), "my-oil", "My oil", {RECOAT: "48 h"})
    assert own.stages[Stage.FULL_CURE].high == pytest.approx(672)
    assert own.window_closes_hours is not None
    assert own.window_closes_hours.value == pytest.approx(336)
    assert "in proportion" in own.stages[Stage.FULL_CURE].source


def test_stages_stay_in_order_whatever_the_label_says():
    own = finish_from_label(
        make(), "my-oil", "My oil", {TOUCH: "1 h", Stage.FULL_CURE: "2 days"}, "", "4 days"
    )
    highs = [own.stages[stage].high for stage in Stage]
    assert highs == sorted(highs)
    assert all(span.low <= span.high for span in own.stages.values())
    assert own.window_closes_hours is not None and own.window_closes_hours.value == 96


def test_bad_labels_are_refused_with_the_place():
    with pytest.raises(BadInput, match="my-oil: no time"):
        finish_from_label(make(), "my-oil", "My oil", {})
    with pytest.raises(BadInput, match="my-oil, dry-to-recoat: 'later'"):
        finish_from_label(make(), "my-oil", "My oil", {RECOAT: "later"})
    with pytest.raises(BadInput, match="sooner than"):
        finish_from_label(make(), "my-oil", "My oil", {TOUCH: "6 h", RECOAT: "2 h"})
    cold = make(Chemistry.WATERBORNE, refuse_below_c=number(10))
    with pytest.raises(BadInput, match="does not dry at 5 °C"):
        finish_from_label(cold, "w", "W", {RECOAT: "2 h"}, "5 °C")
