"""What would bring a project's date forward most."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.planned import planned
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.planning.levers import Pulled
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class Levers:
    """Levers by what they gain, and those not pulled; ``ready`` is the safe date without any.

    ``alone``: the workshop has other projects, which were left out of the reckoning.
    """

    ready: dt.datetime
    pulled: Pulled
    alone: bool
    zone: ZoneInfo


def levers_of(session: Session, project: str) -> Levers:
    """Pull every lever there is for a project on its own, and rank by what is gained.

    Raises:
        BadInput: no such project, or nothing of it is left to do.
        NoPlan: there is no plan to begin with.
    """
    from finplan.library.load import templates
    from finplan.planning.levers import levers
    from finplan.planning.make import make_plan

    seen = planned(session, [project])
    if all(step.done for step in seen.steps_of(project)):
        raise BadInput("every step is done: nothing is left to bring forward", project)
    own = replace(seen.request, projects=(seen.projects[project],), seconds=0.0)
    now = make_plan(own)
    ready = max(one.safe for one in now.ready)
    return Levers(ready, levers(own, now, templates()), len(seen.projects) > 1, seen.zone)
