"""From a plan to what a person should be told, and when."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from finplan.planning.plan import Plan
from finplan.planning.request import PlanRequest
from finplan.tracking.air_limits import air_reminders
from finplan.tracking.moments import cured_reminders, handling_reminders, recoat_reminders
from finplan.tracking.reminder import Reminder, ReminderNotes, ReminderSettings
from finplan.tracking.scene import Scene
from finplan.tracking.sessions import session_reminders
from finplan.tracking.supplies import buying_reminders

_SOURCES: tuple[Callable[[Scene], Iterator[Reminder]], ...] = (
    session_reminders,
    recoat_reminders,
    handling_reminders,
    cured_reminders,
    buying_reminders,
    air_reminders,
)


def reminders_of(
    plan: Plan,
    request: PlanRequest,
    settings: ReminderSettings | None = None,
    notes: ReminderNotes | None = None,
) -> tuple[Reminder, ...]:
    """Return what to remind of, earliest first; nothing that is over or done.

    Args:
        plan: the dated plan.
        request: what the plan was made from: projects, finishes, workshop.
        settings: lead times, quiet hours and roles left out; None for the defaults.
        notes: litres by step id and the library's cautions, for the texts.
    """
    scene = Scene(plan, request, settings or ReminderSettings(), notes or ReminderNotes())
    found = [
        reminder
        for source in _SOURCES
        for reminder in source(scene)
        if reminder.end > plan.now and reminder.role not in scene.settings.silent
    ]
    return tuple(sorted(found, key=lambda reminder: (reminder.start, reminder.key)))
