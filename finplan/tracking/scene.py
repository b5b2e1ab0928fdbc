"""All that reminders are made from, looked up by planned step."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from finplan.planning.plan import Plan, PlannedStep
from finplan.planning.request import PlanRequest
from finplan.tracking.quiet import quiet_stretch
from finplan.tracking.reminder import (
    GOVERNS,
    IN_THE_SHOP,
    MAKES_READY,
    Reminder,
    ReminderNotes,
    ReminderSettings,
    Role,
)
from finplan.tracking.wording import whole_minute_down, whole_minute_up
from finplan.trade.cautions import cautions_within
from finplan.trade.finishes import Finish
from finplan.trade.project import Project
from finplan.trade.steps import Step


@dataclass(frozen=True)
class Scene:
    """A plan with what it was made from, what to say beside it, and the user's settings."""

    plan: Plan
    request: PlanRequest
    settings: ReminderSettings
    notes: ReminderNotes
    projects: dict[str, Project] = field(init=False)
    zone: ZoneInfo = field(init=False)
    _steps: dict[tuple[str, str, str], Step] = field(init=False)

    def __post_init__(self) -> None:
        """Build the look-ups."""
        projects = {project.name: project for project in self.request.projects}
        object.__setattr__(self, "projects", projects)
        object.__setattr__(self, "zone", ZoneInfo(self.request.workshop.zone))
        steps = {
            (project.name, batch.name, step.key): step
            for project in self.request.projects
            for batch in project.batches
            for step in batch.steps
        }
        object.__setattr__(self, "_steps", steps)

    def step_of(self, planned: PlannedStep) -> Step:
        """Return the step of the finishing schedule a planned step comes from."""
        return self._steps[planned.project, planned.batch, planned.step]

    def finish_of(self, planned: PlannedStep) -> Finish | None:
        """Return the finish a planned step puts on, None for a step without one."""
        name = self.step_of(planned).finish
        return self.request.finishes[name] if name is not None else None

    def cautions_at(self, planned: PlannedStep) -> list[str]:
        """Return what to mind at a step, in sentences."""
        step = self.step_of(planned)
        batches = self.projects[planned.project].batches
        steps = next(batch.steps for batch in batches if batch.name == planned.batch)
        said = cautions_within(steps, step, self.request.finishes, self.notes.cautions)
        return [caution.text for caution in said]

    def reminder(
        self,
        role: Role,
        about: PlannedStep,
        title: str,
        lines: list[str],
        stretch: tuple[dt.datetime, dt.datetime],
        alarm_at: dt.datetime | None,
    ) -> Reminder:
        """Make a reminder about one planned step, its alarm kept out of the quiet hours."""
        start, end = whole_minute_up(stretch[0]), whole_minute_up(stretch[1])
        return Reminder(
            key=f"{role.value.replace(' ', '-')}/{about.batch}/{about.load}/{about.step}",
            role=role,
            project=about.project,
            project_uid=self.projects[about.project].uid,
            title=f"{self.projects[about.project].title}: {title}",
            text="\n".join([*lines, "", GOVERNS]),
            start=start,
            end=max(end, start + dt.timedelta(minutes=1)),
            alarm_at=self.rung_at(role, alarm_at, end),
            steps=(about.id,),
        )

    def rung_at(
        self, role: Role, alarm_at: dt.datetime | None, end: dt.datetime
    ) -> dt.datetime | None:
        """Return when an alarm may ring: outside the quiet hours, and before ``end``.

        What becomes possible is told once the quiet hours are over, if that is soon enough;
        whatever must not be missed is told before they begin.
        """
        if alarm_at is None:
            return None
        # Never before the safe hour, and never after a deadline.
        to_minute = whole_minute_up if role in MAKES_READY else whole_minute_down
        alarm_at = to_minute(alarm_at)
        hours = self.settings
        quiet = quiet_stretch(alarm_at, hours.quiet_from, hours.quiet_until, self.zone)
        if role in IN_THE_SHOP or quiet is None:
            return alarm_at
        if role in MAKES_READY and quiet.end < end:
            return quiet.end
        return quiet.start - dt.timedelta(minutes=1)
