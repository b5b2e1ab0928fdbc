"""Work through a plan as a person would: each step recorded at the hour it was planned for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from finplan.services.planned import planned
from finplan.services.record import StepRef, record_step
from finplan.services.session import open_session
from finplan.trade.steps import WAITING_KINDS


def work_until(data: str, start: dt.datetime, until: dt.datetime, projects: Collection[str]) -> int:
    """Record every hands-on step that the plan has over by ``until``; return how many.

    After each step the plan is made anew at the step's end, as it would be in the shop.
    """
    now, count = start, 0
    while True:
        with open_session(data, now) as session:
            seen = planned(session, projects)
            coming = [
                step
                for step in seen.plan.steps
                if not step.done and step.kind not in WAITING_KINDS and step.project in projects
            ]
            step = min(coming, key=lambda one: (one.end, one.id), default=None)
            if step is None or step.end > until:
                return count
        with open_session(data, step.end) as session:
            record_step(session, StepRef.of(step), at=step.end, started=step.start, by="maker")
        now, count = step.end, count + 1
