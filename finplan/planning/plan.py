"""The plan: what every screen, command and calendar is a view of."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from finplan.trade.finishes import Stage
from finplan.trade.names import counted
from finplan.trade.steps import Side, StepKind


class Method(StrEnum):
    """How a plan was found, and how good it is known to be."""

    FORWARD = "forward"
    OPTIMAL = "optimal"
    BEST_FOUND = "best found"


@dataclass(frozen=True, slots=True)
class WaitsFor:
    """The drying a step waits for: whose surface (a planned step's id), stage, both times."""

    step: str
    stage: Stage
    likely: dt.datetime
    safe: dt.datetime


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step of one load, dated. All instants timezone-aware UTC.

    ``id`` is ``project/batch/load/step-key`` and stable from plan to plan. For a split step
    ``pieces`` are the sessions it is spread over; otherwise it is the single (start, end).
    ``window_closes`` is the last moment the next coat may go on without scuffing (of the wet
    surface this step leaves). ``reason`` says in a sentence why it is not sooner. A done step
    carries what the journal says and never moves. ``area_m2`` is the area worked on, ``rack_m2``
    what the load takes on the rack. ``skipped``: done with, but nothing was done.
    """

    id: str
    project: str
    batch: str
    load: int
    loads: int
    step: str
    kind: StepKind
    coat: int
    side: Side
    title: str
    start: dt.datetime
    end: dt.datetime
    pieces: tuple[tuple[dt.datetime, dt.datetime], ...]
    person: str
    space: str
    area_m2: float
    minutes: float
    waits_for: WaitsFor | None
    window_closes: dt.datetime | None
    reason: str
    done: bool
    rack_m2: float = 0.0
    skipped: bool = False


@dataclass(frozen=True, slots=True)
class ProjectReady:
    """When a project is released to service: likely and safe, and against its date."""

    project: str
    likely: dt.datetime
    safe: dt.datetime
    in_service_by: dt.date | None


def days_to_spare(safe: dt.datetime, wanted: dt.date, zone: dt.tzinfo) -> int:
    """Return the days from the one something is safely ready on to the one it is wanted by.

    They are days of ``zone``; fewer than none is too late.
    """
    return (wanted - safe.astimezone(zone).date()).days


def spare_said(days: int) -> str:
    """Return days to spare in words: ``3 days to spare``, ``1 day too late``."""
    return f"{counted(abs(days), 'day')} {'too late' if days < 0 else 'to spare'}"


@dataclass(frozen=True, slots=True)
class Deadline:
    """What a plan made backwards from a date comes to.

    ``met``: all is safely ready by then. ``begin``: when work has to begin, or go on, at the
    latest; ``spare_days``: how many days that is from now, 0 where the date is not met or work
    has begun. ``said``: all of it in words.
    """

    by: dt.date
    met: bool
    begin: dt.datetime
    spare_days: int
    said: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The dated steps of all projects planned together, earliest first.

    ``bound``: no plan can be ready before this instant (None where not computed);
    ``bound_by`` says what binds it, ``bound_said`` in words. ``gap``: (ready - bound) / (bound -
    now), 0 when proven.
    ``deadline``: where it was planned backwards from a date.
    """

    now: dt.datetime
    method: Method
    steps: tuple[PlannedStep, ...]
    ready: tuple[ProjectReady, ...]
    bound: dt.datetime | None
    bound_by: str
    gap: float | None
    warnings: tuple[str, ...]
    deadline: Deadline | None = None
    bound_said: str = ""
