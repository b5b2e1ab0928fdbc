"""Start a project from what a person is asked: what, how many, which job, where, when."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.besides import schedule_of
from finplan.services.gather import all_finishes
from finplan.services.keep import replanned
from finplan.services.reading import path_written, read_bytes
from finplan.services.whole import check_whole
from finplan.services.workshops import SAID
from finplan.trade.names import name_from
from finplan.trade.project import Batch, Project
from finplan.trade.work_hours import parse_hours
from finplan.trade.workshop import MonthlyNormals, Person, Space, Workshop, WorkWindow

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
    where there is no workshop yet.
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
            space=workshop.spaces[0].name,
            steps=schedule_of(wanted.job, options, all_finishes(unit)),
        )
        project = Project(
            name=name_from(wanted.title, unit.projects.names(), "project"),
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


def _workshop(unit: Unit, wanted: Wanted) -> Workshop:
    """Return the workshop there is, or keep a new one."""
    there = unit.workshops.list()
    if there:
        return there[0]
    hours = HOURS.get(wanted.hours) or parse_hours(wanted.hours, "--hours")
    normals = MonthlyNormals(
        mean_c=(wanted.temperature_c,) * 12,
        daily_swing_c=(0.0,) * 12,
        mean_rh_percent=(wanted.humidity_percent,) * 12,
        source=SAID,
    )
    workshop = Workshop(
        name="workshop",
        zone=wanted.zone,
        people=(Person("me", hours),),
        spaces=(Space("shop", wanted.rack_area_m2, normals),),
    )
    unit.workshops.put(workshop)
    return workshop
