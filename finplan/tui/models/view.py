"""What the screens show, read in one go: the plan, the overview of it and the journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.tui.models.measures import Measures

if TYPE_CHECKING:
    from finplan.journal.entries import Entry
    from finplan.planning.plan import PlannedStep
    from finplan.services.materials import Materials
    from finplan.services.overview import Overview
    from finplan.services.planned import Planned
    from finplan.trade.finishes import Finish
    from finplan.trade.project import Project
    from finplan.trade.steps import Step
    from finplan.trade.workshop import Workshop


def step_id(project: str, batch: str, load: int, step: str) -> str:
    """Return the id a planned step has."""
    return f"{project}/{batch}/{load}/{step}"


@dataclass(frozen=True, eq=False)
class View:
    """One reading of the data at ``now``.

    ``planned`` and ``overview`` are None while nothing is in the database. ``entries`` are
    oldest first. ``fault`` says why there is no plan though there are projects, ``ways_out`` what
    would free one, a paragraph each. ``materials`` are by project; ``measures`` writes numbers
    in the units asked for. ``installed`` counts the pieces in use while there is no project.
    ``workshops`` are all there are, by name. ``library`` are the finishes known while there is
    no plan, ``unplanned`` the workshop that then shows, if there is one.
    """

    now: dt.datetime
    zone: str
    planned: Planned | None
    overview: Overview | None
    entries: tuple[Entry, ...]
    fault: str = ""
    ways_out: tuple[str, ...] = ()
    materials: Mapping[str, Materials] = field(default_factory=dict)
    measures: Measures = field(default_factory=Measures)
    installed: int = 0
    workshops: tuple[str, ...] = ()
    library: Mapping[str, Finish] = field(default_factory=dict)
    unplanned: Workshop | None = None

    @property
    def workshop(self) -> Workshop | None:
        """The workshop that shows, whether it can be planned or not."""
        return self.planned.workshop if self.planned else self.unplanned

    @property
    def elsewhere(self) -> str:
        """What the zone of the times is called where the workshop's clock shows another hour."""
        here = self.now.astimezone(ZoneInfo(self.zone))
        shop = self.workshop
        if shop is None or here.utcoffset() == here.astimezone(ZoneInfo(shop.zone)).utcoffset():
            return ""
        name = here.tzname() or self.zone
        return name if name[:1].isalpha() else f"UTC{name}"

    @property
    def steps(self) -> tuple[PlannedStep, ...]:
        """All dated steps, earliest first."""
        return self.planned.plan.steps if self.planned else ()

    @property
    def finishes(self) -> Mapping[str, Finish]:
        """Every finish that is known, by name."""
        return self.planned.finishes if self.planned else self.library

    @property
    def projects(self) -> tuple[Project, ...]:
        """The projects of the workshop, by name."""
        if self.planned is None:
            return ()
        return tuple(self.planned.projects[name] for name in sorted(self.planned.projects))

    def step(self, key: str) -> PlannedStep | None:
        """Return the dated step with this id."""
        return self._by_id.get(key)

    def step_of(self, entry: Entry) -> PlannedStep | None:
        """Return the dated step that an entry is about."""
        return self.step(step_id(entry.project, entry.batch, entry.load, entry.step))

    @cached_property
    def _by_id(self) -> Mapping[str, PlannedStep]:
        return {step.id: step for step in self.steps}

    @cached_property
    def loads(self) -> Mapping[tuple[str, str, int], Sequence[PlannedStep]]:
        """The steps of each load in order, by (project, batch, load)."""
        loads: dict[tuple[str, str, int], list[PlannedStep]] = {}
        for step in self.steps:
            loads.setdefault((step.project, step.batch, step.load), []).append(step)
        return loads

    def loads_of(self, project: str) -> Mapping[tuple[str, str, int], Sequence[PlannedStep]]:
        """The steps of each load of one project."""
        return {key: own for key, own in self.loads.items() if key[0] == project}

    def as_made(self, step: PlannedStep) -> Step | None:
        """Return the schedule's own step behind a dated one."""
        if self.planned is None or step.project not in self.planned.projects:
            return None
        for batch in self.planned.projects[step.project].batches:
            for own in batch.steps:
                if batch.name == step.batch and own.key == step.step:
                    return own
        return None

    def finish_title(self, name: str) -> str:
        """Return a finish's title, or its name where it is not at hand."""
        finish = self.planned.finishes.get(name) if self.planned else None
        return finish.title if finish else name
