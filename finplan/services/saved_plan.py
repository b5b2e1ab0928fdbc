"""The plan people last saw, which goes with a project into a file: reopened, it plans the same."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.planning.kept import KeptPlan
from finplan.services.gather import kept_key, last_kept
from finplan.trade.plain import to_plain

if TYPE_CHECKING:
    from finplan.store.store import Unit
    from finplan.trade.project import Project


def seen_of(unit: Unit, project: Project) -> KeptPlan | None:
    """Return what the plan last kept holds of a project; None where it holds nothing of it."""
    found = last_kept(unit, project.workshop)
    if found is None or project.name not in found.ready:
        return None
    steps = tuple(step for step in found.steps if step.id.startswith(f"{project.name}/"))
    ready = {project.name: found.ready[project.name]}
    return KeptPlan(found.at, ready, steps)


def keep_seen(unit: Unit, project: Project, seen: KeptPlan) -> None:
    """Take a project's part of the plan last seen from its file into that of the workshop."""
    there = last_kept(unit, project.workshop)
    if there is not None:
        others = tuple(step for step in there.steps if not step.id.startswith(f"{project.name}/"))
        seen = replace(
            there,
            at=max(there.at, seen.at),
            ready={**there.ready, **seen.ready},
            steps=others + seen.steps,
        )
    unit.settings.put(kept_key(project.workshop), to_plain(seen))
