"""Air that will leave a finish's limits while a coat is wet: told before the coat goes on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from finplan.air.series import AirSource, at
from finplan.drying.spoiling import Spoiling, spoiling
from finplan.planning.plan import PlannedStep
from finplan.tracking.drying_now import clocks_of_request
from finplan.tracking.reminder import Reminder, Role
from finplan.tracking.scene import Scene
from finplan.trade.moments import short_moment
from finplan.trade.steps import WET_KINDS

DAYS_AHEAD = 5
"""How far ahead a forecast is taken at its word (our choice)."""

_STANDS = dt.timedelta(minutes=30)


def air_reminders(scene: Scene) -> Iterator[Reminder]:
    """Yield a reminder for each coat that measured or forecast air endangers while it is wet.

    Monthly normals say nothing about a single night, so nothing is told from them.
    """
    clock_of = clocks_of_request(scene.request)
    ahead = dt.timedelta(days=DAYS_AHEAD)
    for planned in scene.plan.steps:
        finish = scene.finish_of(planned)
        if planned.kind not in WET_KINDS or finish is None:
            continue
        if abs(planned.end - scene.plan.now) > ahead:
            continue
        clock = clock_of(finish.name, planned.space)
        found = spoiling(clock, planned.end.timestamp(), units=scene.request.units)
        dangers = [danger for danger in found if _is_known(scene, planned, danger)]
        if dangers:
            yield _warn(scene, planned, min(dangers, key=lambda danger: danger.at_s))


def _is_known(scene: Scene, planned: PlannedStep, danger: Spoiling) -> bool:
    air = scene.request.air[planned.space]
    return at(air, danger.at_s).source is not AirSource.NORMALS


def _warn(scene: Scene, planned: PlannedStep, danger: Spoiling) -> Reminder:
    begins = dt.datetime.fromtimestamp(danger.at_s, dt.UTC)
    settings = scene.settings
    if planned.done:
        alarm_at = begins - dt.timedelta(minutes=settings.window_lead_minutes)
        remedy = "Warm or air the space before that, or bring the pieces in."
    else:
        alarm_at = planned.start - dt.timedelta(minutes=settings.session_lead_minutes)
        remedy = "Warm or air the space then, or put the coat off."
    lines = [
        f"{planned.title}, {planned.batch}: {danger.cause.value} from "
        f"{short_moment(begins, scene.zone)}.",
        f"{danger.sentence[:1].upper()}{danger.sentence[1:]}.",
        remedy,
    ]
    stretch = (begins, begins + _STANDS)
    title = f"{danger.cause.value}, {planned.title}"
    return scene.reminder(Role.AIR, planned, title, lines, stretch, alarm_at)
