"""The checker's drying clocks, each made once for a plan that is read."""

from __future__ import annotations

from finplan.drying.clock import DryingClock, clock_for
from finplan.planning.request import PlanRequest


class Clocks:
    """The clock of each finish in each space of a request."""

    def __init__(self, request: PlanRequest) -> None:
        self._request = request
        self._made: dict[tuple[str, str], DryingClock] = {}

    def of(self, finish: str, space: str) -> DryingClock:
        """The clock of a finish in a space."""
        key = (finish, space)
        if key not in self._made:
            self._made[key] = clock_for(
                self._request.finishes[finish],
                self._request.air[space],
                self._request.bands.get(key),
                self._request.workshop.safe_quantile,
            )
        return self._made[key]
