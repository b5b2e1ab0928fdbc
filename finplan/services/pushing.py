"""Pushing a plan's reminders to a CalDAV calendar, and what people did to them there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from finplan.planning.ask import why_not
from finplan.services.calendar import Wanted, calendar_wanted, keep_ledger
from finplan.services.planned import planned
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from finplan.calendars.push import Conflict, PushReport
    from finplan.calendars.server import CalendarFound
    from finplan.services.session import Session
    from finplan.tracking.ledger import LedgerRow

PLACE = "caldav"
"""Setting that keeps where the calendar is; the password is never in it."""


@dataclass(frozen=True, slots=True)
class Place:
    """A calendar on a server. ``calendar`` is its address, '' while none is chosen."""

    url: str
    user: str
    calendar: str = ""


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


def kept_place(session: Session) -> Place | None:
    """Return the calendar pushed to before, None where there was none."""
    with session.store.unit(writes=False) as unit:
        kept = unit.settings.get(PLACE)
    if not isinstance(kept, dict):
        return None
    return Place(*(str(kept.get(name, "")) for name in ("url", "user", "calendar")))


def calendars_at(place: Place, password: str) -> tuple[CalendarFound, ...]:
    """Return the calendars of an account, to choose from.

    Raises:
        BadInput: the address, the name or the password is wrong, or the server is away.
    """
    from finplan.calendars.account import Account
    from finplan.calendars.server import calendars_of, connected

    with connected(Account(place.url, place.user), password) as client:
        return calendars_of(client)


def chosen(place: Place, found: Collection[CalendarFound], name: str) -> Place:
    """Return the place with the calendar of that name (or address) chosen.

    Raises:
        BadInput: there is none, or more than one; the sentence lists those there are.
    """
    fitting = [one for one in found if name in (one.name, one.url)]
    if len(fitting) == 1:
        return replace(place, calendar=fitting[0].url)
    listed = ", ".join(f"{one.name or 'unnamed'} ({one.url})" for one in found) or "none"
    word = "several calendars" if fitting else "no calendar"
    raise BadInput(f"the account has {word} {name!r}: give one of {listed}", "--into")


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
    from finplan.calendars.account import Account
    from finplan.calendars.push import push
    from finplan.calendars.server import CalendarServer, connected

    wanted = calendar_wanted(session, projects)
    with session.store.unit() as unit:
        _, rows = keep_ledger(unit, wanted, session.now)
        if not dry_run:
            unit.commit()

    def keep(row: LedgerRow) -> None:
        with session.store.unit() as unit:
            unit.ledger.put([row])
            unit.commit()

    with connected(Account(place.url, place.user), password) as client:
        report = push(CalendarServer(client, place.calendar), rows, keep, dry_run)
    if not dry_run:
        with session.store.unit() as unit:
            kept = {"url": place.url, "user": place.user, "calendar": place.calendar}
            unit.settings.put(PLACE, kept)
            unit.commit()
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
