"""Start a project from what a person is asked: what, how many, which job, where, when."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.air import space_named
from finplan.services.besides import schedule_of
from finplan.services.gather import all_finishes
from finplan.services.keep import replanned
from finplan.services.reading import path_written, read_bytes
from finplan.services.whole import check_whole
from finplan.services.workshops import SAID
from finplan.trade.errors import BadInput
from finplan.trade.names import clean_text, legal_project_name, name_from, shown
from finplan.trade.project import Batch, Project
from finplan.trade.work_hours import parse_hours
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow
from finplan.trade.workshop_checks import check_workshop

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.parts import Part

HOURS: Mapping[str, tuple[WorkWindow, ...]] = {
    "evenings and Saturdays": (
        WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(18, 30), 180),
        WorkWindow("FREQ=WEEKLY;BYDAY=SA", dt.time(8), 540),
    ),
    "Saturdays and Sundays": (WorkWindow("FREQ=WEEKLY;BYDAY=SA,SU", dt.time(9), 480),),
    "working days": (WorkWindow("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", dt.time(8), 540),),
    "every day": (WorkWindow("FREQ=DAILY", dt.time(9), 540),),
}
"""Work hours offered for a new workshop, by their name."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person said of a new project.

    ``cut_list`` is a CSV file, ``unit`` that of its bare numbers; without a file ``parts`` are the
    pieces. ``job`` names a finishing schedule of the library, ``finish`` another finish for it
    ('' for the schedule's own).
    ``hours`` is a key of ``HOURS``, or hours as people write them. Room, rack and hours count only
    where there is no workshop yet. ``name`` is what commands call it, made from the title where
    empty; ``workshop`` and ``space`` are the first there is where empty, and a workshop that is
    not there yet is made.
    """

    title: str
    job: str
    cut_list: Path | None = None
    unit: str = ""
    parts: tuple[Part, ...] = ()
    finish: str = ""
    in_service_by: dt.date | None = None
    temperature_c: float = 18.0
    humidity_percent: float = 55.0
    rack_area_m2: float = 4.0
    hours: str = "evenings and Saturdays"
    zone: str = "UTC"
    name: str = ""
    workshop: str = ""
    space: str = ""


def new_project(session: Session, wanted: Wanted) -> Project:
    """Keep a new project, and a workshop for it where there is none yet.

    Raises:
        BadInput: a part, the job or the room cannot be so. Nothing is kept then.
    """
    with session.store.unit() as unit:
        workshop = _workshop(unit, wanted)
        parts = wanted.parts
        if wanted.cut_list is not None:
            from finplan.trade.cutlist import read_cut_list

            path = path_written(str(wanted.cut_list))
            parts = read_cut_list(read_bytes(path), path.name, wanted.unit)
        options = {"finish": wanted.finish} if wanted.finish else {}
        batch = Batch(
            name="all",
            parts=tuple(part.name for part in parts),
            space=_space(workshop, wanted.space),
            steps=schedule_of(wanted.job, options, all_finishes(unit)),
        )
        project = Project(
            name=_name(unit, wanted),
            title=wanted.title,
            workshop=workshop.name,
            parts=parts,
            batches=(batch,),
            uid=uuid.uuid4(),
            in_service_by=wanted.in_service_by,
        )
        check_whole(unit, project)
        unit.projects.put(project)
        unit.commit()
    replanned(session, (project.name,))
    return project


def _name(unit: Unit, wanted: Wanted) -> str:
    taken = unit.projects.names()
    if not wanted.name:
        return name_from(wanted.title, taken, "project")
    if wanted.name in taken:
        raise BadInput(f"there is a project {shown(wanted.name)} already: take another name")
    return legal_project_name(wanted.name, "--name")


def _space(workshop: Workshop, name: str) -> str:
    return space_named(workshop, name) if name else workshop.spaces[0].name


def _workshop(unit: Unit, wanted: Wanted) -> Workshop:
    """Return the workshop meant, or keep a new one."""
    there = {one.name: one for one in unit.workshops.list()}
    if wanted.workshop in there:
        return there[wanted.workshop]
    if there and not wanted.workshop:
        return next(iter(there.values()))
    hours = HOURS.get(wanted.hours) or parse_hours(wanted.hours, "--hours")
    normals = MonthlyNormals(
        mean_c=(wanted.temperature_c,) * 12,
        daily_swing_c=(0.0,) * 12,
        mean_rh_percent=(wanted.humidity_percent,) * 12,
        source=SAID,
    )
    workshop = Workshop(
        name=clean_text(wanted.workshop or "workshop", "--workshop"),
        zone=wanted.zone,
        people=(Person("maker", hours),),
        spaces=(Space(wanted.space or "shop", wanted.rack_area_m2, normals),),
    )
    check_workshop(workshop)
    unit.workshops.put(workshop)
    return workshop
