"""What is due in all workshops."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.overview import due_now
from finplan.services.planned import all_planned
from finplan.tracking.due import DueItem

if TYPE_CHECKING:
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class DueThing:
    """A due item and the zone its workshop's people read times in."""

    item: DueItem
    zone: ZoneInfo


def due(session: Session, within: dt.timedelta = dt.timedelta(0)) -> tuple[DueThing, ...]:
    """Return what is due now or comes ``within`` that time, workshop by workshop.

    Raises:
        BadInput: ``within`` is negative.
    """
    return tuple(
        DueThing(item, one.zone)
        for one in all_planned(session)
        for item in due_now(session, one, within)
    )
