"""``install`` and ``upkeep``: pieces in use, and what they need in the years to come."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, output_option, session, verb
from finplan.cli.output import heading, paragraph, print_json, say, say_written, table
from finplan.cli.upkeep_shapes import log_json, piece_json, visits_json, window_json, years_json
from finplan.tracking.upkeep.pieces import DROPS_FIRST
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, say_date
from finplan.trade.quantities import format_area, format_temperature, format_volume
from finplan.trade.upkeep import Exposure

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen, YearsAhead
    from finplan.trade.quantities import Units

_EXPOSED = {
    "flat": Exposure.FLAT,
    "wet": Exposure.WET_OR_TRODDEN,
    "covered": Exposure.COVERED,
    "indoors": Exposure.INDOORS,
}

_YEARS = 5
"""How many years are looked ahead where nobody says."""


@verb("install")
@click.argument("name")
@click.option("--project", metavar="NAME", help="take title, finish, coats and area from it")
@click.option("--title", metavar="TEXT", help="what people call it")
@click.option("--place", metavar="TEXT", help="where it is; one place is one trip")
@click.option("--finish", metavar="NAME", help="its finish")
@click.option("--coats", type=int, metavar="N", help="how many coats it has")
@click.option("--area", metavar="AREA", help="of the finished surface: 2.4 m2, 26 sq ft")
@click.option(
    "--installed",
    metavar="DATE",
    help="the day it went into use, its finish new; today where nothing is left to do",
)
@click.option(
    "--exposed",
    multiple=True,
    type=click.Choice(list(_EXPOSED)),
    metavar="HOW",
    help=f"may be given again: {', '.join(_EXPOSED)}; none is upright in full weather",
)
@click.option("--taken-up", metavar="TEXT", help="how it is lifted or reached")
@click.option("--may-be-out", metavar="TIME", help="how long it may be out of use: 3 d")
@click.option("--wood", metavar="NAME", help="says how quickly it dries: larch, white oak")
@click.option("--thick", metavar="LENGTH", help="of its boards: 20 mm, 3/4 in")
@click.option("--workshop", metavar="NAME", help="whose hours and air its renewal has")
@click.option("--space", metavar="NAME", help="where in the workshop it dries")
@click.option("--season", metavar="MONTHS", help="when work on it is wished: apr-sep")
@click.option("--days", metavar="RRULE", help="on which days: FREQ=WEEKLY;BYDAY=FR")
@click.option("--blocked", multiple=True, metavar="DAYS", help="2027-07-01..2027-07-14")
@click.option(
    "--blocked-from",
    type=click.Path(path_type=Path),
    metavar="FILE.ics",
    help="take guests and holidays from a calendar file",
)
@click.option("--renew", metavar="RRULE", help="a fixed cycle, such as FREQ=YEARLY")
@click.option("--inspect", metavar="RRULE", help="look at it by this rule")
@click.option("--clean", metavar="RRULE", help="clean it by this rule")
@click.option("--change", is_flag=True, help="change a piece that is installed already")
def install_verb(name: str, project: str | None, change: bool, **given: Any) -> None:
    """Put a piece into use: a finished project, or one that is there already."""
    from finplan.services.installing import install_said
    from finplan.services.upkeep import seen_piece

    with session() as opened:
        piece = install_said(opened, name, _said(opened, given), project, change=change)
        seen = seen_piece(opened, name)
        area = format_area(piece.area_m2, opened.units)
    say(f"{name}: {'changed' if change else 'installed'}, {piece.finish}, {area}, {piece.place}")
    paragraph(seen.outlook.coming[0].sentence, "  ", "")


def _said(opened: Session, given: dict[str, Any]) -> dict[str, Any]:
    """Return what was said, as fields of a piece; None where nothing was."""
    from finplan.services.installing import blocked_from, blocked_of, months_of
    from finplan.services.when import system_zone
    from finplan.trade.moments import parse_date
    from finplan.trade.quantities import parse_area, parse_duration, parse_length

    zone = opened.zone or system_zone()
    blocked = blocked_of(given["blocked"])
    if given["blocked_from"] is not None:
        blocked += blocked_from(opened, given["blocked_from"], zone)
    day, out, season = given["installed"], given["may_be_out"], given["season"]
    return {
        "title": given["title"],
        "place": given["place"],
        "zone": opened.zone,
        "finish": given["finish"],
        "coats": given["coats"],
        "area_m2": parse_area(given["area"], "--area") if given["area"] else None,
        "installed": parse_date(day, opened.now, zone, "--installed") if day else None,
        "exposures": frozenset(_EXPOSED[one] for one in given["exposed"]) or None,
        "taken_up": given["taken_up"],
        "wood": given["wood"],
        "thickness_mm": parse_length(given["thick"], "--thick") if given["thick"] else None,
        "workshop": given["workshop"],
        "space": given["space"],
        "may_be_out_hours": parse_duration(out, "--may-be-out") if out else None,
        "season": months_of(season) if season else None,
        "days": given["days"],
        "blocked": blocked or None,
        "renew_rule": given["renew"],
        "inspect_rule": given["inspect"],
        "clean_rule": given["clean"],
    }


@verb("upkeep")
@click.argument("piece", required=False)
@click.option(
    "--years",
    type=int,
    show_default=str(_YEARS),
    help="look so far ahead; with PIECE at its visits",
)
@click.option("--care", is_flag=True, help="print a care sheet for whoever lives with the piece")
@output_option("FILE.pdf", "with --care: write the sheet as a PDF", required=False)
@click.option("--plan", is_flag=True, help="plan the next renewal like new work, as a project")
@click.option("--workshop", metavar="NAME", help="whose hours and air its renewal has")
@click.option("--space", metavar="NAME", help="where in the workshop it dries")
@click.option("--undo", metavar="ENTRY", help="an entry counts no more: its uid, or last")
@click.option("--redo", is_flag=True, help="what was undone last counts again")
@json_option
def upkeep_verb(piece: str | None, years: int | None, as_json: bool, **asked: Any) -> None:
    """Say what the installed pieces need, and when; with PIECE its history on one page."""
    from finplan.services.upkeep import years_ahead

    with session() as opened:
        if piece is not None:
            _one_piece(opened, piece, asked, years, as_json=as_json)
        elif any(
            asked[one] for one in ("care", "plan", "undo", "redo", "file", "workshop", "space")
        ):
            raise BadInput("say which piece is meant", "upkeep")
        else:
            ahead = years_ahead(opened, _YEARS if years is None else years)
            if as_json:
                print_json(years_json(opened, ahead))
            else:
                _print_years(ahead, opened.units)


def _one_piece(
    opened: Session, name: str, asked: dict[str, Any], years: int | None, *, as_json: bool
) -> None:
    from finplan.services.renewing import worked_on_in
    from finplan.services.upkeep import seen_piece, undo_upkeep, years_ahead
    from finplan.services.upkeep_log import redo_upkeep
    from finplan.services.windows import shop_of

    if years is not None and (asked["plan"] or asked["care"]):
        raise BadInput("the years are told without --plan and --care: leave one out", "--years")
    if asked["plan"]:
        _plan_renewal(opened, name, asked)
        return
    if asked["undo"] is not None:
        undone = undo_upkeep(opened, name, asked["undo"])
        say(f"{name}: {undone.kind.value} {str(undone.uid)[:8]} counts no more")
    if asked["redo"]:
        again = redo_upkeep(opened, name)
        say(f"{name}: {again.kind.value} {str(again.uid)[:8]} counts again")
    if asked["file"] is not None:
        _write_care(opened, name, asked)
        return
    seen = seen_piece(opened, name)
    ahead = None if years is None else years_ahead(opened, years, name)
    if asked["workshop"] or asked["space"]:
        seen = worked_on_in(seen, asked["workshop"], asked["space"])
        shop_of(opened, seen.piece)
    if as_json:
        told = piece_json(seen) | window_json(opened, seen) | log_json(seen)
        print_json(told if ahead is None else told | visits_json(ahead))
    elif asked["care"]:
        _print_care(seen)
    else:
        _print_piece(opened, seen)
        if ahead is not None and ahead.pieces:
            _print_visits(ahead, opened.units)


def _write_care(opened: Session, name: str, asked: dict[str, Any]) -> None:
    from finplan.services.care import write_care_sheet

    if not asked["care"]:
        raise BadInput("only the care sheet is written to a file: add --care", "--output")
    written = write_care_sheet(opened, name, asked["file"])
    say_written(asked["file"], written)


def _plan_renewal(opened: Session, name: str, asked: dict[str, Any]) -> None:
    """Keep the renewal as a project and say how long the piece is out of use, safe."""
    from finplan.services.planned import planned
    from finplan.services.renewing import plan_renewal

    project = plan_renewal(opened, name, asked["workshop"], asked["space"])
    seen = planned(opened, [project.name])
    steps, ready = seen.steps_of(project.name), seen.ready_of(project.name)
    start = show.moment(min(step.start for step in steps), seen.zone)
    end = show.moment(ready.safe, seen.zone) if ready else "an hour not known yet"
    paragraph(f"{name}: out of use from {start} to {end}, safe", "  ", "")
    paragraph(f"See it with `finplan plan {project.name}`; record the work as any other.", "  ", "")


def _print_years(ahead: YearsAhead, units: Units) -> None:
    if ahead.pieces:
        _print_coming(ahead, units)
    else:
        say(
            "Nothing is in use: finplan install NAME --help"
            if ahead.gone
            else "Nothing is installed yet: finplan install NAME --help"
        )
    if ahead.gone:
        names = ", ".join(one.piece.name for one in ahead.gone)
        paragraph(f"Out of use: {names}. finplan upkeep PIECE shows the history.", "  ", "")


def _print_coming(ahead: YearsAhead, units: Units) -> None:
    rows = [
        (coming.on, coming.work.value, one.piece.name, one.piece.place)
        for one in ahead.pieces
        for coming in one.outlook.coming
    ]
    table(
        ("next", "work", "piece", "place"),
        [(say_date(on), work, name, place) for on, work, name, place in sorted(rows)],
        wrap=3,
    )
    say()
    _print_sums(ahead, units)


def _print_visits(ahead: YearsAhead, units: Units) -> None:
    """Print the visits to one piece, day by day, and each year's sums."""
    say()
    table(("on", "work"), [(say_date(one.on), one.work.value) for one in ahead.visits])
    say()
    _print_sums(ahead, units)


def _print_sums(ahead: YearsAhead, units: Units) -> None:
    table(
        ("year", "trips", "saved", "renewals", "days out of use", "finish", "cost"),
        [
            (
                str(one.year),
                str(one.trips),
                str(one.saved),
                str(one.renewals),
                f"{one.out_hours / 24:.1f}",
                format_volume(one.litres, units),
                "not known" if one.cost is None else f"{one.cost:.2f}",
            )
            for one in ahead.sums
        ],
        right=(1, 2, 3, 4, 5, 6),
    )


def _print_piece(opened: Session, seen: PieceSeen) -> None:
    piece, units = seen.piece, opened.units
    heading(f"{piece.title} ({piece.name}), {piece.place}")
    exposed = ", ".join(sorted(piece.exposures)) or "upright in full weather"
    paragraph(
        f"{piece.finish}, {format_area(piece.area_m2, units)}, {exposed}; "
        f"in use since {say_date(piece.installed)}"
    )
    if seen.gone is not None:
        day = show.day(seen.gone.at, find_zone(piece.zone))
        paragraph(
            f"Out of use since {day}: --undo {str(seen.gone.uid)[:8]} puts it back.", "  ", ""
        )
        _print_log(seen, units)
        return
    for coming in seen.outlook.coming:
        lead = f"{coming.work.value:<12}{say_date(coming.on):<15}  "
        paragraph(coming.sentence, " " * 29, lead)
    _print_window(opened, seen)
    days = seen.effort.out_hours / 24
    paragraph(
        f"A renewal takes about {format_volume(seen.effort.litres, units)} and {days:.1f} days "
        f"out of use at {format_temperature(23, units)} and 50 %."
    )
    for line in seen.outlook.advice:
        paragraph(line, "  ", "! ")
    if seen.outlook.others:
        paragraph(f"{seen.outlook.others[:1].upper()}{seen.outlook.others[1:]}.", "  ", "")
    if not seen.piece.renew_rule:
        paragraph(f"{DROPS_FIRST[:1].upper()}{DROPS_FIRST[1:]}.", "  ", "")
    _print_log(seen, units)


def _print_window(opened: Session, seen: PieceSeen) -> None:
    """Say the best time for the next renewal, as a stretch out of use, or why there is none."""
    from finplan.services.windows import renewal_project, window_of
    from finplan.tracking.upkeep.window import Window, rain_words, say_window, why_window

    found, piece = window_of(opened, seen), seen.piece
    if not isinstance(found, Window):
        paragraph(f"No best time for the renewal: {found.sentence}.", "  ", "! ")
        return
    zone = opened.zone or piece.zone
    project = renewal_project(opened, piece)
    lead = "Best time" if project is None else f"Planned as {project}"
    paragraph(f"{lead}: {say_window(found, piece.title, zone)}.", "  ", "")
    paragraph(f"{why_window(found, zone)}.", "  ", "  ")
    rain = rain_words(piece)
    if project is None and rain:
        paragraph(rain, "  ", "! ")
    if found.too_long:
        days = piece.may_be_out_hours / 24
        paragraph(f"It may be out of use for {days:.1f} days only.", "  ", "! ")


def _print_log(seen: PieceSeen, units: Units) -> None:
    from finplan.tracking.upkeep.pieces import UpkeepKind, set_aside
    from finplan.tracking.upkeep.totals import used_by_year

    zone = find_zone(seen.piece.zone)
    aside = set_aside(seen.entries)
    for entry in sorted(seen.entries, key=lambda one: (one.at, one.recorded_at)):
        if entry.kind is UpkeepKind.UNDONE:
            continue
        told = [entry.kind.value, ", ".join(entry.findings)]
        if entry.litres is not None:
            told.append(format_volume(entry.litres, units))
        if entry.cost is not None:
            told.append(f"cost {entry.cost:.2f}")
        told += [entry.note, entry.by and f"by {entry.by}", *entry.photos]
        counts_no_more = f"{aside[entry.uid]}: " if entry.uid in aside else ""
        words = "; ".join(part for part in told if part)
        lead = f"{str(entry.uid)[:8]}  {show.day(entry.at, zone)}  "
        paragraph(f"{counts_no_more}{words}", " " * 10, lead)
    for year, used in used_by_year(seen.piece, seen.entries).items():
        if used.litres or used.cost:
            say(f"{year}: {format_volume(used.litres, units)}, cost {used.cost:.2f}")


def _print_care(seen: PieceSeen) -> None:
    from finplan.services.care import care_sheet

    for block in care_sheet(seen):
        heading(block.heading)
        for line in block.lines:
            paragraph(line, "  ", "- ")
