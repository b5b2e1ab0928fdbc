"""Invented finishes for the tests of the drying room."""

from __future__ import annotations

from finplan.trade.finishes import Chemistry, Finish, Stage
from finplan.trade.numbers import Number, Span

INVENTED = "invented for tests"


def number(value: float) -> Number:
    return Number(value, INVENTED)


def span(low: float, high: float) -> Span:
    return Span(low, high, INVENTED)


def make(chemistry: Chemistry = Chemistry.OXIDATIVE, **changes: object) -> Finish:
    """A finish with every stage, recoat 12 to 24 h, window 7 days; ``changes`` replace fields."""
    fields: dict[str, object] = {
        "name": "test-finish",
        "title": "Test finish",
        "chemistry": chemistry,
        "about": INVENTED,
        "coats": span(2, 4),
        "stages": {
            Stage.SET_TO_TOUCH: span(2, 4),
            Stage.DUST_FREE: span(3, 5),
            Stage.TACK_FREE: span(6, 12),
            Stage.DRY_TO_HANDLE: span(8, 16),
            Stage.DRY_TO_RECOAT: span(12, 24),
            Stage.DRY_THROUGH: span(24, 48),
            Stage.FULL_CURE: span(168, 336),
        },
        "spread_first_m2_per_l": span(8, 12),
        "spread_later_m2_per_l": span(12, 18),
        "coldest_c": number(10),
        "refuse_below_c": number(5),
        "warmest_c": number(32),
        "dampest_air_percent": number(80),
        "dampest_wood_percent": number(15),
        "window_closes_hours": number(168),
    }
    fields.update(changes)
    return Finish(**fields)  # type: ignore[arg-type]
