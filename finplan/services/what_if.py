"""What if: the room heated, its air dried, the work covered, the film thicker than usual."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.trade.quantities import Units, format_degrees_apart, format_temperature

if TYPE_CHECKING:
    from finplan.air.series import AirSeries


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Changes to a question about drying; as it stands nothing is changed.

    ``heat_to_c``: °C the room is heated to. ``dry_to_percent``: humidity the air is dried to.
    ``covered``: a loose cover over the work. ``film``: thickness of the film, times the usual.
    """

    heat_to_c: float | None = None
    dry_to_percent: float | None = None
    covered: bool = False
    film: float = 1.0

    def air(self, air: AirSeries) -> AirSeries:
        """Return the air at the film: first heated, then dried, then covered.

        Raises:
            BadInput: a temperature or humidity no room is brought to.
        """
        from finplan.air.adjust import covers, dehumidifier, heater

        if self.heat_to_c is not None:
            air = heater(air, self.heat_to_c)
        if self.dry_to_percent is not None:
            air = dehumidifier(air, self.dry_to_percent)
        return covers(air) if self.covered else air

    def film_multiplier(self) -> float:
        """Return how many times as long the film takes for its thickness.

        Raises:
            BadInput: a thickness that is not above zero.
        """
        from finplan.drying.film import time_multiplier

        return time_multiplier(self.film)

    def words(self, units: Units) -> str:
        """Return what is changed and how far it is believed, empty where nothing is."""
        from finplan.air.adjust import (
            COLDEST_DEHUMIDIFIED_C,
            COVER_LAG_HOURS,
            DRIEST_REACHED_PERCENT,
            USUAL_MOST_RISE_C,
        )

        told = []
        if self.heat_to_c is not None:
            told.append(
                f"heated to {format_temperature(self.heat_to_c, units)} (by "
                f"{format_degrees_apart(USUAL_MOST_RISE_C, units)} at most, the water in the air "
                "stays the same)"
            )
        if self.dry_to_percent is not None:
            told.append(
                f"dried to {self.dry_to_percent:g} % RH (not below {DRIEST_REACHED_PERCENT:g} %, "
                f"nor colder than {format_temperature(COLDEST_DEHUMIDIFIED_C, units)})"
            )
        if self.covered:
            told.append(f"under a loose cover ({COVER_LAG_HOURS:g} h behind the room)")
        if self.film != 1.0:
            told.append(f"a film {self.film:g} times as thick as usual")
        return "".join(f", {one}" for one in told)
