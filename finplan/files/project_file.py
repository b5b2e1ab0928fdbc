"""The project file: written so that a person can read it, read so that nothing is lost.

Sizes may be written with their unit: where a field is called ``length_mm`` or
``rack_area_m2``, ``length = "33 1/2 in"`` and ``rack_area = "40 sq ft"`` do as well. Parts may
come from a cut list, steps from a schedule's template, a space's air from a logger's file; how
those are read is the caller's to say. Saved again, everything stands in the one file.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import tomllib
import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from finplan.air.series import AirSource
from finplan.files.air_text import air_from_text, air_to_text
from finplan.files.lines import line_of
from finplan.files.pieces_table import PieceWithLog, piece_table, pieces_of
from finplan.files.reading import Table, tables_of, without_instants, without_units
from finplan.files.writing import toml_text
from finplan.journal.entries import Entry
from finplan.planning.kept import KeptPlan
from finplan.trade.checks import check_fits, check_project
from finplan.trade.errors import BadInput
from finplan.trade.parts import Part
from finplan.trade.plain import from_plain, refuse_unknown, table_of, to_plain, within
from finplan.trade.project import Batch, Project
from finplan.trade.steps import Step
from finplan.trade.workshop import Workshop
from finplan.trade.workshop_checks import check_workshop

if TYPE_CHECKING:
    from finplan.air.series import AirSeries

FORMAT = 1
TABLES = (
    "format", "as_of", "project", "workshop", "parts", "batches", "journal", "air", "pieces",
    "seen",
)  # fmt: skip
AirBySpace = Mapping[tuple[str, AirSource], "AirSeries"]


@dataclass(frozen=True, slots=True)
class Besides:
    """How to read what a project file only names; each raises BadInput where it can't.

    ``cut_list`` turns a file's name into parts, ``schedule`` a template's name and options into
    steps, ``air_log`` a file's name and the workshop's zone into readings. ``new_uid`` names a
    project that has no uid of its own yet.
    """

    cut_list: Callable[[str], tuple[Part, ...]]
    schedule: Callable[[str, Mapping[str, object]], tuple[Step, ...]]
    air_log: Callable[[str, str], AirSeries]
    new_uid: Callable[[], uuid.UUID] = uuid.uuid4


@dataclass(frozen=True, slots=True)
class ProjectFile:
    """What a project file holds. ``workshop`` is None where the file only names it.

    ``air`` is by space and source. ``uid_given`` says whether the project's uid was in the file.
    ``as_of`` is the moment an invented project is to be looked at, None for the present.
    ``pieces`` are those in use, with their logs. ``seen`` is the plan people last saw of it.
    """

    project: Project
    workshop: Workshop | None
    entries: tuple[Entry, ...] = ()
    air: AirBySpace = field(default_factory=dict)
    uid_given: bool = True
    as_of: dt.datetime | None = None
    pieces: tuple[PieceWithLog, ...] = ()
    seen: KeptPlan | None = None


def dump_project(
    project: Project,
    workshop: Workshop | None,
    entries: Iterable[Entry] = (),
    air: AirBySpace | None = None,
    pieces: Iterable[PieceWithLog] = (),
    seen: KeptPlan | None = None,
) -> str:
    """Return the project file's text; :func:`load_project` reads all of it back.

    Raises:
        BadInput: an entry of another project's journal.
    """
    plain = to_plain(project, skip_defaults=True)
    parts, batches = plain.pop("parts"), plain.pop("batches")
    data: dict[str, Any] = {"format": FORMAT, "project": plain}
    if workshop is not None:
        data["workshop"] = to_plain(workshop, skip_defaults=True)
    lists = {
        "parts": parts,
        "batches": batches,
        "journal": [_entry_table(entry, project.name) for entry in entries],
        "air": [
            {"space": space, "kind": kind.value, "steps": air_to_text(series)}
            for (space, kind), series in sorted((air or {}).items())
        ],
        "pieces": [piece_table(kept) for kept in pieces],
    }
    data |= {name: listed for name, listed in lists.items() if listed}
    if seen is not None:
        data["seen"] = to_plain(seen, skip_defaults=True)
    return toml_text(data)


def load_project(text: str, where: str, besides: Besides) -> ProjectFile:
    """Return what a project file holds, checked.

    Args:
        text: the file's text.
        where: its name, for messages.
        besides: how to read what it only names.

    Raises:
        BadInput: what is wrong, in which file, line and field, and what to do.
    """
    try:
        return _load(_parsed(text, where), besides)
    except BadInput as fault:
        if fault.where.startswith(where):
            raise
        line = line_of(text, fault.where)
        raise fault.at(where if line is None else f"{where}, line {line}") from None


def _parsed(text: str, where: str) -> Table:
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as fault:
        raise BadInput(f"this is not TOML: {fault}", where) from None
    except (RecursionError, ValueError, OverflowError):
        raise BadInput("this is not TOML that can be read: simplify it", where) from None


def _load(data: Table, besides: Besides) -> ProjectFile:
    refuse_unknown(data, TABLES, "")
    if data.get("format", FORMAT) != FORMAT:
        raise BadInput(f"this finplan reads format {FORMAT}: install a newer one", "format")
    if "project" not in data:
        raise BadInput("the table [project] is missing: add it with at least a name")
    workshop, logs = _workshop(data)
    project, uid_given = _project(data, workshop, besides)
    check_project(project)
    if workshop is not None:
        check_fits(project, workshop)
    air: dict[tuple[str, AirSource], AirSeries] = {}
    if workshop is not None:
        for space, name in logs.items():
            air[space, AirSource.READING] = besides.air_log(name, workshop.zone)
    for key, series in _air(data):
        if key in air:
            raise BadInput(f"the {key[1].value}s of space {key[0]!r} are given twice", "air")
        air[key] = series
    entries, pieces = _entries(data, project), tuple(pieces_of(data))
    as_of, seen = _as_of(data), _seen(data)
    return ProjectFile(project, workshop, entries, air, uid_given, as_of, pieces, seen)


def _seen(data: Table) -> KeptPlan | None:
    if "seen" not in data:
        return None
    seen = from_plain(KeptPlan, data["seen"], "seen")
    for step in seen.steps:
        if not step.pieces:
            raise BadInput(f"the step {step.id!r} has no hours: leave it out", "seen, steps")
    return seen


def _as_of(data: Table) -> dt.datetime | None:
    told = from_plain(_Moment, {"as_of": data.get("as_of")}, "")
    return told.as_of


def _workshop(data: Table) -> tuple[Workshop | None, dict[str, str]]:
    if "workshop" not in data:
        return None, {}
    table = dict(table_of(data["workshop"], "workshop"))
    logs: dict[str, str] = {}
    spaces = []
    for place, space in tables_of(table.get("spaces", []), "workshop, spaces"):
        plain = dict(space)
        if "air_log" in plain:
            name = plain.pop("air_log")
            if not isinstance(name, str):
                raise BadInput("give the name of a file in quotes", within(place, "air_log"))
            logs[str(plain.get("name"))] = name
        spaces.append(plain)
    table["spaces"] = spaces
    workshop = from_plain(Workshop, without_units(Workshop, table, "workshop"), "workshop")
    check_workshop(workshop, "workshop")
    return workshop, logs


def _project(data: Table, workshop: Workshop | None, besides: Besides) -> tuple[Project, bool]:
    table = dict(table_of(data["project"], "project"))
    cut_list = table.pop("cut_list", None)
    parts = _parts(data, cut_list, besides)
    uid_given = "uid" in table
    if not uid_given:
        table["uid"] = besides.new_uid()
    if workshop is not None:
        named = table.setdefault("workshop", workshop.name)
        if named != workshop.name:
            raise BadInput(
                f"the project is for {named!r}, the file describes {workshop.name!r}: "
                "give both the same name",
                "project, workshop",
            )
    if not isinstance(table.setdefault("title", table.get("name")), str):
        raise BadInput("the field 'name' is missing or no text: add it", "project")
    for key in ("parts", "batches"):
        if key in table:
            raise BadInput(f"write them as [[{key}]], beside [project]", f"project, {key}")
    project = from_plain(Project, table | {"parts": [], "batches": []}, "project")
    batches = tuple(
        _batch(place, batch, besides)
        for place, batch in tables_of(data.get("batches", []), "batches")
    )
    return dataclasses.replace(project, parts=parts, batches=batches), uid_given


def _parts(data: Table, cut_list: object, besides: Besides) -> tuple[Part, ...]:
    parts = tuple(
        from_plain(Part, without_units(Part, table, place), place)
        for place, table in tables_of(data.get("parts", []), "parts")
    )
    if cut_list is None:
        return parts
    if not isinstance(cut_list, str):
        raise BadInput("give the name of a file in quotes", "project, cut_list")
    return parts + besides.cut_list(cut_list)


def _batch(place: str, table: Table, besides: Besides) -> Batch:
    if "schedule" not in table:
        return from_plain(Batch, table, place)
    plain, where = dict(table), within(place, "schedule")
    if "steps" in plain:
        raise BadInput("give a schedule or steps, not both", where)
    steps = _steps(plain.pop("schedule"), where, besides)
    return dataclasses.replace(from_plain(Batch, plain | {"steps": []}, place), steps=steps)


def _steps(schedule: object, where: str, besides: Besides) -> tuple[Step, ...]:
    """Return the steps of a template that a batch names, alone or with its options."""
    options = (
        {"template": schedule} if isinstance(schedule, str) else dict(table_of(schedule, where))
    )
    template = options.pop("template", None)
    if not isinstance(template, str):
        raise BadInput("give the template's name in quotes", within(where, "template"))
    try:
        return besides.schedule(template, options)
    except BadInput as fault:
        raise fault.at(where) from None


def _entry_table(entry: Entry, project: str) -> dict[str, Any]:
    if entry.project != project:
        raise BadInput(f"an entry belongs to {entry.project!r}, not to {project!r}")
    plain: dict[str, Any] = to_plain(entry, skip_defaults=True)
    del plain["project"]
    details = plain.get("details")
    if details is not None and _holds_nothing(details):
        plain["details"] = json.dumps(details, ensure_ascii=False)  # TOML has no null
    return plain


def _holds_nothing(value: object) -> bool:
    if isinstance(value, Mapping):
        return any(_holds_nothing(item) for item in value.values())
    if isinstance(value, list):
        return any(_holds_nothing(item) for item in value)
    return value is None


def _entries(data: Table, project: Project) -> tuple[Entry, ...]:
    entries = []
    for place, table in tables_of(data.get("journal", []), "journal"):
        plain = dict(table) | {"project": project.name}
        details = plain.get("details", {})
        if isinstance(details, str):
            try:
                details = json.loads(details)
            except ValueError:
                raise BadInput("this is not JSON: mend it", within(place, "details")) from None
        plain["details"] = without_instants(details)
        entries.append(from_plain(Entry, plain, place))
    return tuple(entries)


def _air(data: Table) -> Iterable[tuple[tuple[str, AirSource], AirSeries]]:
    for place, table in tables_of(data.get("air", []), "air"):
        told = from_plain(_AirTable, table, place)
        yield (told.space, told.kind), air_from_text(told.steps, told.kind, within(place, "steps"))


@dataclass(frozen=True, slots=True)
class _AirTable:
    space: str
    kind: AirSource
    steps: str


@dataclass(frozen=True, slots=True)
class _Moment:
    as_of: dt.datetime | None
