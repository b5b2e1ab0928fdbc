"""Projects: list, load, save, sample, parts from a cut list, put aside."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.besides import besides_of
from finplan.services.editing import keep_edit
from finplan.services.gather import ARCHIVED, active_projects, all_finishes, archived_uids
from finplan.services.keep import replanned
from finplan.services.overview import ProjectSummary, summaries
from finplan.services.planned import NO_PROJECT, all_planned
from finplan.services.reading import read_bytes, read_text, write_whole
from finplan.services.renewed import keep_log_of
from finplan.services.saved_pieces import keep_pieces, pieces_with
from finplan.services.saved_plan import keep_seen, seen_of
from finplan.services.whole import check_whole
from finplan.trade.errors import BadInput
from finplan.trade.names import counted

if TYPE_CHECKING:
    from finplan.files.project_file import ProjectFile
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.trade.parts import Part
    from finplan.trade.project import Project
    from finplan.trade.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a file brought in.

    ``said``: sentences on what changed beside the project itself. ``pieces``: those in use that
    came with it, by name.
    """

    project: Project
    was_there: bool
    entries: int
    said: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AddedParts:
    """Parts read from a cut list: those new to the project, and those that took another's place.

    ``batch`` is the batch they belong to now, '' where none was named and there are several.
    ``words`` say what was taken.
    """

    project: Project
    new: tuple[Part, ...]
    replaced: tuple[Part, ...]
    batch: str
    kept: bool
    words: str


def list_projects(session: Session) -> tuple[ProjectSummary, ...]:
    """Return every project that is not put aside, in one line each, by name.

    A workshop that cannot be planned still lists its projects, without dates.
    """
    from finplan.planning.request import NoPlan

    try:
        plans = all_planned(session)
    except NoPlan:
        plans = ()
    found = {one.name: one for seen in plans for one in summaries(seen)}
    with session.store.unit(writes=False) as unit:
        projects = active_projects(unit)
    return tuple(found.get(project.name) or _undated(project) for project in projects)


def only_project(session: Session) -> str:
    """Return the name of the only project that is worked on.

    Raises:
        BadInput: there is none, or there are several to choose from.
    """
    with session.store.unit(writes=False) as unit:
        names = [project.name for project in active_projects(unit)]
    if not names:
        raise BadInput(NO_PROJECT)
    if len(names) > 1:
        raise BadInput(f"say which project is meant: {', '.join(names)}")
    return names[0]


def load_file(session: Session, path: Path) -> Loaded:
    """Read a project from a file: new, or in place of the one with its uid or name.

    Journal entries and air that are there already are passed over; the rest is added.

    Raises:
        BadInput: the file is wrong; the sentence names line and field. Nothing is kept then.
    """
    from finplan.files.project_file import load_project

    text = read_text(path)
    said: list[str] = []
    with session.store.unit() as unit:
        besides = besides_of(path.parent, all_finishes(unit), said)
        told = load_project(text, path.name, besides)
        loaded = _keep(unit, told)
        unit.commit()
    replanned(session, (loaded.project.name,))
    return replace(loaded, said=(*said, *loaded.said))


def save_file(session: Session, project: str, path: Path) -> bool:
    """Write a project with workshop, journal, air, pieces and the plan last seen to a file.

    Returns:
        False where the file held just that already and was left alone.

    Raises:
        BadInput: no such project, or the file cannot be written.
    """
    from finplan.files.project_file import dump_project

    with session.store.unit(writes=False) as unit:
        made = unit.projects.get(project)
        workshop = unit.workshops.get(made.workshop)
        entries = unit.journal.of(project)
        air = {
            (space, kind): series
            for space, kind in unit.air.spaces(workshop.name)
            if (series := unit.air.readings(workshop.name, space, kind=kind)) is not None
        }
        pieces, seen = pieces_with(unit, workshop.name), seen_of(unit, made)
    text = dump_project(made, workshop, entries, air, pieces, seen)
    return write_whole(path, text.encode())


def add_parts(
    session: Session,
    project: str,
    path: Path,
    *,
    preview: bool = False,
    batch: str | None = None,
    default_unit: str = "",
) -> AddedParts:
    """Take parts from a cut list into a project; a part of the same name takes the other's place.

    Args:
        session: the open session.
        project: the project's name.
        path: the CSV file.
        preview: look only, keep nothing.
        batch: the batch new parts belong to; None for the project's only one.
        default_unit: the unit of bare numbers.

    Raises:
        BadInput: the first faults of the list by row and column, an unknown batch.
    """
    from finplan.trade.cutlist import read_cut_list

    parts = read_cut_list(read_bytes(path), path.name, default_unit)
    with session.store.unit(writes=not preview) as unit:
        made = unit.projects.get(project)
        home = _batch_for(made, batch)
        known = {part.name for part in made.parts}
        new = tuple(part for part in parts if part.name not in known)
        replaced = tuple(part for part in parts if part.name in known)
        changed = _with_parts(made, parts, new, home)
        check_whole(unit, changed)
        words = f"{len(parts)} kinds of part taken from {path.name}"
        if not preview:
            unit.projects.put(changed)
            keep_edit(session, unit, made, changed, words)
            unit.commit()
    if not preview:
        replanned(session, (project,))
    return AddedParts(changed, new, replaced, home, not preview, words)


def project_with_version(session: Session, name: str) -> tuple[Project, int]:
    """Return a project and the version to give back to ``edit_project``."""
    with session.store.unit(writes=False) as unit:
        return unit.projects.get(name), unit.projects.version(name)


def put_aside(session: Session, name: str, *, aside: bool = True) -> None:
    """Put a project aside (its journal stays), or take it up again."""
    with session.store.unit() as unit:
        uid = str(unit.projects.get(name).uid)
        uids = archived_uids(unit)
        unit.settings.put(ARCHIVED, sorted(uids | {uid} if aside else uids - {uid}))
        unit.commit()


def _keep(unit: Unit, told: ProjectFile) -> Loaded:
    said: list[str] = []
    if told.workshop is not None:
        said += _keep_workshop(unit, told.workshop)
    project = told.project
    there = unit.projects.find(project.name)
    if there is not None and not told.uid_given:
        project = replace(project, uid=there.uid)
    was_there = unit.projects.named(project.uid) is not None
    said += check_whole(unit, project)
    unit.projects.put(project)
    before = unit.journal.of(project.name)
    entries = unit.journal.append(replace(e, project=project.name) for e in told.entries)
    if entries and (logged := keep_log_of(unit, project, before, unit.journal.of(project.name))):
        said.append(logged)
    for (space, kind), series in told.air.items():
        new = unit.air.add_readings(project.workshop, space, series, kind)
        if new:
            said.append(f"{counted(new, kind.value)} of the air in {space} added")
    said += keep_pieces(unit, told.pieces)
    if told.seen is not None and not was_there:
        keep_seen(unit, project, told.seen)
    names = tuple(piece.name for piece, _ in told.pieces)
    return Loaded(project, was_there, entries, tuple(said), names)


def _keep_workshop(unit: Unit, workshop: Workshop) -> list[str]:
    from finplan.trade.workshop_checks import check_workshop

    check_workshop(workshop)
    there = unit.workshops.find(workshop.name)
    if there == workshop:
        return []
    unit.workshops.put(workshop)
    return [] if there is None else [f"workshop {workshop.name} changed to what the file says"]


def _batch_for(project: Project, name: str | None) -> str:
    names = [batch.name for batch in project.batches]
    if name is None:
        return names[0] if len(names) == 1 else ""
    if name not in names:
        listed = ", ".join(names) or "none yet"
        raise BadInput(f"there is no batch {name[:60]!r}: there are {listed}", project.name)
    return name


def _with_parts(
    project: Project, parts: tuple[Part, ...], new: tuple[Part, ...], batch: str
) -> Project:
    by_name = {part.name: part for part in parts}
    kept = tuple(by_name.get(part.name, part) for part in project.parts)
    batches = tuple(
        replace(one, parts=one.parts + tuple(part.name for part in new))
        if one.name == batch
        else one
        for one in project.batches
    )
    return replace(project, parts=kept + new, batches=batches)


def _undated(project: Project) -> ProjectSummary:
    steps = sum(len(batch.steps) for batch in project.batches)
    return ProjectSummary(
        project.name,
        project.title,
        None,
        project.in_service_by,
        None,
        0,
        steps,
        "cannot be planned" if steps else "no steps yet",
        project.workshop,
    )
