"""Finish to be bought before the day it is first needed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from finplan.planning.plan import PlannedStep
from finplan.tracking.reminder import GOVERNS, Reminder, Role
from finplan.tracking.scene import Scene
from finplan.tracking.wording import amount_words
from finplan.trade.moments import short_moment


def buying_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield, for each finish of a project none of which was used yet, the days to buy it."""
    uses: dict[tuple[str, str], list[PlannedStep]] = {}
    for planned in scene.plan.steps:
        finish = scene.step_of(planned).finish
        if finish is not None:
            uses.setdefault((planned.project, finish), []).append(planned)
    for (project, finish), steps in uses.items():
        if not any(planned.done for planned in steps):
            yield _buy(scene, project, finish, steps)


def _buy(scene: Scene, project: str, finish: str, steps: list[PlannedStep]) -> Reminder:
    first = min(steps, key=lambda planned: planned.start)
    needed = first.start.astimezone(scene.zone).date()
    day = needed - dt.timedelta(days=scene.settings.buy_lead_days)
    start = dt.datetime.combine(day, dt.time.min, dt.UTC)
    title = scene.request.finishes[finish].title
    lines = [f"{title} is first needed {short_moment(first.start, scene.zone)}: {first.title}."]
    known = [scene.notes.litres[step.id] for step in steps if step.id in scene.notes.litres]
    if len(known) == len(steps):
        lines.append(f"All coats together take {amount_words(sum(known), scene.request.units)}.")
    morning = dt.datetime.combine(day - dt.timedelta(days=1), dt.time(9), scene.zone)
    return Reminder(
        key=f"buy/{finish}",
        role=Role.BUY,
        project=project,
        project_uid=scene.projects[project].uid,
        title=f"{scene.projects[project].title}: buy {title}",
        text="\n".join([*lines, "", GOVERNS]),
        start=start,
        # It stands to the end of the day of use: a project may begin within the lead time.
        end=dt.datetime.combine(needed, dt.time.min, dt.UTC) + dt.timedelta(days=1),
        alarm_at=morning.astimezone(dt.UTC),
        steps=tuple(planned.id for planned in steps),
        all_day=True,
    )
