"""The best time to renew a piece in use, from the hours and the air of its workshop."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import TYPE_CHECKING

from finplan.services.air import space_named, workshop_named
from finplan.services.gather import AIR_BEFORE, active_projects, air_between, folded
from finplan.services.learned import bands_of, learned_in
from finplan.tracking.upkeep.pieces import Work
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, instant_of
from finplan.trade.steps import StepKind

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen
    from finplan.tracking.upkeep.pieces import InstalledPiece
    from finplan.tracking.upkeep.window import Ground, NoWindow, Taken, Tasks, Window
    from finplan.trade.workshop import Workshop

AHEAD = dt.timedelta(days=800)
"""How far ahead hours and air are laid out; a renewal due later has no window yet."""


NEAR = dt.timedelta(days=120)
"""How far ahead calendars tell the hours of a downtime; beyond, whole days: our own choice."""


def window_of(session: Session, seen: PieceSeen, *, held: bool = False) -> Window | NoWindow:
    """Return the best time for a piece's next renewal, or why there is none.

    Where the renewal is planned as a project already, the time is that plan's.

    Args:
        session: the open session.
        seen: the piece as it is seen now.
        held: one that began earlier today still counts, so that calendars hold still.
    """
    from finplan.tracking.upkeep.window import NoWindow, Wanted, best_window

    if seen.gone is not None:
        return NoWindow("it is in use no more")
    piece, due = seen.piece, seen.outlook.next(Work.RENEWAL).on
    stamp = session.store.change_stamp()
    if (project := renewal_project(session, piece, stamp)) is not None:
        return _window_of_plan(session, project, held=held)
    earliest = _day_begins(session, piece) if held else session.now
    if due > (session.now + AHEAD).date():
        return NoWindow("it is too far ahead: the best time is searched for two years before")

    def search() -> Window | NoWindow:
        try:
            ground = _ground(session, piece, stamp)
        except BadInput as fault:
            return NoWindow(str(fault))
        wanted = Wanted(piece, seen.finish, seen.wood, tasks_of(seen), due, earliest)
        return best_window(ground, wanted)

    return session.once((stamp, "window", piece, earliest), search)


def renewal_project(
    session: Session, piece: InstalledPiece, stamp: int | None = None
) -> str | None:
    """Return the project a piece's renewal is planned as and not finished, None where none is.

    ``stamp``: the store's change stamp where the caller has read it already.
    """
    from finplan.services.renewed import is_finished

    def by_piece() -> dict[uuid.UUID | None, str]:
        with session.store.unit(writes=False) as unit:
            renewals = tuple(one for one in active_projects(unit) if one.renews is not None)
            facts = folded(unit, renewals)
        return {one.renews: one.name for one in renewals if not is_finished(one, facts[one.name])}

    key = (session.store.change_stamp() if stamp is None else stamp, "renewal projects")
    return session.once(key, by_piece).get(piece.uid)


def _window_of_plan(session: Session, project: str, *, held: bool) -> Window | NoWindow:
    from finplan.planning.request import NoPlan
    from finplan.services.planned import planned
    from finplan.services.settled import held_still
    from finplan.tracking.upkeep.window import NoWindow, Window, known_from

    try:
        seen = planned(session, [project])
        seen = held_still(session, seen) if held else seen
    except NoPlan as fault:
        return NoWindow(f"the renewal is planned as {project}: {fault}")
    steps, ready = seen.steps_of(project), seen.ready_of(project)
    coats = [step.start for step in steps if step.kind is StepKind.COAT]
    sanded = [step.start for step in steps if step.kind is StepKind.SAND]
    start = min(step.start for step in steps)
    if ready is None or not coats:
        return NoWindow(f"the renewal is planned as {project}, which has no coat")
    known = known_from(seen.air[steps[0].space], start, ready.safe)
    return Window(start, min(sanded, default=start), min(coats), ready.safe, known)


def near_window(
    session: Session, seen: PieceSeen, within: dt.timedelta, *, held: bool = False
) -> Window | None:
    """Return the best time for a renewal that comes within so long, None where there is none."""
    from finplan.tracking.upkeep.window import Window

    if seen.outlook.next(Work.RENEWAL).on > (session.now + within).date():
        return None
    found = window_of(session, seen, held=held)
    return found if isinstance(found, Window) else None


def tasks_of(seen: PieceSeen) -> Tasks:
    """Return the hands-on work of a renewal in minutes, from its steps."""
    from finplan.services.renewing import renewal_steps
    from finplan.tracking.upkeep.window import Tasks

    area = seen.piece.area_m2
    minutes = {
        step.key: step.minutes_fixed + step.minutes_per_m2 * area
        for step in renewal_steps(seen.piece, seen.finish, 0.0)
    }
    wait = seen.finish.wipe_off_minutes.low if seen.finish.wipe_off_minutes else 0.0
    return Tasks(
        lift=minutes["lift"],
        sand=minutes["sand"],
        dust_off=minutes["clean"],
        coat=minutes["coat-1"],
        wipe=wait + minutes.get("wipe-off-1", 0.0),
        back=minutes["install"],
    )


def shop_of(
    session: Session, piece: InstalledPiece, stamp: int | None = None
) -> tuple[Workshop, str]:
    """Return the workshop and the space a piece is worked on in.

    ``stamp``: the store's change stamp where the caller has read it already.

    Raises:
        BadInput: it names none, and there is none or several to choose from.
    """

    def find() -> Workshop:
        with session.store.unit(writes=False) as unit:
            return workshop_named(unit, piece.workshop or None)

    key = (session.store.change_stamp() if stamp is None else stamp, "workshop", piece.workshop)
    shop = session.once(key, find)
    return shop, space_named(shop, piece.space or shop.spaces[0].name)


def _ground(session: Session, piece: InstalledPiece, stamp: int) -> Ground:
    """Return hours and air of the piece's space, from the start of this day; made once."""
    from finplan.tracking.upkeep.window import Ground

    shop, space = shop_of(session, piece, stamp)
    begins = _day_begins(session, piece)

    def make() -> Ground:
        stretch = (begins, begins + AHEAD)
        with session.store.unit(writes=False) as unit:
            air = air_between(unit, shop, space, (begins - AIR_BEFORE, stretch[1]), session.now)
            bands = bands_of(learned_in(unit, shop, session.now))
        return Ground(shop, space, air, stretch, bands, _taken(session, shop))

    return session.once((stamp, "ground", shop.name, space, begins), make)


def _taken(session: Session, shop: Workshop) -> tuple[Taken, ...]:
    """Return the hours that the plan of a workshop's projects takes; none where there is none."""
    from finplan.planning.request import NoPlan
    from finplan.services.planned import planned

    with session.store.unit(writes=False) as unit:
        if not any(project.workshop == shop.name for project in active_projects(unit)):
            return ()
    try:
        steps = planned(session, workshop=shop.name).plan.steps
    except NoPlan:
        return ()
    return tuple(
        (step.person, *piece)
        for step in steps
        if step.person and not step.done
        for piece in step.pieces
    )


def _day_begins(session: Session, piece: InstalledPiece) -> dt.datetime:
    """Return the start of this day where the piece is."""
    zone = find_zone(piece.zone)
    today = session.now.astimezone(zone).date()
    return instant_of(today, dt.time(), zone)
