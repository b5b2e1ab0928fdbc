"""How much finish a coat takes, and which cans to buy."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.numbers import FROM_MEMORY, Number, Span
from finplan.trade.steps import Side, StepKind

if TYPE_CHECKING:
    from finplan.trade.finishes import Finish
    from finplan.trade.parts import SurfaceAreas
    from finplan.trade.steps import Step

END_GRAIN_FACTOR = Number(
    3.0, "assumption: end grain takes 2 to 4 times as much, no published value"
)
WASTE_BY_HAND = Number(0.10, FROM_MEMORY)
WASTE_SMALL_PARTS = Span(0.15, 0.20, FROM_MEMORY)
WASTE_SPRAYED = Span(0.30, 0.50, FROM_MEMORY)
CAN_SURCHARGE_L = Number(
    0.1, "assumption: each can costs as if it held a decilitre more, no published value"
)
SMALL_PIECE_M2 = Number(0.05, "assumption: a piece below 5 dm² counts as small, no published value")
_ML = 1000
_MOST_LITRES = 1000.0
_WEIGHED_CANS = 4


@dataclass(frozen=True, slots=True)
class Litres:
    """Finish needed: ``likely`` at the middle of the spread rates, ``safe`` at their low end."""

    likely: float
    safe: float

    def __add__(self, other: Litres) -> Litres:
        return Litres(self.likely + other.likely, self.safe + other.safe)


def worked_area_m2(step: Step, areas: SurfaceAreas) -> float:
    """Return the area a step works on: half for one side, end grain and holes for sealing."""
    if step.kind is StepKind.SEAL:
        return areas.end_grain_m2 + areas.holes_m2
    if step.side is not Side.ALL:
        return areas.total_m2 / 2
    return areas.total_m2


def litres_at(areas: SurfaceAreas, spread_m2_per_l: float, end_grain_factor: float) -> float:
    """Return the litres of one coat: the sum of each area × its factor, over the spread rate.

    End grain and the walls of holes (half of them end grain) take ``end_grain_factor`` times
    what a side takes.
    """
    thirsty = areas.end_grain_m2 + areas.holes_m2
    return (areas.side_grain_m2 + areas.edges_m2 + end_grain_factor * thirsty) / spread_m2_per_l


def coat_litres(finish: Finish, areas: SurfaceAreas, coat: int) -> Litres:
    """Return what coat number ``coat`` (from 1) on bare wood takes, without waste."""
    spread = finish.spread_first_m2_per_l if coat <= 1 else finish.spread_later_m2_per_l
    factor = END_GRAIN_FACTOR.value if coat <= 1 else 1.0
    return Litres(litres_at(areas, spread.middle, factor), litres_at(areas, spread.low, factor))


def step_litres(step: Step, finish: Finish, areas: SurfaceAreas) -> Litres:
    """Return what one coat or seal step takes, without waste; nothing for other steps."""
    if step.kind is StepKind.SEAL:
        spread = finish.spread_first_m2_per_l
        thirsty = worked_area_m2(step, areas) * END_GRAIN_FACTOR.value
        return Litres(thirsty / spread.middle, thirsty / spread.low)
    if step.kind is not StepKind.COAT:
        return Litres(0.0, 0.0)
    whole = coat_litres(finish, areas, step.coat)
    share = 1.0 if step.side is Side.ALL else 0.5
    return Litres(whole.likely * share, whole.safe * share)


def waste_share(method: str, smallest_piece_m2: float) -> Number:
    """Return the share lost in can, brush, rag or air, the cautious end of its range."""
    if "spray" in method:
        return Number(WASTE_SPRAYED.high, WASTE_SPRAYED.source)
    if smallest_piece_m2 < SMALL_PIECE_M2.value:
        return Number(WASTE_SMALL_PARTS.high, WASTE_SMALL_PARTS.source)
    return WASTE_BY_HAND


def cans_to_buy(
    litres: float, sizes_l: Sequence[float], prices: Mapping[float, float] | None = None
) -> dict[float, int]:
    """Return how many cans of each size cover ``litres`` at the least cost.

    Args:
        litres: what is needed, 0 to 1000 L.
        sizes_l: the sizes there are, in litres.
        prices: price of a can by size; without prices a can costs its litres and a little for
            the can itself. Equal costs: fewer cans.

    Raises:
        BadInput: more than 1000 L, or no sizes.
    """
    if not 0 <= litres <= _MOST_LITRES:
        raise BadInput(f"{litres:g} L to buy: a sum between 0 and {_MOST_LITRES:g} L is expected")
    if litres == 0:
        return {}
    if not sizes_l or any(size <= 0 for size in sizes_l):
        raise BadInput("there are no can sizes to choose from: give at least one above 0 L")
    sizes = {max(1, round(size * _ML)): size for size in sizes_l}
    unit = math.gcd(*sizes)
    costs = {ml: size + CAN_SURCHARGE_L.value for ml, size in sizes.items()}
    if prices:
        costs = {ml: prices[size] for ml, size in sizes.items() if size in prices}
        if not costs:
            raise BadInput("no can has a price: give one for at least one size")
    bulk = min(costs, key=lambda ml: (costs[ml] / ml, -ml))
    # Far above the largest can the cheapest litre wins; only the last cans need weighing up.
    bulk_cans = max(0, math.floor((litres * _ML - _WEIGHED_CANS * max(costs)) / bulk))
    need = math.ceil((litres * _ML - bulk_cans * bulk) / unit - 1e-9)
    chosen = [bulk] * bulk_cans + _cheapest(need, unit, costs)
    return {sizes[ml]: chosen.count(ml) for ml in sorted(set(chosen), reverse=True)}


def _cheapest(need: int, unit: int, costs: Mapping[int, float]) -> list[int]:
    """Return the cans (ml) that hold at least ``need`` units: least cost, then fewest cans.

    Cheapest way to reach every smaller need first, each from the one a can before it.
    """
    best: list[tuple[float, int, int]] = [(0.0, 0, 0)]
    for covered in range(1, need + 1):
        options = []
        for ml, cost in costs.items():
            before = best[max(0, covered - ml // unit)]
            options.append((round(before[0] + cost, 9), before[1] + 1, ml))
        best.append(min(options, key=lambda option: (option[0], option[1], -option[2])))
    chosen = []
    covered = need
    while covered > 0:
        ml = best[covered][2]
        chosen.append(ml)
        covered = max(0, covered - ml // unit)
    return chosen
