"""What a plan is made from, and the error for a plan that cannot be."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from finplan.air.series import AirSeries
from finplan.drying.bands import Band
from finplan.journal.progress import Progress
from finplan.planning.kept import KeptPlan
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish
from finplan.trade.moments import find_zone
from finplan.trade.project import Project
from finplan.trade.quantities import Units
from finplan.trade.workshop import Workshop

HORIZON_DAYS = 365
"""How far ahead work may be placed; drying may go on beyond it."""


class NoPlan(BadInput):
    """No plan is possible: one sentence that says what stands in the way and what frees it.

    Args:
        fact: what stands in the way.
        where: the project and step it was met at.
        remedy: what to do.

    ``request``: what there is no plan for, once that is known.
    """

    request: PlanRequest | None = None

    def __init__(self, fact: str, where: str = "", remedy: str = "") -> None:
        self.fact = fact
        super().__init__(f"{fact}: {remedy}" if remedy else fact, where)


@dataclass(frozen=True)
class PlanRequest:
    """Everything a plan is a function of.

    ``finishes`` by name; ``air`` by the space's name, ``progress`` by the project's.
    ``bands``: what a shop's dryness checks have taught, by finish and space.
    ``now``: timezone-aware; nothing is planned before it. ``ready_by``: plan backwards from
    this date instead of as soon as possible. ``dated``: the projects the date is of, all where
    none is named; they go before the others. ``seconds``: time for optimising, 0 for the forward
    planner alone. ``seed`` fixes every chance choice of the search. ``workers``: threads of the
    optimiser; one makes its search repeatable. ``not_before``: steps put off, by id. ``before``:
    the plan people last saw; a new one keeps to it where it can. ``units``, ``zone``: of the
    sentences, the workshop's own zone where none is named; nothing else hangs on them.
    """

    projects: tuple[Project, ...]
    workshop: Workshop
    finishes: Mapping[str, Finish]
    air: Mapping[str, AirSeries]
    progress: Mapping[str, Progress]
    now: dt.datetime
    bands: Mapping[tuple[str, str], Band] = field(default_factory=dict)
    horizon_days: int = HORIZON_DAYS
    ready_by: dt.date | None = None
    dated: tuple[str, ...] = ()
    seconds: float = 0.0
    seed: int = 0
    workers: int = 2
    not_before: Mapping[str, dt.datetime] = field(default_factory=dict)
    before: KeptPlan | None = None
    units: Units = Units.METRIC
    zone: str = ""

    def __post_init__(self) -> None:
        """Refuse a naive hour."""
        if self.now.tzinfo is None:
            raise BadInput("the hour has no time zone: give one, such as Z", "now")

    @property
    def told_in(self) -> ZoneInfo:
        """The zone that hours in sentences are told in."""
        return find_zone(self.zone or self.workshop.zone)

    def is_begun(self, project: str) -> bool:
        """Whether anything of a project is done."""
        return project in self.progress and bool(self.progress[project].done)

    def begins(self, project: Project) -> dt.datetime | None:
        """Before when no work is done on a project; None if at any time, or it has begun."""
        return None if self.is_begun(project.name) else project.begins

    def is_dated(self, project: str) -> bool:
        """Whether a date asked for is of a project."""
        return not self.dated or project in self.dated
