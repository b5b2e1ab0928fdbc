"""``air show`` and ``air log``: the air of a space over the days, and what was kept of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say, table
from finplan.trade.quantities import Units, format_temperature

if TYPE_CHECKING:
    from finplan.services.air_shown import GoodHours, SpaceAir

workshop_option = click.option("--workshop", metavar="NAME", help="where there are several")


@verb("show")
@workshop_option
@click.option("--space", metavar="NAME", help="one room alone; all of them otherwise")
@click.option("--days", type=click.IntRange(1, 60), default=4, help="how many days ahead; 4")
@click.option("--every", type=click.IntRange(1, 24), default=6, help="a line every so many hours")
@json_option
def air_show(workshop: str | None, space: str | None, days: int, every: int, as_json: bool) -> None:
    """Say the air of the rooms now, the good hours ahead, and the air from a day ago on."""
    from finplan.services.air_shown import air_shown

    with session() as opened:
        found = air_shown(opened, workshop, space, days, every)
        units = opened.units
    if as_json:
        print_json({"spaces": [_json(one) for one in found]})
        return
    for number, one in enumerate(found):
        if number:
            say()
        _print(one, units)


def _print(one: SpaceAir, units: Units) -> None:
    now = one.now
    heading(f"Air in {now.space} of {one.workshop} (times in {one.zone.key})")
    paragraph(
        f"now {format_temperature(now.temperature_c, units)}, {now.humidity_percent:.0f} % RH, dew "
        f"point {format_temperature(now.dew_point_c, units)}, wood goes to {now.emc_percent:.1f} % "
        f"({now.source})",
        "  ",
        "  ",
    )
    for advice, good in zip(now.advice, one.finishes, strict=True):
        word = "may go on now" if advice.allowed else "not now"
        reasons = f": {'; '.join(advice.reasons)}" if advice.reasons else ""
        paragraph(f"{advice.finish} {word}{reasons}", "    ", "  ")
        paragraph(_limits(good, units), "      ", "    ")
        for start, end in good.stretches:
            say(f"    good {show.day(start, one.zone)} {show.span(start, end, one.zone)}")
        if not good.stretches:
            say("    no good hour in these days")
    say()
    rows = [
        (
            show.moment(hour.at, one.zone),
            format_temperature(hour.temperature_c, units),
            f"{hour.humidity_percent:.0f} %",
            format_temperature(hour.dew_point_c, units),
            hour.source,
        )
        for hour in one.hours
    ]
    table(("when", "air", "RH", "dew point", "from"), rows, right=(1, 2, 3))


def _limits(good: GoodHours, units: Units) -> str:
    damp = f", not in air above {good.dampest_percent:g} % RH" if good.dampest_percent else ""
    return f"not below {format_temperature(good.coldest_c, units)}{damp}"


def _json(one: SpaceAir) -> dict[str, Any]:
    return {
        "workshop": one.workshop,
        "space": one.now.space,
        "temperature_c": round(one.now.temperature_c, 2),
        "relative_humidity": round(one.now.humidity_percent, 1),
        "dew_point_c": round(one.now.dew_point_c, 2),
        "emc_percent": round(one.now.emc_percent, 2),
        "source": one.now.source,
        "finishes": [
            {
                "finish": good.finish,
                "allowed": advice.allowed,
                "reasons": list(advice.reasons),
                "coldest_c": good.coldest_c,
                "dampest_percent": good.dampest_percent,
                "good_hours": [
                    {"start": show.iso(start), "end": show.iso(end)}
                    for start, end in good.stretches
                ],
            }
            for advice, good in zip(one.now.advice, one.finishes, strict=True)
        ],
        "hours": [
            {
                "at": show.iso(hour.at),
                "temperature_c": round(hour.temperature_c, 2),
                "relative_humidity": round(hour.humidity_percent, 1),
                "dew_point_c": round(hour.dew_point_c, 2),
                "source": hour.source,
            }
            for hour in one.hours
        ],
    }


@verb("log")
@workshop_option
@json_option
def air_log(workshop: str | None, as_json: bool) -> None:
    """List what was kept of a workshop's air, and what was taken back, the last first."""
    from finplan.services.air_log import logged

    with session() as opened:
        zone, listed = logged(opened, workshop)
    if as_json:
        told = [
            {"recorded_at": show.iso(at), "word": word, "what": what} for at, word, what in listed
        ]
        print_json({"entries": told})
        return
    for at, word, what in listed:
        paragraph(what, " " * 4, f"{show.moment(at, zone)}  {word}: ")
    if not listed:
        say("No air was kept yet: finplan air add --help")
