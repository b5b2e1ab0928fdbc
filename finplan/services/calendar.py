"""The reminders of a plan as a calendar file, with a ledger of what was sent."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.litres import litres_by_step
from finplan.services.planned import NO_PROJECT, Planned, all_planned, planned
from finplan.services.reading import write_whole
from finplan.services.reminding import kept_settings
from finplan.services.settled import held_still
from finplan.services.upkeep import every_piece
from finplan.tracking.reminder import Reminder, ReminderNotes, ReminderSettings
from finplan.tracking.reminders import reminders_of
from finplan.tracking.tasks import tasks_name, tasks_of
from finplan.tracking.upkeep.pieces import calendar_name as upkeep_name
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    import datetime as dt

    from finplan.calendars.ledger import LedgerUpdate
    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen
    from finplan.store.store import Unit
    from finplan.tracking.ledger import LedgerRow


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


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a calendar is to hold: the projects, the calendar's title, and the reminders."""

    projects: tuple[str, ...]
    title: str
    reminders: tuple[Reminder, ...]


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
    from finplan.calendars.file import stands_in
    from finplan.calendars.ics import Profile, calendar_bytes

    wanted = calendar_wanted(session, projects)
    with session.store.unit() as unit:
        update, rows = keep_ledger(unit, wanted, session.now)
        profile = Profile.FEED if feed else Profile.IMPORT
        told = (rows, wanted.title, profile, session.now)
        written = not stands_in(path, *told) and write_whole(path, calendar_bytes(*told))
        unit.commit()
    return Exported(
        path,
        wanted.projects,
        written,
        sum(row.cancelled_at is None for row in rows),
        len(update.added),
        len(update.altered),
        len(update.cancelled),
    )


def calendar_wanted(session: Session, projects: Collection[str]) -> Wanted:
    """Return what a calendar of some projects (none means all, and pieces in use) is to hold.

    Raises:
        BadInput: no such project, or no plan.
    """
    plans = (planned(session, projects),) if projects else all_planned(session)
    every = () if projects else every_piece(session)
    if not plans and not every:
        raise BadInput(NO_PROJECT)
    settings = kept_settings(session)
    still = [held_still(session, seen) for seen in plans]
    making = [one for seen in still for one in reminders(seen, settings)]
    pieces = [one for one in every if one.gone is None]
    return Wanted(
        (
            *(name for seen in still for name in seen.shown),
            *(upkeep_name(one.piece.name) for one in every),
        ),
        "finplan" if every else _title(still),
        (*making, *reminders_of_pieces(session, pieces, settings)),
    )


def tasks_wanted(session: Session, projects: Collection[str]) -> Wanted:
    """Return the tasks of some projects (none means all).

    Raises:
        BadInput: no such project, or no plan.
    """
    plans = (planned(session, projects),) if projects else all_planned(session)
    settings = kept_settings(session)
    still = [held_still(session, seen) for seen in plans]
    names = [tasks_name(name) for seen in still for name in seen.shown]
    tasks = [
        task
        for seen in still
        for task in tasks_of(seen.plan, seen.request, settings, _notes(seen))
        if task.project in names
    ]
    return Wanted(tuple(names), _title(still), tuple(tasks))


def reminders_of_pieces(
    session: Session, pieces: Sequence[PieceSeen], settings: ReminderSettings
) -> tuple[Reminder, ...]:
    """Return what to remind of on pieces in use."""
    from finplan.services.windows import NEAR, near_window
    from finplan.tracking.upkeep.due import upkeep_reminders

    return tuple(
        reminder
        for one in pieces
        for reminder in upkeep_reminders(
            one.outlook,
            one.effort.out_hours,
            settings,
            near_window(session, one, NEAR, held=True),
            session.units,
        )
    )


def keep_ledger(
    unit: Unit, wanted: Wanted, now: dt.datetime
) -> tuple[LedgerUpdate, tuple[LedgerRow, ...]]:
    """Bring the ledger up to what is wanted; return what changed, and the projects' rows."""
    from finplan.calendars.ledger import update_ledger

    update = update_ledger(unit.ledger.rows(), wanted.reminders, wanted.projects, now)
    unit.ledger.put(update.changed)
    return update, tuple(row for row in update.rows if row.project in wanted.projects)


def reminders(seen: Planned, settings: ReminderSettings) -> tuple[Reminder, ...]:
    """Return what to remind of in the shown projects of a plan, earliest first."""
    found = reminders_of(seen.plan, seen.request, settings, _notes(seen))
    return tuple(one for one in found if one.project in seen.shown)


def _notes(seen: Planned) -> ReminderNotes:
    from finplan.library.load import cautions

    return ReminderNotes(litres_by_step(seen), cautions())


def _title(plans: Sequence[Planned]) -> str:
    shown = [seen.projects[name].title for seen in plans for name in seen.shown]
    return shown[0] if len(shown) == 1 else "finplan"
