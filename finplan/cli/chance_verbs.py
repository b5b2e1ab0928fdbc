"""``chance``: how likely a project is ready by a date."""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import paragraph, print_json, say

if TYPE_CHECKING:
    from finplan.planning.doubt import Doubt, Spread
    from finplan.services.chance import ChanceAnswer

_TENTHS = ((0.1, "1 of 10"), (0.5, "half"), (0.9, "9 of 10"))


@verb("chance")
@click.argument("project")
@click.option("--by", metavar="DATE", help="the date; otherwise the one it is wanted by")
@click.option("--sources", is_flag=True, help="say what makes the date unsure; takes longer")
@json_option
def chance_verb(project: str, by: str | None, sources: bool, as_json: bool) -> None:
    """Say how likely a project is ready by a date.

    Some hundred plans are made, a few seconds in all: with drying times drawn from their bands,
    with other weather, and with work days missed as often as the journal shows. With --sources
    they are made again with one of the three as it usually is, to see which of them the doubt
    comes from.
    """
    from finplan.services.chance import chance_of, doubt_of
    from finplan.services.when import zone_for
    from finplan.trade.moments import parse_date

    with session() as opened:
        day = None
        if by is not None:
            day = parse_date(by, opened.now, zone_for(opened).key, "--by")
        found = chance_of(opened, project, day)
        doubt = doubt_of(opened, found) if sources else None
    if as_json:
        print_json({**_as_json(found), "sources": _sources_as_json(doubt)})
    else:
        _print(found)
        _print_doubt(found, doubt)


def _print_doubt(found: ChanceAnswer, doubt: Doubt | None) -> None:
    from finplan.planning.chance_words import held_in_words

    if doubt is None:
        asked = f" --by {found.by}" if found.by is not None else ""
        say(f"  what makes it unsure: finplan chance {found.project}{asked} --sources")
        return
    say("  What makes it unsure, most first:")
    for one in doubt.held:
        paragraph(held_in_words(one, doubt.drawn), "      ", "    - ")


def _print(found: ChanceAnswer) -> None:
    from finplan.planning.chance_words import of_ten

    if found.by is not None and found.share is not None:
        words = f"{of_ten(found.share)} such {found.seasons}"
        paragraph(f"{found.project} is ready by {show.day(found.by)} in {words}.", "  ", "")
    if found.late is not None:
        paragraph(f"{found.late.said}.", "    ", "  ")
        start = show.moment(found.late.start, found.zone)
        words = f"{of_ten(found.late.share)} such {found.seasons}"
        paragraph(f"Begun only then, on {start}, it is ready in time in {words}.", "    ", "  ")
    say(f"  planned   {show.moment(found.safe, found.zone)} on safe times, no day missed")
    for share, words in _TENTHS:
        at = found.chances.ready(found.project, share)
        when = show.day(at, found.zone) if at is not None else "not within a year"
        say(f"  {words:<8}  {when}")
    weather = "weather straying from the rooms' normals (an assumption)"
    if found.chances.years:
        weather = f"the weather of {found.chances.years} years read here"
    missed = found.chances.missed
    paragraph(
        f"From {found.chances.runs} plans: each step as soon as the coat below is dry, or "
        "at its planned hour; drying "
        f"times drawn from their bands, {weather}, {missed.share:.0%} of work days missed "
        f"({missed.say()}).",
        "  ",
        "  ",
    )


def _as_json(found: ChanceAnswer) -> dict[str, Any]:
    def ready(share: float) -> str | None:
        return show.iso(found.chances.ready(found.project, share))

    missed, late = found.chances.missed, found.late
    return {
        "project": found.project,
        "by": _day(found.by),
        "share": found.share,
        "runs": found.chances.runs,
        "safe": show.iso(found.safe),
        "one_in_ten": ready(0.1),
        "half": ready(0.5),
        "nine_in_ten": ready(0.9),
        "missed": {
            "share": round(missed.share, 4),
            "days_missed": missed.missed,
            "days_kept": missed.kept,
            "source": missed.say(),
        },
        "weather_years": found.chances.years,
        "put_off": None
        if late is None
        else {"start": show.iso(late.start), "said": late.said, "share": late.share},
    }


def _sources_as_json(doubt: Doubt | None) -> dict[str, Any] | None:
    if doubt is None:
        return None

    def spread(one: Spread) -> dict[str, Any]:
        days = round(one.days, 3) if math.isfinite(one.days) else None
        return {"range_days": days, "share": one.share}

    return {
        "all_drawn": spread(doubt.drawn),
        "held": [
            {"source": one.held.value, **spread(one)} for one in doubt.held if one.held is not None
        ],
    }


def _day(day: dt.date | None) -> str | None:
    return day.isoformat() if day is not None else None
