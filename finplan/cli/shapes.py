"""The JSON of the verbs that read: shapes that scripts may rely on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from finplan.cli.show import iso
from finplan.services.outlook import outlook

if TYPE_CHECKING:
    from finplan.planning.plan import PlannedStep
    from finplan.services.overview import ProjectSummary
    from finplan.services.planned import Planned

JSON = dict[str, Any]


def plan_json(planned: Planned, project: str) -> JSON:
    """Return a project's plan; all times ISO 8601 UTC, ``ready`` the safe one."""
    plan = planned.plan
    ready = planned.ready_of(project)
    good = outlook(planned, project)
    return {
        "project": project,
        "now": iso(plan.now),
        "method": good.method.value,
        "ready": iso(ready.safe) if ready else None,
        "bound": iso(good.bound),
        "bound_by": good.bound_by,
        "sooner": good.words,
        "gap": good.gap,
        "steps": [step_json(step) for step in planned.steps_of(project)],
        "changes": _changes_json(planned, project),
        "warnings": list(plan.warnings),
    }


def _changes_json(planned: Planned, project: str) -> JSON:
    """Return what moved since the plan was last kept; ``step`` is null for the date ready."""
    before = planned.request.before
    return {
        "since": iso(before.at) if before is not None else None,
        "moved": [
            {
                "step": one.step or None,
                "was": iso(one.was),
                "now": iso(one.now),
                "because": one.because,
            }
            for one in planned.changes
            if one.project == project
        ],
    }


def step_json(step: PlannedStep) -> JSON:
    """Return one dated step."""
    wait = step.waits_for
    return {
        "id": step.id,
        "batch": step.batch,
        "load": step.load,
        "kind": step.kind.value,
        "coat": step.coat,
        "side": step.side.value,
        "title": step.title,
        "start": iso(step.start),
        "end": iso(step.end),
        "waits_for": None
        if wait is None
        else {
            "step": wait.step,
            "stage": wait.stage.value,
            "likely": iso(wait.likely),
            "safe": iso(wait.safe),
        },
        "window_closes": iso(step.window_closes),
        "reason": step.reason,
        "done": step.done,
    }


def projects_json(projects: tuple[ProjectSummary, ...]) -> JSON:
    """Return the projects: the safe date each is ready, and when its next step starts."""
    return {
        "projects": [
            {
                "name": project.name,
                "ready": iso(project.ready),
                "next": iso(project.next.start) if project.next else None,
            }
            for project in projects
        ]
    }
