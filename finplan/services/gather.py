"""Gather from the store what a plan is a function of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING

from finplan.journal.fold import progress
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.air.series import AirSeries
    from finplan.journal.entries import Entry
    from finplan.journal.progress import Progress
    from finplan.planning.kept import KeptPlan
    from finplan.store.store import Unit
    from finplan.trade.finishes import Finish
    from finplan.trade.project import Project
    from finplan.trade.workshop import Workshop

AIR_BEFORE = dt.timedelta(days=15)
"""Air kept before the first thing still drying, for wood that follows the air with a lag."""

AIR_AHEAD = dt.timedelta(days=400)
"""How far ahead the air is laid out: the planner's year, and some drying after it."""

ARCHIVED = "archived projects"
"""Setting that lists the uids of projects put aside."""


def all_finishes(unit: Unit) -> dict[str, Finish]:
    """Return the library's finishes with the user's own on top, by name."""
    from finplan.library.load import finishes

    return {**finishes(), **{own.name: own for own in unit.finishes.list()}}


def kept_plan(unit: Unit, workshop: Workshop, now: dt.datetime) -> KeptPlan | None:
    """Return the plan last kept for a workshop; None where there is none, or only a later one."""
    found = last_kept(unit, workshop.name)
    return found if found is not None and found.at <= now else None


def last_kept(unit: Unit, workshop: str) -> KeptPlan | None:
    """Return the plan last kept for a workshop by name; None where there is none."""
    from finplan.planning.kept import KeptPlan
    from finplan.trade.plain import from_plain

    document = unit.settings.get(kept_key(workshop))
    if document is None:
        return None
    try:
        return from_plain(KeptPlan, document, f"the plan kept for {workshop}")
    except BadInput:  # another version's: a plan can do without it
        return None


def kept_key(workshop: str) -> str:
    """Return the setting that holds the plan people last saw of a workshop."""
    return f"kept plan of {workshop}"


def active_projects(unit: Unit) -> tuple[Project, ...]:
    """Return the projects that have not been put aside, by name."""
    aside = archived_uids(unit)
    return tuple(project for project in unit.projects.list() if str(project.uid) not in aside)


def archived_uids(unit: Unit) -> frozenset[str]:
    """Return the uids of the projects put aside."""
    listed = unit.settings.get(ARCHIVED, [])
    return frozenset(str(uid) for uid in listed) if isinstance(listed, list) else frozenset()


def folded(unit: Unit, projects: tuple[Project, ...]) -> dict[str, Progress]:
    """Return each project's journal folded into what is so."""
    return {project.name: progress(unit.journal.of(project.name), project) for project in projects}


def last_written(entries: Mapping[str, tuple[Entry, ...]]) -> dt.datetime | None:
    """Return when the journals were last written to, None where they are empty."""
    return max((e.recorded_at for of_one in entries.values() for e in of_one), default=None)


def own_items(unit: Unit) -> frozenset[str]:
    """Return the UIDs of finplan's own calendar items: a plan does not keep clear of itself."""
    return frozenset(str(row.uid) for row in unit.ledger.rows())


def air_of(
    unit: Unit, workshop: Workshop, facts: Mapping[str, Progress], now: dt.datetime
) -> dict[str, AirSeries]:
    """Return the air of each space: readings, forecast, then the monthly normals."""
    begins = [done.started for fact in facts.values() for done in fact.done.values()]
    start = min([now, *begins]) - AIR_BEFORE
    return {
        space.name: air_between(unit, workshop, space.name, (start, now + AIR_AHEAD), now)
        for space in workshop.spaces
    }


def air_between(
    unit: Unit,
    workshop: Workshop,
    space: str,
    stretch: tuple[dt.datetime, dt.datetime],
    now: dt.datetime,
) -> AirSeries:
    """Return the air of one space over a stretch as it is known at ``now``.

    Readings taken later are left out, so that a plan made for a moment that is past comes out as
    it did then. Every step says its source.
    """
    from finplan.air.series import AirSource, compose

    normals = next(one.normals for one in workshop.spaces if one.name == space)
    start, end = stretch
    return compose(
        unit.air.readings(workshop.name, space, start, now),
        unit.air.readings(workshop.name, space, start, kind=AirSource.FORECAST),
        normals,
        workshop.zone,
        start.timestamp(),
        end.timestamp(),
    )
