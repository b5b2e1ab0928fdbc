"""Pushing a plan's reminders to a CalDAV calendar, and what people did to them there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

from finplan.planning.ask import why_not
from finplan.services.caldav import PUSHED_TO, Place, connected_to, keep_place, kept_place
from finplan.services.calendar import calendar_wanted, keep_ledger, tasks_wanted
from finplan.services.planned import planned
from finplan.services.record import StepRef, record_step, wish
from finplan.tracking.reminder import Role
from finplan.tracking.surfaces import surfaces_of
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_moment

if TYPE_CHECKING:
    from collections.abc import Iterator
    from zoneinfo import ZoneInfo

    from finplan.calendars.push import Conflict, PushReport
    from finplan.planning.plan import Plan, PlannedStep
    from finplan.services.planned import Planned
    from finplan.services.session import Session
    from finplan.services.write import Recorded
    from finplan.store.store import Unit
    from finplan.tracking.ledger import LedgerRow
    from finplan.tracking.reminder import Reminder


@dataclass(frozen=True, slots=True)
class Offer:
    """What a person did to a step in their calendar, to be taken up or left.

    ``ticked``: it was ticked off as done at ``at``; otherwise it was put to begin at ``at``.
    ``answer`` says what is to be known of a move, ``possible`` whether the plan can follow it.
    """

    conflict: Conflict
    step: PlannedStep
    at: dt.datetime
    zone: ZoneInfo
    ticked: bool
    possible: bool = True
    answer: str = ""


@dataclass(frozen=True, slots=True)
class Pushed:
    """What a push did (or would do), and what is offered: ticked off first, then moved."""

    report: PushReport
    offers: tuple[Offer, ...]

    @property
    def left(self) -> tuple[Conflict, ...]:
        """What people changed that nothing is offered for: it stays as they made it."""
        offered = {offer.conflict.row.uid for offer in self.offers}
        return tuple(one for one in self.report.conflicts if one.row.uid not in offered)


@dataclass(frozen=True, slots=True)
class TakenUp:
    """An offer taken up: what was recorded, or why it was refused."""

    offer: Offer
    recorded: Recorded | None
    refused: str = ""


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
        place: the calendar, chosen, and the list for tasks, if any.
        password: the account's.
        dry_run: only say what would be done.

    Raises:
        BadInput: no such project, no plan, or the server can't be used.
    """
    from finplan.calendars.push import PushReport, push

    def keep(row: LedgerRow) -> None:
        with session.store.unit() as unit:
            unit.ledger.put([row])
            unit.commit()

    events = calendar_wanted(session, projects)
    before = kept_place(session, PUSHED_TO) or place
    list_of_tasks = place.tasks or before.tasks
    tasks = tasks_wanted(session, projects) if list_of_tasks else None
    if tasks and not place.tasks:
        tasks = replace(tasks, reminders=())  # they are wanted no more: take them out
    report = PushReport()
    with session.store.unit() as unit:
        _forget_another(
            unit, events=place.calendar != before.calendar, tasks=list_of_tasks != before.tasks
        )
        _, event_rows = keep_ledger(unit, events, session.now)
        task_rows = keep_ledger(unit, tasks, session.now)[1] if tasks else ()
        if not dry_run:
            unit.settings.put(PUSHED_TO, asdict(replace(place, tasks=list_of_tasks)))
            unit.commit()
    with connected_to(place, password) as opened:
        for rows, address in ((event_rows, place.calendar), (task_rows, list_of_tasks)):
            if address:
                report.add(push(opened(address), rows, keep, session.now, dry_run))
    if not dry_run:
        keep_place(session, PUSHED_TO, place)
    reminders = [*events.reminders, *(tasks.reminders if tasks else ())]
    return Pushed(report, tuple(_offers(session, reminders, report.conflicts)))


def take_up(session: Session, offers: Iterable[Offer]) -> tuple[TakenUp, ...]:
    """Record what was ticked off, and take each move the plan can follow as a wish.

    One that is refused says why, and leaves the others.
    """
    return tuple(_take_up(session, offer) for offer in offers if offer.possible)


def _take_up(session: Session, offer: Offer) -> TakenUp:
    which = StepRef.of(offer.step)
    try:
        if offer.ticked:
            return TakenUp(offer, record_step(session, which, at=offer.at))
        return TakenUp(offer, wish(session, which, offer.at))
    except BadInput as fault:
        return TakenUp(offer, None, str(fault))


def _forget_another(unit: Unit, *, events: bool, tasks: bool) -> None:
    """Forget what another calendar, or list of tasks, holds: here nothing of it was sent yet.

    That goes for all projects and is kept at once, with the new place: a push that breaks off
    here would take the rest for deleted by the person later.
    """
    from finplan.calendars.ledger import is_task, parse_content

    unit.ledger.put(
        replace(row, etag="", sent="")
        for row in unit.ledger.rows()
        if (tasks if is_task(parse_content(row.content)) else events)
    )


def _offers(
    session: Session, reminders: Collection[Reminder], conflicts: Collection[Conflict]
) -> Iterator[Offer]:
    known = {one.uid: one for one in reminders if one.role in (Role.SESSION, Role.TASK)}
    told = [(one, known[one.row.uid]) for one in conflicts if one.row.uid in known]
    ticked = [(one, about) for one, about in told if one.ticked_at is not None]
    offered: set[str] = set()
    for conflict, about in sorted(ticked, key=lambda pair: (pair[0].ticked_at, pair[0].row.uid)):
        seen, step = _step_of(session, about)
        if conflict.ticked_at is not None and step is not None:
            offered.add(step.id)
            yield Offer(conflict, step, conflict.ticked_at, seen.zone, ticked=True)
    for conflict, about in told:
        start = _moved_to(conflict, about)
        if start is None:
            continue
        seen, step = _step_of(session, about, offered)
        if step is None:
            continue
        goes_on = about.start - step.start > dt.timedelta(minutes=1)
        if not goes_on:  # a later part of a step cannot be wished at an hour of its own
            yield _move(conflict, seen, step, start, about.steps)


def _moved_to(conflict: Conflict, about: Reminder) -> dt.datetime | None:
    """Return the hour an item was put to begin, None where it was not (or only made longer)."""
    if conflict.start is None or conflict.end is None:
        return None
    start = conflict.start
    if about.role is Role.TASK:  # tasks show when they are to be done by
        start = conflict.end - (about.end - about.start)
    return start if start != about.start else None


def _step_of(
    session: Session, about: Reminder, ticked: Collection[str] = ()
) -> tuple[Planned, PlannedStep | None]:
    """Return the first step that an item is about and that is left to do, with the plan.

    None where all are ``ticked`` off, or somebody recorded them, or the plan came to have them no
    more, during the push.
    """
    seen = planned(session, (about.steps[0].split("/", 1)[0],))
    wanted = set(about.steps) - set(ticked)
    left = (one for one in seen.plan.steps if one.id in wanted and not one.done)
    return seen, next(left, None)


def _move(
    conflict: Conflict,
    seen: Planned,
    step: PlannedStep,
    start: dt.datetime,
    together: Collection[str],
) -> Offer:
    """Ask the planner about a step that was moved with those it is done ``together`` with."""
    answer = why_not(seen.request, seen.plan, step.id, start)
    told = [f"{answer.sentence[:1].upper()}{answer.sentence[1:]}"]
    if answer.possible:
        told[:0] = _window_words(answer.plan, together, seen.zone)
    return Offer(
        conflict, step, start, seen.zone, ticked=False, possible=answer.possible,
        answer=" ".join(told),
    )  # fmt: skip


def _window_words(plan: Plan, together: Collection[str], zone: ZoneInfo) -> list[str]:
    """Say how the first coat of what was moved stands to the window of the surface below it."""
    for below, above in surfaces_of(plan):
        closes = below.window_closes
        if above.id in together and closes is not None:
            when = say_moment(closes, zone)
            if above.start < closes:
                return [f"The recoat window allows it: it closes {when}."]
            return [f"The recoat window closes before that, {when}: scuff first."]
    return []
