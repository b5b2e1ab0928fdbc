"""The checker's finishes and their drying clocks, each made once for a plan that is read."""

from __future__ import annotations

from finplan.drying.clock import DryingClock, clock_for
from finplan.planning.plan import PlannedStep
from finplan.planning.request import PlanRequest


class Clocks:
    """The finish of each step, and the clock of each finish in each space of a request."""

    def __init__(self, request: PlanRequest) -> None:
        self._request = request
        self._made: dict[tuple[str, str], DryingClock] = {}
        self._finishes = {
            (project.name, batch.name, step.key): step.finish
            for project in request.projects
            for batch in project.batches
            for step in batch.steps
        }

    def finish_of(self, step: PlannedStep) -> str | None:
        """The finish of a step, by its schedule."""
        return self._finishes.get((step.project, step.batch, step.step))

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
