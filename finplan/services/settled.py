"""A plan that holds still while people work: what reminders and calendars are made from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.services.gather import last_written
from finplan.services.planned import Planned, planned
from finplan.tracking.settled import settled_hour

if TYPE_CHECKING:
    from finplan.services.session import Session


def held_still(session: Session, seen: Planned) -> Planned:
    """Return the workshop's plan as of the hour that reminders are planned from.

    Raises:
        NoPlan: no plan is possible.
    """
    with session.store.unit(writes=False) as unit:
        written = last_written({name: unit.journal.of(name) for name in seen.projects})
    before = seen.request.before
    if before is not None:  # what a person was shown holds as well as what was recorded
        written = max(written or before.at, before.at)
    hour = settled_hour(seen.workshop, written, session.now)
    if hour == seen.plan.now:
        return seen
    return planned(session, seen.asked or tuple(seen.projects), at=hour)
