"""The reminders of a plan as a calendar file, with a ledger of what was sent."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.litres import litres_by_step
from finplan.services.planned import Planned, all_planned, planned
from finplan.tracking.reminder import Reminder, ReminderNotes
from finplan.tracking.reminders import reminders_of
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export did. ``written`` False: the file held just that already, and was left."""

    path: Path
    projects: tuple[str, ...]
    written: bool
    events: int
    added: int
    changed: int
    cancelled: int


def export_calendar(
    session: Session, projects: Collection[str], path: Path, *, feed: bool = False
) -> Exported:
    """Write the reminders of some projects to a calendar file.

    The ledger of what was sent is kept in the transaction the file is written in: where the file
    cannot be written, nothing is kept.

    Args:
        session: the open session.
        projects: names; none means all.
        path: the file.
        feed: for programs that read the whole file again and again; otherwise for those that
            import it once, so what is gone is told as cancelled.

    Raises:
        BadInput: no such project, no plan, or the file cannot be written.
    """
    from finplan.calendars.file import write_calendar
    from finplan.calendars.ics import Profile
    from finplan.calendars.ledger import update_ledger

    plans = (planned(session, projects),) if projects else all_planned(session)
    if not plans:
        raise BadInput("there is no project yet: try `finplan sample`, or load a project file")
    names = tuple(name for seen in plans for name in seen.shown)
    wanted = [one for seen in plans for one in reminders(seen)]
    with session.store.unit() as unit:
        update = update_ledger(unit.ledger.rows(), wanted, names, session.now)
        unit.ledger.put(update.changed)
        rows = [row for row in update.rows if row.project in names]
        profile = Profile.FEED if feed else Profile.IMPORT
        written = write_calendar(path, rows, _title(plans, names), profile, session.now)
        unit.commit()
    return Exported(
        path,
        names,
        written,
        sum(row.cancelled_at is None for row in rows),
        len(update.added),
        len(update.altered),
        len(update.cancelled),
    )


def reminders(seen: Planned) -> tuple[Reminder, ...]:
    """Return what to remind of in the shown projects of a plan, earliest first."""
    from finplan.library.load import cautions

    notes = ReminderNotes(litres_by_step(seen), cautions())
    found = reminders_of(seen.plan, seen.request, notes=notes)
    return tuple(one for one in found if one.project in seen.shown)


def _title(plans: tuple[Planned, ...], names: tuple[str, ...]) -> str:
    if len(names) > 1:
        return "finplan"
    return next(seen.projects[name].title for seen in plans for name in names)
