"""``workshop``: who works when, and which rooms there are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.moved import print_moved
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say
from finplan.trade.errors import BadInput
from finplan.trade.quantities import format_area

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.services.workshops import Change
    from finplan.trade.quantities import Units
    from finplan.trade.workshop import Person, Space, Workshop


@verb("workshop")
@click.argument("name", required=False)
@click.option("--person", metavar="NAME", help="whose hours; a new name comes with --hours")
@click.option("--hours", metavar="HOURS", help='when they work: "tue thu 18:30-21:30, sat 8-17"')
@click.option("--can", metavar="KINDS", help="what they can do: sand,prepare,clean; 'all'")
@click.option("--day-off", multiple=True, metavar="DATE", help="a day without work")
@click.option("--back-on", multiple=True, metavar="DATE", help="a day off is one no more")
@click.option("--leaves", is_flag=True, help="the person works here no more")
@click.option("--space", metavar="NAME", help="which room; a new name is a new room")
@click.option("--rack", metavar="AREA", help="its rack: 4 m2, 40 sq ft")
@click.option("--temp", metavar="TEMPERATURE", help="its usual air: 18 C, 65 F")
@click.option("--rh", metavar="PERCENT", help="its usual air: 55")
@click.option("--safe", metavar="PERCENT", help="share of coats ready by a safe time: 80")
@json_option
def workshop_verb(name: str | None, as_json: bool, **given: Any) -> None:
    """Show the workshops, their people and rooms, or change one.

    Without NAME the only workshop is changed. Usual air is what counts where no reading and no
    forecast covers an hour. Hours of single days come best from a calendar: finplan busy.
    finplan undo takes back what was changed here, but for busy times.
    """
    from finplan.services.workshops import change_workshop, list_workshops

    with session() as opened:
        changes = _changes(opened, name, given)
        moved = change_workshop(opened, name, changes).moved if changes else ()
        shops = list_workshops(opened, name)
    if as_json:
        print_json({"workshops": [_plain(shop) for shop in shops]})
        return
    if not shops:
        say("There is no workshop yet: it comes with the first project, finplan new.")
    for shop in shops:
        _print_workshop(shop, opened.units)
    if changes:
        print_moved(moved)


def _changes(opened: Session, name: str | None, given: dict[str, Any]) -> list[Change]:
    from finplan.services import workshops
    from finplan.services.when import zone_for
    from finplan.trade.moments import parse_date
    from finplan.trade.quantities import parse_area, parse_humidity, parse_temperature
    from finplan.trade.steps import parse_kinds
    from finplan.trade.work_hours import parse_hours

    who, changes = given["person"], []
    if given["hours"] is not None:
        changes.append(workshops.with_hours(who, parse_hours(given["hours"], "--hours")))
    if given["day_off"] or given["back_on"]:
        zone = zone_for(opened, name)
        off, back = (
            tuple(parse_date(day, opened.now, zone, option) for day in given[key])
            for key, option in (("day_off", "--day-off"), ("back_on", "--back-on"))
        )
        changes.append(workshops.with_days_off(who, off, back))
    if given["can"] is not None:
        changes.append(workshops.with_skills(who, parse_kinds(given["can"], "--can")))
    if given["leaves"]:
        changes.append(workshops.without_person(who))
    if who is not None and not changes:
        raise BadInput(
            "say what of the person changes: --hours, --can, --day-off or --leaves", "workshop"
        )
    room = ("space", "rack", "temp", "rh")
    if any(given[key] is not None for key in room):
        if (given["temp"] is None) != (given["rh"] is None):
            raise BadInput("give both --temp and --rh, for instance --temp 18C --rh 60", "workshop")
        air = None
        if given["temp"] is not None:
            warmth = parse_temperature(given["temp"], "--temp", opened.units.degree_letter)
            air = (warmth, parse_humidity(given["rh"], "--rh"))
        rack = parse_area(given["rack"], "--rack") if given["rack"] is not None else None
        if rack is None and air is None:
            raise BadInput("say what of the room changes: --rack, or --temp and --rh", "workshop")
        changes.append(workshops.with_space(given["space"], rack, air))
    if given["safe"] is not None:
        changes.append(workshops.with_safety(parse_humidity(given["safe"], "--safe") / 100))
    return changes


def _print_workshop(shop: Workshop, units: Units) -> None:
    heading(shop.name)
    paragraph(f"{shop.zone}; a safe time is one by which {shop.safe_quantile:.0%} are ready", "  ")
    for person in shop.people:
        _print_person(person)
    for space in shop.spaces:
        _print_space(space, units)


def _print_person(person: Person) -> None:
    from finplan.trade.moments import say_date
    from finplan.trade.work_hours import say_hours

    only = f"; only {', '.join(sorted(person.can))}" if person.can is not None else ""
    paragraph(f"{person.name}: {say_hours(person.windows)}{only}", "    ", "  ")
    if person.days_off:
        paragraph(f"off {', '.join(map(say_date, person.days_off))}", "    ", "    ")
    if person.busy:
        paragraph(f"busy at {len(person.busy)} other times", "    ", "    ")


def _print_space(space: Space, units: Units) -> None:
    from finplan.services.workshops import usual_air

    rack, air = format_area(space.rack_area_m2, units), usual_air(space, units)
    apart = "; sanding is done elsewhere" if space.dust_apart else ""
    paragraph(f"{space.name}: rack {rack}, usually {air}{apart}", "    ", "  ")


def _plain(shop: Workshop) -> dict[str, Any]:
    from finplan.trade.work_hours import say_hours

    return {
        "name": shop.name,
        "zone": shop.zone,
        "safe_quantile": shop.safe_quantile,
        "people": [
            {
                "name": one.name,
                "hours": say_hours(one.windows),
                "days_off": [day.isoformat() for day in one.days_off],
                "busy": [[show.iso(busy.start), show.iso(busy.end)] for busy in one.busy],
                "can": sorted(one.can) if one.can is not None else None,
            }
            for one in shop.people
        ],
        "spaces": [
            {
                "name": one.name,
                "rack_area_m2": one.rack_area_m2,
                "dust_apart": one.dust_apart,
                "mean_c": list(one.normals.mean_c),
                "mean_rh_percent": list(one.normals.mean_rh_percent),
            }
            for one in shop.spaces
        ],
    }
