"""``air`` and ``dry``: what the air is, and when a coat is dry in it."""

from __future__ import annotations

import math
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.air_space import air_log, air_show
from finplan.cli.air_space import workshop_option as _workshop
from finplan.cli.moved import print_moved
from finplan.cli.options import Verbs, json_option, session, shared, verb
from finplan.cli.output import ALWAYS_SAID, heading, paragraph, print_json, say, table
from finplan.trade.errors import BadInput
from finplan.trade.quantities import (
    Units,
    format_degrees_apart,
    format_temperature,
    parse_humidity,
    parse_temperature,
)

if TYPE_CHECKING:
    from finplan.services.air import Kept
    from finplan.services.dry import DryAnswer
    from finplan.services.moist import AcrossTheGrain
    from finplan.services.what_if import WhatIf

_MOST_GOOD_HOURS = 4
_space = click.option("--space", metavar="NAME", help="which room, where there are several")
_temperature = click.option("--temp", metavar="TEMPERATURE", help="air: 18 C, 65 F")
_humidity = click.option("--rh", metavar="PERCENT", help="relative humidity: 55")


def _air_given(temp: str | None, rh: str | None, units: Units) -> tuple[float, float]:
    if temp is None or rh is None:
        raise BadInput("give both --temp and --rh, for instance --temp 18C --rh 60", "air")
    return parse_temperature(temp, "--temp", units.degree_letter), parse_humidity(rh, "--rh")


@click.group("air", cls=Verbs, invoke_without_command=True)
@_temperature
@_humidity
@click.option("--moves", "wood", metavar="WOOD", help="say how much this wood moves in it")
@click.option("--fitted-at", metavar="PERCENT", default="8", help="its moisture when sized; 8")
@json_option
@click.pass_context
def air_verb(
    ctx: click.Context,
    temp: str | None,
    rh: str | None,
    wood: str | None,
    fitted_at: str,
    as_json: bool,
) -> None:
    """Dew point, wood moisture and margin of some air; keep readings, and show them."""
    if ctx.invoked_subcommand is not None:
        return
    from finplan.services.moist import across_the_grain, moist_air

    if temp is None and rh is None:
        raise BadInput(
            "give both --temp and --rh, for instance --temp 18C --rh 60; `finplan now` tells the "
            "air of your rooms",
            "air",
        )
    units = Units(shared().units or Units.METRIC)
    temperature_c, humidity_percent = _air_given(temp, rh, units)
    found = moist_air(temperature_c, humidity_percent, units)
    moves = None
    if wood is not None:
        moves = across_the_grain(found, wood, parse_humidity(fitted_at, "--fitted-at"))
    if as_json:
        told = {
            "temperature_c": _rounded(found.temperature_c),
            "relative_humidity": _rounded(found.humidity_percent),
            "dew_point_c": _rounded(found.dew_point_c),
            "vapour_pressure_deficit_pa": _rounded(found.vapour_pressure_deficit_pa),
            "emc_percent": _rounded(found.emc_percent),
            "warnings": list(found.warnings),
        }
        print_json(told if moves is None else {**told, "wood": asdict(moves)})
        return
    air = f"{format_temperature(found.temperature_c, units)}, {rh_text(humidity_percent)}"
    say(f"air          {air}")
    say(f"dew point    {format_temperature(found.dew_point_c, units)}")
    say(f"margin       {format_degrees_apart(found.margin_c, units)} above the dew point")
    say(f"wet film     {format_temperature(found.wet_bulb_c, units)} where air moves over it")
    say(f"vapour pressure deficit  {found.vapour_pressure_deficit_pa:.0f} Pa")
    say(f"wood goes to {found.emc_percent:.1f} % moisture (EMC) in this air")
    if moves is not None:
        _print_movement(moves, units)
    for warning in found.warnings:
        paragraph(warning, "  ", "! ")


def _print_movement(moves: AcrossTheGrain, units: Units) -> None:
    """Per metre or foot of width: what a gap has to take up."""
    per, name = (12.0, "in a foot") if units is Units.IMPERIAL else (1000.0, "mm a metre")
    places = 2 if units is Units.IMPERIAL else 1
    flat, quarter = (f"{one * per:+.{places}f}" for one in (moves.flat_sawn, moves.quarter_sawn))
    words = (
        f"{moves.wood} fitted at {moves.fitted_at_percent:g} % then moves by {flat} {name} "
        f"across the grain flat-sawn, {quarter} quarter-sawn ({moves.source})"
    )
    more = "" if moves.linear else "; more than that, as it is beyond 6 to 14 %"
    paragraph(f"{words}{more}", "  ", "")


def rh_text(percent: float) -> str:
    """Return a relative humidity for people."""
    return f"{percent:.0f} % RH"


def _rounded(value: float) -> float:
    return round(value, 3)


air_verb.add_command(air_show)
air_verb.add_command(air_log)


@air_verb.command("add")
@_temperature
@_humidity
@click.option("--at", metavar="WHEN", help="when it was read; now otherwise")
@_workshop
@_space
def _add(
    temp: str | None, rh: str | None, at: str | None, workshop: str | None, space: str | None
) -> None:
    """Keep one reading of a room's air."""
    from finplan.services.air import add_reading
    from finplan.services.when import moment_of, zone_for

    with session() as opened:
        temperature_c, humidity_percent = _air_given(temp, rh, opened.units)
        when = moment_of(opened, at, "--at", workshop=workshop, past=True)
        kept = add_reading(opened, workshop, space, temperature_c, humidity_percent, when)
        zone = zone_for(opened, kept.workshop)
        air = f"{format_temperature(temperature_c, opened.units)}, {rh_text(humidity_percent)}"
        say(f"kept: {kept.space}, {show.moment(kept.first, zone)}, {air}")
        if kept.moved:
            print_moved(kept.moved)


@air_verb.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@_workshop
@_space
@click.option("--forecast", is_flag=True, help="the air to come, not the air there was")
@click.option("--zone-of-log", metavar="IANA-ZONE", help="zone of its times, where they name none")
@click.option(
    "--dates",
    type=click.Choice(["day-first", "month-first"]),
    help="how 3/4/2026 is meant, where the file does not tell",
)
def _import(
    file: Path,
    workshop: str | None,
    space: str | None,
    forecast: bool,
    zone_of_log: str | None,
    dates: str | None,
) -> None:
    """Keep a logger's CSV file, all of it or nothing.

    Columns are found by their names: time (or date and time), temperature, humidity. What is
    read is in °C or °F, as the header or the values say.
    """
    from finplan.services.air import import_log
    from finplan.services.when import zone_for

    with session() as opened:
        kept = import_log(
            opened,
            workshop,
            space,
            file,
            forecast=forecast,
            zone=zone_of_log,
            month_first=None if dates is None else dates == "month-first",
        )
        zone = zone_for(opened, kept.workshop)
        say(
            f"kept: {kept.readings} {'forecast values' if forecast else 'readings'} for "
            f"{kept.space}, {kept.new} of them new"
        )
        say(f"from {show.moment(kept.first, zone)} to {show.moment(kept.last, zone)}")
        _say_warnings(kept)
        if kept.moved:
            print_moved(kept.moved)


def _say_warnings(kept: Kept) -> None:
    for warning in kept.warnings:
        paragraph(warning, "  ", "! ")


@verb("dry")
@click.argument("finish", nargs=-1, required=True)
@click.option("--start", metavar="WHEN", help="the end of the coat; now otherwise")
@_temperature
@_humidity
@click.option("--air", "air_file", type=click.Path(path_type=Path), help="a logger's CSV file")
@_workshop
@click.option("--space", metavar="NAME", help="in the air of this room of a workshop")
@click.option("--heat-to", metavar="TEMPERATURE", help="what if it were heated: 18 C, 65 F")
@click.option("--dry-to", metavar="PERCENT", help="what if the air were dried: 50")
@click.option("--covered", is_flag=True, help="what if the work stood under a loose cover")
@click.option("--film", metavar="TIMES", type=float, default=1.0, help="thickness of the film")
@click.option("--wood", metavar="PERCENT", help="the wood by a moisture meter: 14")
@json_option
def dry_verb(finish: tuple[str, ...], as_json: bool, **given: Any) -> None:
    """Say when a coat is dry.

    In constant air (--temp and --rh), along a logger's file (--air) or in a workshop's room
    (--space); without any of these at 23 °C and 50 %.
    """
    from finplan.services.dry import dry
    from finplan.services.when import moment_of

    with session() as opened:
        air = _air_given(given["temp"], given["rh"], opened.units) if _any_air(given) else None
        start = moment_of(opened, given["start"], "--start", workshop=given["workshop"])
        answer = dry(
            opened,
            " ".join(finish),
            start,
            constant=air,
            air_file=given["air_file"],
            workshop=given["workshop"],
            space=given["space"],
            what_if=_what_if(given, opened.units),
            wood_percent=parse_humidity(given["wood"], "--wood") if given["wood"] else None,
        )
        if as_json:
            print_json(_dry_json(answer))
            return
        _print_dry(answer, opened.units)


def _what_if(given: dict[str, Any], units: Units) -> WhatIf:
    from finplan.services.what_if import WhatIf

    letter = units.degree_letter
    heat_to, dry_to = given["heat_to"], given["dry_to"]
    return WhatIf(
        heat_to_c=parse_temperature(heat_to, "--heat-to", letter) if heat_to else None,
        dry_to_percent=parse_humidity(dry_to, "--dry-to") if dry_to else None,
        covered=given["covered"],
        film=given["film"],
    )


@click.group("learned", cls=Verbs, invoke_without_command=True)
@_workshop
@json_option
@click.pass_context
def learned_verb(ctx: click.Context, workshop: str | None, as_json: bool) -> None:
    """Say what dryness checks have taught of each finish in each room."""
    if ctx.invoked_subcommand is not None:
        return
    from finplan.services.learned import learned

    with session() as opened:
        found = learned(opened, workshop)
        if as_json:
            print_json({"learned": [dict(one.values) for one in found]})
            return
        for one in found:
            paragraph(one.sentence, "  ", "")
        if not found:
            say("nothing yet: record a dryness check with `finplan record check`")


@learned_verb.command("forget")
@click.argument("finish", nargs=-1, required=True)
@_workshop
@_space
def _forget(finish: tuple[str, ...], workshop: str | None, space: str | None) -> None:
    """Learn a finish afresh from now on; the journal keeps its checks."""
    from finplan.services.learned import forget

    with session() as opened:
        name, room = forget(opened, " ".join(finish), space, workshop)
        say(f"{name} in {room}: the book's times hold again until new checks say more")


def _any_air(given: dict[str, Any]) -> bool:
    return given["temp"] is not None or given["rh"] is not None


def _dry_json(answer: DryAnswer) -> dict[str, Any]:
    return {
        "finish": answer.finish.name,
        "start": show.iso(answer.start),
        "stages": [
            {
                "stage": time.stage.value,
                "reference_hours": time.reference_hours,
                "likely": show.iso(time.likely),
                "safe": show.iso(time.safe),
            }
            for time in answer.stages
        ],
        "window_closes": show.iso(answer.window_closes),
        "warnings": list(answer.warnings),
    }


def _when_to_coat(answer: DryAnswer) -> str:
    good = [
        f"{show.moment(begin, answer.zone)} to {show.moment(end, answer.zone)}"
        for begin, end in answer.good_hours
    ]
    if answer.verdict == "no":
        return "to coat then: no, nor at any hour of the 72 h after; the reasons stand below"
    hours = "; ".join(good[:_MOST_GOOD_HOURS])
    return f"to coat then: {answer.verdict}; good hours are {hours}"


def _print_dry(answer: DryAnswer, units: Units) -> None:
    paragraph(answer.in_one_line, "  ", "")
    say()
    heading(f"{answer.finish.title} ({answer.finish.name})")
    paragraph(f"in {answer.air_words}; times in {answer.zone.key}", "  ", "  ")
    say()
    rows = [
        (
            time.stage.value,
            f"{round(time.reference_hours, 2):g} h"
            if math.isfinite(time.reference_hours)
            else "never",
            show.moment(time.likely, answer.zone) if time.likely else "never",
            show.moment(time.safe, answer.zone) if time.safe else "never",
        )
        for time in answer.stages
    ]
    standard = f"at {format_temperature(23, units)}, 50 %"
    table(("stage", standard, "likely", "safe"), rows, right=(1,))
    say()
    paragraph(_when_to_coat(answer), "  ", "  ")
    if answer.learned:
        say()
        paragraph(answer.learned, "  ", "  ")
    if answer.window_closes is not None:
        say()
        closes = show.moment(answer.window_closes, answer.zone)
        paragraph(f"recoat window closes {closes} (safe, so taken early)", "  ", "  ")
    for warning in answer.warnings:
        paragraph(warning, "  ", "! ")
    for caution in answer.cautions:
        if caution.key != ALWAYS_SAID:  # the closing line says it
            paragraph(caution.text, "  ", "! ")
    say()
    paragraph(answer.closing_line)
