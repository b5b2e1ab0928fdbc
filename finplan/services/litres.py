"""Litres each dated coat takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.trade.coverage import step_litres, worked_area_m2
from finplan.trade.steps import WET_KINDS
from finplan.trade.surfaces import total_areas

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.planned import Planned


def litres_by_step(seen: Planned) -> dict[str, float]:
    """Return the likely litres of each seal step and coat of a plan, by the step's id."""
    found = {step.id: _litres(seen, step) for step in seen.plan.steps if step.kind in WET_KINDS}
    return {step_id: litres for step_id, litres in found.items() if litres > 0.0}


def _litres(seen: Planned, planned: PlannedStep) -> float:
    step = seen.step_as_made(planned)
    project = seen.projects[planned.project]
    names = next(batch.parts for batch in project.batches if batch.name == planned.batch)
    areas = total_areas(part for part in project.parts if part.name in names)
    whole = worked_area_m2(step, areas)
    if step.finish is None or whole <= 0.0:
        return 0.0
    return step_litres(step, seen.finishes[step.finish], areas).likely * planned.area_m2 / whole
