"""Litres and cans."""

import itertools

import pytest

from finplan.library.load import finishes
from finplan.trade.coverage import (
    cans_to_buy,
    coat_litres,
    litres_at,
    step_litres,
    waste_share,
)
from finplan.trade.errors import BadInput
from finplan.trade.parts import SurfaceAreas
from finplan.trade.steps import Side, Step, StepKind

OIL = finishes()["penetrating oil"]
AREAS = SurfaceAreas(8.0, 1.5, 0.4, 0.1)


def test_end_grain_and_holes_drink_more():
    assert litres_at(AREAS, 10, 1) == pytest.approx(1.0)
    assert litres_at(AREAS, 10, 3) == pytest.approx(1.1)


def test_the_first_coat_takes_more_than_the_later_ones():
    first, later = coat_litres(OIL, AREAS, 1), coat_litres(OIL, AREAS, 2)
    assert first.safe == pytest.approx(11 / 8)
    assert later.safe == pytest.approx(10 / 12)
    assert first.safe > first.likely > later.likely


def test_steps():
    whole = Step("coat-1", StepKind.COAT, "Coat", 1)
    half = Step("coat-1-first", StepKind.COAT, "Coat", 1, Side.FIRST)
    seal = Step("seal", StepKind.SEAL, "Seal")
    assert step_litres(half, OIL, AREAS).safe == pytest.approx(
        step_litres(whole, OIL, AREAS).safe / 2
    )
    assert step_litres(seal, OIL, AREAS).safe == pytest.approx(0.5 * 3 / 8)
    assert step_litres(Step("sand", StepKind.SAND, "Sand"), OIL, AREAS).safe == 0


def test_waste():
    assert waste_share("by rag", 0.3).value == 0.10
    assert waste_share("by brush", 0.01).value == 0.20
    assert waste_share("by spray", 0.3).value == 0.50
    assert all(waste_share(m, 0.3).source for m in ("by rag", "by spray"))


@pytest.mark.parametrize(
    ("litres", "sizes", "prices", "cans"),
    [
        (0.6073, (0.5, 1.0, 2.5), None, {1.0: 1}),
        (1.2, (0.5, 1.0, 2.5), None, {1.0: 1, 0.5: 1}),
        (0, (0.5,), None, {}),
        (2.1, (0.5, 1.0, 2.5), None, {2.5: 1}),
        (0.6, (0.5, 2.5), {0.5: 20.0, 2.5: 35.0}, {2.5: 1}),
        (0.6, (0.5, 2.5), {0.5: 15.0, 2.5: 35.0}, {0.5: 2}),
        (1.0, (0.946, 3.785), None, {0.946: 2}),
        (3.7, (0.946, 3.785), None, {3.785: 1}),
        (0.6, (0.5, 2.5), {2.5: 35.0}, {2.5: 1}),
        (0.5, (0.5,), None, {0.5: 1}),
        (103, (2.5, 5.0), None, {5.0: 21}),
    ],
)
def test_cans(litres, sizes, prices, cans):
    assert cans_to_buy(litres, sizes, prices) == cans


def test_cans_against_trying_everything():
    sizes, prices = (0.375, 0.75, 2.5), {0.375: 12.0, 0.75: 19.0, 2.5: 55.0}
    for tenth in range(1, 60):
        need = tenth / 10
        cheapest = min(
            a * 12.0 + b * 19.0 + c * 55.0
            for a, b, c in itertools.product(range(17), range(9), range(4))
            if a * 0.375 + b * 0.75 + c * 2.5 >= need - 1e-9
        )
        bought = cans_to_buy(need, sizes, prices)
        assert sum(prices[size] * n for size, n in bought.items()) == pytest.approx(cheapest)
        assert sum(size * n for size, n in bought.items()) >= need - 1e-9


@pytest.mark.parametrize(
    ("litres", "sizes"), [(-1, (1.0,)), (float("nan"), (1.0,)), (1e6, (1.0,)), (1, ()), (1, (0.0,))]
)
def test_cans_refused(litres, sizes):
    with pytest.raises(BadInput):
        cans_to_buy(litres, sizes)


def test_some_can_must_have_a_price():
    with pytest.raises(BadInput, match="no can has a price"):
        cans_to_buy(1, (0.5,), {0.75: 3.0})
