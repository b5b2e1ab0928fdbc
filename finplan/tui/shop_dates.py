"""The date of a project as the screens see it: what it hangs on, part by part."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput
from finplan.tui.models import date
from finplan.tui.shop_upkeep import UpkeepShop

if TYPE_CHECKING:
    from finplan.services.chance import ChanceAnswer
    from finplan.services.planned import Planned
    from finplan.services.session import Session

Tell = Callable[[str, Sequence[date.Said]], None]
"""Takes a part of the sheet, by its name, once it is known."""


class DateShop(UpkeepShop):
    """What can be asked of the day a project is ready."""

    def slack(self, made: Planned, step: str, stopped: Callable[[], bool]) -> str:
        """Say how much later a step, by its id, can start before any project is ready later."""
        from finplan.planning.ask import slack, slack_said

        return slack_said(slack(made.request, made.plan, step, stopped))

    def about_date(
        self, project: str, by: dt.date | None, tell: Tell, stopped: Callable[[], bool]
    ) -> None:
        """Say when a project is ready and why, how sure that is and from what, what would help.

        Args:
            project: its name.
            by: the date asked about; None for the one the project is wanted by, if any.
            tell: takes each part as soon as it is known.
            stopped: asked between the parts; says whether they are still wanted.
        """
        with self._open() as session:
            chance = cache(lambda: _chance(session, project, by, stopped))
            parts: tuple[tuple[str, Callable[[], Sequence[date.Said]]], ...] = (
                (date.READY, lambda: _ready(session, project)),
                (date.BY, lambda: _by(session, project, by)),
                (date.CHANCE, lambda: date.chance_part(chance())),
                (date.LEVERS, lambda: _levers(session, project)),
                (date.DOUBT, lambda: _doubt(session, chance(), stopped)),
            )
            for name, look in parts:
                try:
                    said = look()
                except BadInput as fault:
                    said = (date.Said(f"{fault}."),)
                if stopped():
                    return
                tell(name, said)


def _ready(session: Session, project: str) -> Sequence[date.Said]:
    from finplan.services.outlook import outlook
    from finplan.services.planned import planned

    seen = planned(session, [project])
    ready = seen.ready_of(project)
    if ready is None or all(step.done for step in seen.steps_of(project)):
        raise BadInput("every step is done", project)
    return date.ready_part(ready, outlook(seen, project).words, seen.zone)


def _by(session: Session, project: str, by: dt.date | None) -> Sequence[date.Said]:
    from finplan.library.load import templates
    from finplan.planning.hindered import why_too_late
    from finplan.services.planned import planned

    day = by or planned(session, [project]).projects[project].in_service_by
    if day is None:
        return ()
    seen = planned(session, [project], ready_by=day)
    deadline = seen.plan.deadline
    late = None
    if deadline is not None and not deadline.met:
        late = why_too_late(seen.request, day, templates())
    return date.deadline_part(deadline, late, seen.zone)


def _chance(
    session: Session, project: str, by: dt.date | None, stopped: Callable[[], bool]
) -> ChanceAnswer:
    from finplan.services.chance import chance_of

    return chance_of(session, project, by, stopped)


def _doubt(
    session: Session, found: ChanceAnswer, stopped: Callable[[], bool]
) -> Sequence[date.Said]:
    from finplan.services.chance import doubt_of

    return date.doubt_part(doubt_of(session, found, stopped))


def _levers(session: Session, project: str) -> Sequence[date.Said]:
    from finplan.services.levers import levers_of

    return date.levers_part(levers_of(session, project))
