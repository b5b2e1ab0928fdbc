"""What a person says of a piece that goes into use, read into an installed piece."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from finplan.services.gather import all_finishes, folded, own_items
from finplan.services.reading import read_bytes
from finplan.services.renewed import is_finished
from finplan.services.upkeep import install
from finplan.services.when import system_zone
from finplan.tracking.upkeep.pieces import Blocked, InstalledPiece
from finplan.trade.errors import BadInput
from finplan.trade.moments import MONTHS, check_year, find_zone
from finplan.trade.names import legal_project_name, shown
from finplan.trade.steps import StepKind
from finplan.trade.surfaces import largest_face_m2, total_areas

if TYPE_CHECKING:
    from finplan.services.session import Session

BUSY_AHEAD = dt.timedelta(days=3 * 366)
"""How far ahead blocked days are read from a calendar file."""

NEEDED = ("finish", "area_m2", "place")


def install_said(
    session: Session,
    name: str,
    said: dict[str, Any],
    project: str | None,
    *,
    change: bool,
    version: int | None = None,
) -> InstalledPiece:
    """Install a piece from what a person said, over what its project tells.

    Args:
        session: the open session.
        name: what the piece is to be called.
        said: fields of the piece; None where nothing was said.
        project: the project it was made in, None where it was there already; one with work left
            needs the day it went into use.
        change: the piece is installed already; only what was said changes.
        version: the one a piece to be changed was read at, None where it was not read before.

    Raises:
        BadInput: something is missing or wrong; nothing is kept then.
        StaleWrite: somebody else changed the piece since it was read.
    """
    legal_project_name(name, "piece name")
    given = {key: value for key, value in said.items() if value is not None}
    from_project = told_by_project(session, project) if project is not None else {}
    if project is not None and not change and "installed" not in given:
        _check_no_work_is_left(session, project)

    def make(there: InstalledPiece | None) -> InstalledPiece:
        if there is not None and not change:
            raise BadInput(f"{name} is installed already: add --change to change it", "install")
        if there is not None:
            return replace(there, **(from_project | given))
        if change:
            raise BadInput(f"{name} is not installed yet: leave --change out", "install")
        return _new(session, name, from_project | given)

    return install(session, make, name, version)


def _check_no_work_is_left(session: Session, name: str) -> None:
    """Refuse to take it that a piece goes into use today while its project is not finished."""
    with session.store.unit(writes=False) as unit:
        project = unit.projects.get(name)
        facts = folded(unit, (project,))[name]
    if not is_finished(project, facts):
        raise BadInput(
            "this project is not finished: record what was done first, or say with --installed "
            "DATE since when the piece is in use all the same",
            name,
        )


def _new(session: Session, name: str, given: dict[str, Any]) -> InstalledPiece:
    missing = [field for field in NEEDED if field not in given]
    if missing:
        words = ", ".join(f"--{field.removesuffix('_m2')}" for field in missing)
        raise BadInput(f"give {words} too, or --project NAME", "install")
    zone = given.get("zone") or session.zone or system_zone()
    today = session.now.astimezone(find_zone(zone, "--zone")).date()
    usual: dict[str, Any] = {"title": name, "zone": zone, "installed": today}
    return InstalledPiece(**(usual | given | {"name": name, "uid": uuid.uuid4()}))


def told_by_project(session: Session, name: str) -> dict[str, Any]:
    """Return what a project tells of the piece: title, place's zone, finish, coats, area."""
    with session.store.unit(writes=False) as unit:
        project = unit.projects.get(name)
        zone = unit.workshops.get(project.workshop).zone
        known = all_finishes(unit)
    coats = [
        (step, batch.space)
        for batch in project.batches
        for step in batch.steps
        if step.kind is StepKind.COAT and step.finish in known
    ]
    if not coats:
        raise BadInput("this project has no coat: give --finish and --area instead", name)
    last, coated_in = max(coats, key=lambda coat: coat[0].coat)
    area = total_areas(project.parts).total_m2
    largest = max(project.parts, key=lambda part: part.quantity * largest_face_m2(part))
    return {
        "title": project.title,
        "zone": zone,
        "finish": last.finish,
        "coats": max(1, last.coat),
        "area_m2": area,
        "wood": largest.wood,
        "thickness_mm": min(largest.length_mm, largest.width_mm, largest.thickness_mm),
        "workshop": project.workshop,
        "space": coated_in,
        "invented": project.invented,
    }


def months_of(text: str) -> tuple[int, ...]:
    """Return the months of a season such as ``apr-sep`` or ``oct-mar`` or ``5,6``.

    Raises:
        BadInput: no months.
    """
    found: list[int] = []
    for part in text.split(","):
        first, to, last = part.partition("-")
        start, end = _month(first, text), _month(last if to else first, text)
        found += [(start - 1 + step) % 12 + 1 for step in range((end - start) % 12 + 1)]
    return tuple(sorted(set(found)))


def blocked_of(texts: Iterable[str]) -> tuple[Blocked, ...]:
    """Return blocked days from texts such as ``2027-07-01..2027-07-14``.

    Raises:
        BadInput: no days.
    """
    return tuple(_blocked(text) for text in texts)


def blocked_from(session: Session, file: Path, zone: str) -> tuple[Blocked, ...]:
    """Return the days on which something stands in a calendar file; no word of it is kept.

    Raises:
        BadInput: the file is no calendar.
    """
    from finplan.calendars.busy import busy_times

    where = find_zone(zone)
    end = session.now + BUSY_AHEAD
    with session.store.unit(writes=False) as unit:
        own = own_items(unit)
    busy = busy_times(read_bytes(file), session.now, end, where, str(file), own)
    moment = dt.timedelta(microseconds=1)
    return tuple(
        Blocked(
            one.start.astimezone(where).date(),
            (one.end - moment).astimezone(where).date(),
            "calendar",
        )
        for one in busy
    )


def _month(word: str, text: str) -> int:
    plain = word.strip().lower()
    names = [i for i, name in enumerate(MONTHS, 1) if name.lower() == plain[:3]]
    number = int(plain) if re.fullmatch(r"\d{1,2}", plain) else 0
    if not (names and plain.isalpha()) and not 1 <= number <= 12:
        raise BadInput(f"{shown(text)} is no season: write e.g. apr-sep", "--season")
    return names[0] if names else number


def _blocked(text: str) -> Blocked:
    first, to, last = text.partition("..")
    try:
        start, end = (dt.date.fromisoformat(day.strip()) for day in (first, last if to else first))
    except ValueError:
        raise BadInput(
            f"{shown(text)} are no days: write e.g. 2027-07-01..2027-07-14", "--blocked"
        ) from None
    for day in (start, end):
        check_year(day.year, "--blocked")
    return Blocked(start, end)
