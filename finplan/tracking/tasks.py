"""Hands-on steps as tasks, to be ticked off in a person's own list."""

from __future__ import annotations

from dataclasses import replace

from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.tracking.reminder import Reminder, ReminderNotes, ReminderSettings, Role
from finplan.tracking.scene import Scene
from finplan.tracking.sessions import about_step
from finplan.tracking.wording import length_words
from finplan.trade.moments import short_moment
from finplan.trade.steps import WAITING_KINDS, of_loads


def tasks_name(project: str) -> str:
    """Return what calendars know a project's tasks by; no project can be called so."""
    return f"tasks/{project}"


def tasks_of(
    plan: Plan, request: PlanRequest, settings: ReminderSettings, notes: ReminderNotes
) -> tuple[Reminder, ...]:
    """Return a task for each hands-on step that is not done, earliest first.

    They ring nothing: the session they belong to does.

    Args:
        plan: the dated plan.
        request: what the plan was made from.
        settings: says whether tasks are left out.
        notes: what their texts show beside the plan.
    """
    if Role.TASK in settings.silent:
        return ()
    scene = Scene(plan, request, settings, notes)
    left = [step for step in plan.steps if not step.done and step.kind not in WAITING_KINDS]
    return tuple(
        _task(scene, step) for step in sorted(left, key=lambda step: (step.start, step.id))
    )


def _task(scene: Scene, step: PlannedStep) -> Reminder:
    load = of_loads(step.load, step.loads)
    words = "; ".join([*about_step(scene, step), length_words(step.minutes)])
    lines = [f"{short_moment(step.start, scene.zone)}: {words}", "Tick it off once it is done."]
    lines += [f"- {caution}" for caution in scene.cautions_at(step)]
    title = f"{step.title} ({step.batch}{load})"
    task = scene.reminder(Role.TASK, step, title, lines, (step.start, step.end), None)
    return replace(task, project=tasks_name(step.project))
