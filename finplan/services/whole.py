"""Whether a project can be made at all: checked before it is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.services.gather import all_finishes

if TYPE_CHECKING:
    from finplan.store.store import Unit
    from finplan.trade.project import Project


def check_whole(unit: Unit, project: Project) -> tuple[str, ...]:
    """Refuse a project that cannot be made in its workshop, or names an unknown finish or grit.

    Returns:
        Advice on its finishing schedules: grits that skip too far, coats that wait too short.
    """
    from finplan.library.load import grits
    from finplan.trade.checks import check_fits, check_project
    from finplan.trade.schedule_checks import check_steps

    check_project(project)
    check_fits(project, unit.workshops.get(project.workshop))
    known = all_finishes(unit)
    told: list[str] = []
    for batch in project.batches:
        if batch.steps:
            where = f"batch {batch.name}"
            told += (f"{where}: {one}" for one in check_steps(batch.steps, known, grits(), where))
    return tuple(told)
