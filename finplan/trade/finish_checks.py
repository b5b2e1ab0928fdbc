"""Checks of a finish's numbers, whoever wrote them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage
from finplan.trade.numbers import Span
from finplan.trade.plain import within

if TYPE_CHECKING:
    from finplan.trade.finishes import Finish

_YEAR_HOURS = 24.0 * 366
_LIMITS: dict[str, tuple[float, float]] = {
    "coats": (1, 50),
    "spread_first_m2_per_l": (0.1, 1000),
    "spread_later_m2_per_l": (0.1, 1000),
    "wipe_off_minutes": (0, 24 * 60),
    "interval_months": (0.1, 1200),
    "activation_energy_kj_per_mol": (1, 300),
    "coldest_c": (-40, 60),
    "refuse_below_c": (-40, 60),
    "warmest_c": (-40, 80),
    "dampest_air_percent": (1, 100),
    "dampest_wood_percent": (1, 100),
    "window_closes_hours": (0.01, _YEAR_HOURS),
    "pot_life_hours": (0.01, _YEAR_HOURS),
    "dry_film_um": (0.1, 5000),
    "shelf_life_months": (0.1, 1200),
}
"""Beyond these a number is a slip of the pen or of the unit."""


def check_finish(finish: Finish, where: str = "") -> None:
    """Refuse a finish with numbers that can't be, or that contradict one another.

    Raises:
        BadInput: the first fault, at its field.
    """
    for field, (low, high) in _LIMITS.items():
        value = getattr(finish, field)
        if value is None:
            continue
        ends = (value.low, value.high) if isinstance(value, Span) else (value.value,)
        for end in ends:
            if not low <= end <= high:
                raise BadInput(
                    f"{end:g}: give {low:g} to {high:g}; check the unit", within(where, field)
                )
    for stage, span in finish.stages.items():
        if not 0 < span.low <= span.high <= 10 * _YEAR_HOURS:
            raise BadInput(
                f"{span.low:g} to {span.high:g} h: give hours above zero, the shorter first",
                within(where, stage.value),
            )
    recoat, closes = finish.stages.get(Stage.DRY_TO_RECOAT), finish.window_closes_hours
    if recoat is not None and closes is not None and closes.value <= recoat.high:
        raise BadInput(
            f"it closes at {closes.value:g} h, before the next coat may go on at "
            f"{recoat.high:g} h: correct one of the two",
            within(where, "window_closes_hours"),
        )
    if not finish.refuse_below_c.value <= finish.coldest_c.value < finish.warmest_c.value:
        raise BadInput(
            f"refused below {finish.refuse_below_c.value:g} °C, coldest "
            f"{finish.coldest_c.value:g} °C, warmest {finish.warmest_c.value:g} °C: they must rise",
            where,
        )
