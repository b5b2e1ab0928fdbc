"""Pushing a plan's reminders to a CalDAV calendar, and what people did to them there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.planning.ask import why_not
from finplan.services.caldav import PUSHED_TO, Place, calendar_at, keep_place
from finplan.services.calendar import Wanted, calendar_wanted, keep_ledger
from finplan.services.planned import planned

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from finplan.calendars.push import Conflict, PushReport
    from finplan.services.session import Session
    from finplan.tracking.ledger import LedgerRow


@dataclass(frozen=True, slots=True)
class Offer:
    """A session that a person moved in their calendar, as a wish to be taken or left."""

    title: str
    project: str
    step: str
    start: dt.datetime
    answer: str
    zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class Pushed:
    """What a push did (or would do), and the moves a person made, each with an answer."""

    report: PushReport
    offers: tuple[Offer, ...]


def push_calendar(
    session: Session,
    projects: Collection[str],
    place: Place,
    password: str,
    *,
    dry_run: bool = False,
) -> Pushed:
    """Bring a calendar on a server up to the plan; what people changed there stays.

    Each item that was sent is kept at once, so that a push that broke off goes on from there.

    Args:
        session: the open session.
        projects: names; none means all.
        place: the calendar, chosen.
        password: the account's.
        dry_run: only say what would be done.

    Raises:
        BadInput: no such project, no plan, or the server can't be used.
    """
    from finplan.calendars.push import push

    wanted = calendar_wanted(session, projects)
    with session.store.unit() as unit:
        _, rows = keep_ledger(unit, wanted, session.now)
        if not dry_run:
            unit.commit()

    def keep(row: LedgerRow) -> None:
        with session.store.unit() as unit:
            unit.ledger.put([row])
            unit.commit()

    with calendar_at(place, password) as server:
        report = push(server, rows, keep, dry_run)
    if not dry_run:
        keep_place(session, PUSHED_TO, place)
    return Pushed(report, _offers(session, wanted, report.conflicts))


def _offers(session: Session, wanted: Wanted, conflicts: list[Conflict]) -> tuple[Offer, ...]:
    """Ask the planner about each session that was moved."""
    busy = {one.uid: one for one in wanted.reminders if one.busy}
    offers: list[Offer] = []
    for conflict in conflicts:
        reminder = busy.get(conflict.row.uid)
        if reminder is None or conflict.start is None:
            continue
        seen = planned(session, (reminder.project,))
        step = next(s for s in seen.plan.steps if s.id in reminder.steps and not s.done)
        answer = why_not(seen.request, seen.plan, step.id, conflict.start)
        offers.append(
            Offer(
                conflict.title,
                reminder.project,
                step.id,
                conflict.start,
                answer.sentence,
                seen.zone,
            )
        )
    return tuple(offers)
