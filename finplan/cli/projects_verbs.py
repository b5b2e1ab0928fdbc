"""``sample``, ``projects``, ``load``, ``save`` and ``parts``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, output_option, session, shared, verb
from finplan.cli.output import paragraph, print_json, say, say_written, table
from finplan.cli.schedule_text import print_schedule
from finplan.trade.errors import BadInput
from finplan.trade.names import counted, name_from
from finplan.trade.quantities import format_area, format_length

if TYPE_CHECKING:
    from finplan.services.projects import AddedParts, Loaded
    from finplan.services.session import Session
    from finplan.trade.parts import Part
    from finplan.trade.quantities import Units

HOURS_OF_MOST = "evenings and Saturdays"
HOURS_SAID = (
    "evenings and Saturdays, Saturdays and Sundays, working days, every day, or e.g. "
    '"tue thu 18:30-21:30, sat 8-17"'
)

_file = click.argument("file", type=click.Path(path_type=Path))


@verb("sample")
@click.argument("name", required=False)
@click.option("--again", is_flag=True, help="set it back to what the sample says")
@json_option
def sample_verb(name: str | None, again: bool, as_json: bool) -> None:
    """Load a sample project and print its plan.

    Without NAME the samples are listed. The plan is as of the sample's own date unless --now (or
    FINPLAN_NOW) is given.
    """
    from finplan.services.samples import load_sample, sample_named, samples

    if name is None:
        listed = [{"name": one.name, "about": one.about} for one in samples()]
        if as_json:
            print_json({"samples": listed})
        else:
            table(("name", "about"), [(one["name"], one["about"]) for one in listed], wrap=1)
        return
    as_of = sample_named(name).as_of
    with session() as opened:
        seen_at = opened
        if as_of is not None and shared().now is None:
            seen_at = replace(opened, clock=lambda: as_of)
        loaded = load_sample(seen_at, name, again=again)
        _print_sample(seen_at, loaded, name, as_json, own_date=seen_at is not opened)


def _print_sample(
    opened: Session, loaded: Loaded, name: str, as_json: bool, *, own_date: bool
) -> None:
    from finplan.cli.plan_text import print_closing, print_plan
    from finplan.cli.shapes import plan_json
    from finplan.services.planned import planned

    seen = planned(opened, [name])
    if as_json:
        print_json(plan_json(seen, name))
        return
    state = "is there already, unchanged" if loaded.was_there else "loaded"
    say(f"Sample {name} {state}.")
    if loaded.pieces:
        paragraph(f"In use with it: {', '.join(loaded.pieces)}; see `finplan upkeep`.", "  ", "")
    if own_date:
        paragraph(
            f"The plan is as of the sample's own date, {show.moment(seen.plan.now, seen.zone)}; "
            "give --now for another."
        )
    say()
    print_plan(seen, name, opened.units)
    print_closing(seen)


@verb("projects")
@click.option("--put-aside", metavar="NAME", help="plan and list this one no more; nothing is lost")
@click.option("--take-up", metavar="NAME", help="plan and list this one again")
@json_option
def projects_verb(put_aside: str | None, take_up: str | None, as_json: bool) -> None:
    """List the projects, with state and next date."""
    if put_aside is not None or take_up is not None:
        _set_aside(put_aside, take_up)
        return
    from finplan.cli.shapes import projects_json
    from finplan.services.projects import list_projects
    from finplan.services.when import zone_for

    with session() as opened:
        found = list_projects(opened)
        zones = {one.name: zone_for(opened, one.workshop) for one in found}
    if as_json:
        print_json(projects_json(found))
        return
    if not found:
        paragraph(
            "There is no project yet: try `finplan sample`, or start one with `finplan new TITLE`."
        )
        return
    rows = []
    for one in found:
        zone = zones[one.name]
        rows.append(
            (
                # A title without letters that names can have says more than its name.
                one.name if name_from(one.title, (), "") else f"{one.name}: {one.title}",
                one.state,
                f"{one.done_steps}/{one.total_steps}",
                show.moment(one.next.start, zone) if one.next else "–",
                show.day(one.ready, zone) if one.ready else "–",
            )
        )
    table(("project", "state", "steps", "next step", "ready (safe)"), rows)


def _set_aside(put_aside_name: str | None, take_up: str | None) -> None:
    from finplan.services.projects import put_aside

    with session() as opened:
        if put_aside_name is not None:
            put_aside(opened, put_aside_name)
            say(f"{put_aside_name}: put aside; finplan projects --take-up {put_aside_name}")
        if take_up is not None:
            put_aside(opened, take_up, aside=False)
            say(f"{take_up}: taken up again")


@verb("new")
@click.argument("title")
@click.option("--job", metavar="JOB", help="the finishing schedule; without it they are listed")
@click.option(
    "--from",
    "file",
    metavar="CUTLIST.csv",
    type=click.Path(path_type=Path),
    help="the pieces",
)
@click.option("--unit", metavar="UNIT", default="", help="unit of bare numbers: mm, in")
@click.option("--finish", default="", metavar="NAME", help="another finish than the schedule's")
@click.option("--name", default="", metavar="NAME", help="what commands call it")
@click.option("--workshop", default="", metavar="NAME", help="where; a new name is a new workshop")
@click.option("--space", default="", metavar="NAME", help="the room it dries in")
@click.option("--in-service-by", "day", metavar="DATE", help="when it should be ready")
@click.option("--temp", default="18 C", metavar="TEMPERATURE", help="usual air of a new workshop")
@click.option("--rh", default="55", metavar="PERCENT", help="usual air of a new workshop")
@click.option("--rack", default="4 m2", metavar="AREA", help="rack of a new workshop")
@click.option(
    "--hours", default=HOURS_OF_MOST, metavar="HOURS", help=f"of a new workshop: {HOURS_SAID}"
)
def new_verb(title: str, job: str | None, file: Path | None, **given: Any) -> None:
    """Start a project from a cut list and a finishing schedule.

    Air, rack, hours and --zone count only for a workshop that is not there yet; finplan workshop
    changes one that is. A cut list is a CSV file with a row for each part: name, quantity,
    length, width, thickness, and where wanted wood, hole diameter, holes, countersink, faces.
    Sizes are written like 27 mm or 1 1/16 in, or their unit stands in the header.
    """
    if job is None:
        _print_jobs()
        say()
        paragraph("Give one with --job, and the pieces with --from CUTLIST.csv.")
        return
    if file is None:
        raise BadInput("give the pieces with --from CUTLIST.csv", "new")
    from finplan.services.new_project import Wanted, new_project
    from finplan.services.when import system_zone, zone_for
    from finplan.trade.moments import parse_date
    from finplan.trade.quantities import parse_area, parse_humidity, parse_temperature

    with session() as opened:
        _refuse_any_of_several(opened, given["workshop"])
        day = given["day"]
        wanted = Wanted(
            title=title,
            job=job,
            cut_list=file,
            unit=given["unit"],
            finish=given["finish"],
            in_service_by=parse_date(day, opened.now, zone_for(opened), "--in-service-by")
            if day is not None
            else None,
            temperature_c=parse_temperature(given["temp"], "--temp", opened.units.degree_letter),
            humidity_percent=parse_humidity(given["rh"], "--rh"),
            rack_area_m2=parse_area(given["rack"], "--rack"),
            hours=given["hours"],
            zone=opened.zone or system_zone(),
            name=given["name"],
            workshop=given["workshop"],
            space=given["space"],
        )
        project = new_project(opened, wanted)
    pieces = sum(part.quantity for part in project.parts)
    batch = project.batches[0]
    what = f"{counted(pieces, 'piece')}, {counted(len(batch.steps), 'step')}"
    say(f"{project.name} started: {what}, {batch.space} of {project.workshop}")
    say(f"see it with: finplan plan {project.name}")


def _refuse_any_of_several(opened: Session, workshop: str) -> None:
    with opened.store.unit(writes=False) as unit:
        names = unit.workshops.names()
    if not workshop and len(names) > 1:
        raise BadInput(f"say where with --workshop: {', '.join(names)}", "new")


def _print_jobs() -> None:
    from finplan.library.load import templates

    rows = [(one.name, one.finish, one.title) for one in templates().values()]
    table(("job", "finish", "what it is"), rows, wrap=2)


@verb("load")
@_file
def load_verb(file: Path) -> None:
    """Read a project from a file.

    A project that is there already is brought to what the file says; its journal only grows.
    """
    from finplan.services.projects import load_file

    with session() as opened:
        loaded = load_file(opened, file)
    word = "brought up to the file" if loaded.was_there else "loaded"
    project = loaded.project
    pieces = sum(part.quantity for part in project.parts)
    batches = len(project.batches)
    in_batches = "one batch" if batches == 1 else f"{batches} batches"
    say(f"{project.name} {word}: {counted(pieces, 'piece')} in {in_batches}")
    if loaded.entries:
        say(f"{counted(loaded.entries, 'journal entry', 'journal entries')} added")
    for sentence in loaded.said:
        paragraph(sentence)


@verb("save")
@click.argument("project")
@output_option("FILE.toml")
def save_verb(project: str, file: Path) -> None:
    """Write a project, with workshop, journal and air, to a file."""
    from finplan.services.projects import save_file

    with session() as opened:
        written = save_file(opened, project, file)
    say_written(file, written)


@verb("parts")
@click.argument("project")
@click.option(
    "--from",
    "file",
    metavar="CUTLIST.csv",
    type=click.Path(path_type=Path),
    help="take parts from this cut list",
)
@click.option("--schedule", is_flag=True, help="list the steps of each batch, done or to come")
@click.option("--preview", is_flag=True, help="show what would be taken, keep nothing")
@click.option("--batch", metavar="NAME", help="the batch new parts belong to")
@click.option("--unit", metavar="UNIT", default="", help="unit of bare numbers: mm, in")
@json_option
def parts_verb(
    project: str,
    file: Path | None,
    *,
    schedule: bool,
    preview: bool,
    batch: str | None,
    unit: str,
    as_json: bool,
) -> None:
    """List the parts of a project, or take parts from a cut list.

    All parts of the list are taken or none. A part of a name that is there takes its place.
    """
    from finplan.services.projects import add_parts, project_with_version
    from finplan.services.write import plan_or_none

    if schedule and file is not None:
        raise BadInput("give --from or --schedule, not both", "parts")
    with session() as opened:
        units = opened.units
        if file is None:
            made, _ = project_with_version(opened, project)
            if schedule:
                print_schedule(made, plan_or_none(opened, project), units, as_json=as_json)
            elif as_json:
                print_json({"project": made.name, "parts": _plain_parts(made.parts)})
            else:
                _print_parts(made.parts, units)
            return
        added = add_parts(opened, project, file, preview=preview, batch=batch, default_unit=unit)
    if as_json:
        parts = (*added.new, *added.replaced)
        print_json({"project": project, "parts": _plain_parts(parts), "kept": added.kept})
    else:
        _print_added(added, units)


def _print_added(added: AddedParts, units: Units) -> None:
    _print_parts((*added.new, *added.replaced), units)
    say()
    word = "would be taken" if not added.kept else "taken"
    new, replaced = len(added.new), len(added.replaced)
    say(f"{new} new parts, {replaced} in place of others of the same name: {word}.")
    if added.new and added.batch:
        say(f"The new ones belong to batch {added.batch}.")
    elif added.new:
        say("The new ones belong to no batch yet: name one with --batch.")


def _plain_parts(parts: tuple[Part, ...]) -> list[dict[str, Any]]:
    from finplan.trade.surfaces import areas

    return [
        {
            "name": part.name,
            "quantity": part.quantity,
            "length_mm": part.length_mm,
            "width_mm": part.width_mm,
            "thickness_mm": part.thickness_mm,
            "wood": part.wood,
            "area_m2": round(areas(part).total_m2, 4),
        }
        for part in parts
    ]


def _print_parts(parts: tuple[Part, ...], units: Units) -> None:
    from finplan.trade.surfaces import areas

    rows = [
        (
            part.name,
            str(part.quantity),
            format_length(part.length_mm, units),
            format_length(part.width_mm, units),
            format_length(part.thickness_mm, units),
            part.wood,
            format_area(areas(part).total_m2, units),
        )
        for part in parts
    ]
    header = ("part", "pieces", "length", "width", "thickness", "wood", "surface")
    table(header, rows, right=(1, 2, 3, 4, 6))
