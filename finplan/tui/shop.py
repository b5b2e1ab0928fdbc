"""The shop's data as the screens see it: one reading, and the things a person can do.

Every call opens the data itself, so that each may run in a thread of its own.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from finplan.services.when import system_zone
from finplan.trade.errors import BadInput
from finplan.trade.quantities import format_temperature
from finplan.tui.models.measures import Measures
from finplan.tui.models.view import View
from finplan.tui.shop_hours import HoursShop

if TYPE_CHECKING:
    from pathlib import Path

    from finplan.alerts.rung import Alarm
    from finplan.journal.entries import Entry
    from finplan.planning.plan import PlannedStep
    from finplan.planning.request import NoPlan
    from finplan.services.chance import Range
    from finplan.services.dry import DryAnswer
    from finplan.services.editing import Edited
    from finplan.services.notify import Rang
    from finplan.services.planned import Planned
    from finplan.services.projects import AddedParts, Loaded
    from finplan.services.samples import Sample
    from finplan.services.session import Session
    from finplan.services.undoing import Meant
    from finplan.services.write import Recorded
    from finplan.trade.finishes import Stage
    from finplan.trade.project import Project
    from finplan.trade.schedules import Minutes, Template

WANTED = (
    "title",
    "job",
    "cut_list",
    "in_service_by",
    "temperature_c",
    "humidity_percent",
    "rack_area_m2",
    "hours",
    "workshop",
)


@dataclass(frozen=True, slots=True)
class Choices:
    """Jobs, woods and work hours to offer for a new project."""

    jobs: Mapping[str, Template]
    woods: tuple[str, ...]
    hours: tuple[str, ...]


class Shop(HoursShop):
    """The data at ``data`` at the moment ``now`` (None: as the clock goes)."""

    def __init__(
        self,
        data: str | None = None,
        now: str | dt.datetime | None = None,
        units: str | None = None,
        zone: str | None = None,
    ) -> None:
        from finplan.services.session import open_session

        self.units = units
        self._open: Callable[[], AbstractContextManager[Session]] = lambda: open_session(
            data, now, self.units, zone
        )
        self.fixed = now is not None
        self.workshop = ""
        """The workshop to show; empty for the one with the next work."""

    def stamp(self) -> int:
        """Return a number that changes whenever anybody writes to the data."""
        with self._open() as session:
            return session.store.change_stamp()

    def read(self, seconds: float = 0.0, stopped: Callable[[], bool] = lambda: False) -> View:
        """Return the plan, the overview of it and the journal.

        Args:
            seconds: time for looking for a better plan than the instant one.
            stopped: asked meanwhile; the best plan so far is returned when it says yes.
        """
        from finplan.planning.request import NoPlan
        from finplan.services.gather import active_projects, all_finishes
        from finplan.services.journal import entries_of
        from finplan.services.materials import materials
        from finplan.services.overview import overview
        from finplan.services.planned import planned

        with self._open() as session:
            measures = Measures(session.units)
            with session.store.unit(writes=False) as unit:
                workshops = sorted({project.workshop for project in active_projects(unit)})
                installed = len(unit.pieces.names())
                known = {} if workshops else all_finishes(unit)
                idle = () if workshops else unit.workshops.list()
            if not workshops:
                zone = session.zone or system_zone()
                return View(
                    session.now,
                    zone,
                    None,
                    None,
                    (),
                    measures=measures,
                    installed=installed,
                    library=known,
                    unplanned=next(iter(idle), None),
                )
            if self.workshop not in workshops:
                self.workshop = ""
            entries = tuple(listed.entry for listed in entries_of(session))
            try:
                made = planned(
                    session,
                    workshop=self.workshop or None,
                    seconds=seconds,
                    cancelled=stopped,
                )
            except NoPlan as fault:
                zone = fault.request.told_in.key if fault.request else system_zone()
                ways_out = _ways_out(fault, zone)
                return View(
                    session.now,
                    zone,
                    None,
                    None,
                    entries,
                    str(fault),
                    ways_out,
                    measures=measures,
                    workshops=tuple(workshops),
                    unplanned=fault.request.workshop if fault.request else None,
                )
            return View(
                session.now,
                made.zone.key,
                made,
                overview(session, made),
                tuple(entry for entry in entries if entry.project in made.projects),
                materials={name: materials(session, name) for name in made.projects},
                measures=measures,
                workshops=tuple(workshops),
            )

    def ring(self, also: Iterable[Alarm]) -> Rang:
        """Raise a desktop notice for every alarm that has come, and for some others beside."""
        from finplan.services.notify import memory_path, ring_due

        with self._open() as session:
            return ring_due(session, memory_path(), also=also)

    def keep(self, made: Planned) -> None:
        """Keep a plan that was found, so that later ones hold to it."""
        from finplan.services.keep import keep

        with self._open() as session:
            keep(session, made, made.changes)

    def ranges(self, made: Planned, stopped: Callable[[], bool]) -> Mapping[str, Range]:
        """Return between which instants each project is ready in 8 of 10 runs."""
        from finplan.services.chance import ranges

        with self._open() as session:
            return ranges(session, made, stopped)

    def preview_parts(self, project: str, path: Path) -> AddedParts:
        """Read a cut list and say what it would bring; nothing is kept."""
        from finplan.services.projects import add_parts

        with self._open() as session:
            return add_parts(session, project, path, preview=True)

    def add_parts(self, project: str, path: Path) -> Edited:
        """Take the parts of a cut list into a project."""
        from finplan.services.editing import Edited
        from finplan.services.projects import add_parts

        with self._open() as session:
            added = add_parts(session, project, path)
        return Edited(project, added.words)

    def version(self, project: str) -> int:
        """Return the version of a project as it stands."""
        from finplan.services.projects import project_with_version

        with self._open() as session:
            return project_with_version(session, project)[1]

    def edit(
        self,
        project: str,
        version: int | None,
        change: Callable[[Project], Project],
        words: str,
    ) -> Edited:
        """Keep a changed project; refused where it was changed since ``version`` (None: never)."""
        from finplan.services.editing import edit_project

        with self._open() as session:
            return edit_project(session, project, version, change, words)

    def record(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record a step as done; ``given`` holds what the form asked."""
        from finplan.services.record import StepRef, record_step

        with self._open() as session:
            return record_step(session, StepRef.of(step), **given)

    def skip(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record that a step is left out."""
        from finplan.services.record import StepRef, skip_step

        with self._open() as session:
            return skip_step(session, StepRef.of(step), **given)

    def repeat(self, step: PlannedStep, given: Mapping[str, Any]) -> Recorded:
        """Record that a done step has to be done again."""
        from finplan.services.record import StepRef, repeat_step

        with self._open() as session:
            return repeat_step(session, StepRef.of(step), **given)

    def check(
        self, step: PlannedStep, stage: Stage, reached: bool, given: Mapping[str, Any]
    ) -> Recorded:
        """Record a dryness check of the surface a step left."""
        from finplan.services.record import StepRef, record_check

        with self._open() as session:
            return record_check(session, StepRef.of(step), stage=stage, reached=reached, **given)

    def wish(self, step: PlannedStep, start: dt.datetime | None) -> Recorded:
        """Wish a step at an hour; None withdraws the wish."""
        from finplan.services.record import StepRef, wish

        with self._open() as session:
            return wish(session, StepRef.of(step), start)

    def note(self, project: str, words: str) -> Recorded:
        """Keep a word with a project."""
        from finplan.services.record import add_note

        with self._open() as session:
            return add_note(session, project, words)

    def correct(self, entry: Entry, changes: Mapping[str, object]) -> Recorded:
        """Correct an entry by another one."""
        from finplan.services.journal import correct

        with self._open() as session:
            return correct(session, entry, changes)

    def samples(self) -> tuple[Sample, ...]:
        """Return the sample projects that travel with the program."""
        from finplan.services.samples import samples

        return samples()

    def load_sample(self, name: str) -> Loaded:
        """Load a sample project."""
        from finplan.services.samples import load_sample

        with self._open() as session:
            return load_sample(session, name)

    def choices(self) -> Choices:
        """Return what a new project may be made of."""
        from finplan.library.load import templates, woods
        from finplan.services.new_project import HOURS

        return Choices(templates(), tuple(woods()), tuple(HOURS))

    def usual_minutes(self) -> Mapping[str, Minutes]:
        """Return the hands-on times that the library's finishing schedules begin with."""
        from finplan.library.load import templates

        return next(iter(templates().values())).minutes

    def new_project(self, values: Mapping[str, Any]) -> Project:
        """Keep a new project from what the form asked; its workshop is the one to show."""
        from finplan.services.new_project import Wanted, new_project
        from finplan.tui.models.start import pieces_of

        given = {key: value for key, value in values.items() if key in WANTED and value is not None}
        if "size" in values:
            given["parts"] = pieces_of(values)
        with self._open() as session:
            made = new_project(session, Wanted(zone=session.zone or system_zone(), **given))
        self.workshop = made.workshop
        return made

    def add_reading(self, workshop: str, space: str, values: Mapping[str, Any]) -> Edited:
        """Keep one reading of a space's air."""
        from finplan.services.air import add_reading
        from finplan.services.editing import Edited

        temperature_c, humidity_percent = values["temperature_c"], values["humidity_percent"]
        with self._open() as session:
            kept = add_reading(
                session, workshop, space, temperature_c, humidity_percent, values["at"]
            )
            words = f"{format_temperature(temperature_c, session.units)}, {humidity_percent:g} %"
        return Edited(workshop, f"reading kept: {space}, {words}", kept.moved)

    def dry(self, finish: str, workshop: str, asked: Mapping[str, Any]) -> DryAnswer:
        """Say how long a finish takes; ``asked`` holds what the form asked.

        Raises:
            BadInput: temperature without humidity, or air that cannot be.
        """
        from finplan.services.dry import dry
        from finplan.services.what_if import WhatIf

        given = (asked["temperature_c"], asked["humidity_percent"])
        if (given[0] is None) != (given[1] is None):
            raise BadInput("give both temperature and humidity, or neither", "air")
        with self._open() as session:
            return dry(
                session,
                finish,
                asked["start"],
                constant=None if given[0] is None else given,
                workshop=workshop,
                space=asked["space"] if given[0] is None else None,
                what_if=WhatIf(asked["heat_to_c"], asked["dry_to_percent"]),
                wood_percent=asked["wood_percent"],
            )

    def undo(self, made: Planned | None) -> Recorded | Edited:
        """Undo what was done last in the workshop of a plan, or anywhere (None)."""
        from finplan.services.undoing import undo_last

        with self._open() as session:
            return undo_last(session, _meant(made))

    def redo(self, made: Planned | None) -> Recorded | Edited:
        """Bring back what was undone last in the workshop of a plan, or anywhere (None)."""
        from finplan.services.undoing import redo_last

        with self._open() as session:
            return redo_last(session, _meant(made))


def _ways_out(fault: NoPlan, zone: str) -> tuple[str, ...]:
    """Return why there is no plan and what would free one, a paragraph for each set of reasons."""
    from finplan.library.load import templates
    from finplan.planning.hindered import in_words, why_no_plan

    if fault.request is None:
        return ()
    return tuple(in_words(why_no_plan(fault.request, templates()), ZoneInfo(zone)))


def _meant(made: Planned | None) -> Meant | None:
    from finplan.services.undoing import Meant

    return Meant(tuple(made.projects), (made.workshop.name,)) if made else None
