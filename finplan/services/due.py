"""What is due in all workshops, and on the pieces in use."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.overview import due_now
from finplan.services.planned import all_planned
from finplan.services.upkeep import seen_pieces
from finplan.tracking.due import DueItem, DueState
from finplan.trade.moments import find_zone

if TYPE_CHECKING:
    from finplan.services.session import Session


UPKEEP_AHEAD = dt.timedelta(days=14)
"""How far ahead upkeep is told of: its days are planned by the week (our choice)."""


@dataclass(frozen=True, slots=True)
class DueThing:
    """A due item and the zone its workshop's people read times in."""

    item: DueItem
    zone: ZoneInfo


def due(session: Session, within: dt.timedelta = dt.timedelta(0)) -> tuple[DueThing, ...]:
    """Return what is due now or comes ``within`` that time, shop by shop, then pieces in use.

    Raises:
        BadInput: ``within`` is negative.
    """
    making = [
        DueThing(item, one.zone)
        for one in all_planned(session)
        for item in due_now(session, one, within)
    ]
    return (*making, *upkeep_things(session, within))


def upkeep_things(session: Session, within: dt.timedelta = UPKEEP_AHEAD) -> tuple[DueThing, ...]:
    """Return what is due on installed pieces now or ``within`` that time, most pressing first."""
    pieces = seen_pieces(session)
    if not pieces:
        return ()
    from finplan.services.windows import near_window
    from finplan.tracking.upkeep.due import upkeep_due
    from finplan.tracking.upkeep.window import NEAR_DAYS

    ahead = within + dt.timedelta(days=NEAR_DAYS)

    found = [
        DueThing(item, find_zone(one.piece.zone))
        for one in pieces
        for item in upkeep_due(one.outlook, session.now, within, near_window(session, one, ahead))
    ]
    order = list(DueState)
    return tuple(sorted(found, key=lambda one: (order.index(one.item.state), one.item.at)))
