"""The forms about a piece itself: put it into use, change it, keep days free of work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import fields
from functools import partial
from typing import TYPE_CHECKING, Any

from finplan.services.reading import is_file, path_written
from finplan.tracking.upkeep.pieces import Blocked, InstalledPiece
from finplan.trade.errors import BadInput
from finplan.trade.moments import MONTHS
from finplan.trade.names import shown
from finplan.trade.upkeep import Exposure, renewal_months
from finplan.tui.models.day_words import cycle_reader, days_reader, rule_text
from finplan.tui.models.forms import (
    Field,
    Form,
    Reader,
    Understood,
    day_reader,
    kept_while,
    needed_text,
    text_reader,
)
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.start import area_reader
from finplan.tui.models.times import local

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen
    from finplan.tui.shop_upkeep import PieceChoices

BOARD_MM = 20.0
"""Thickness offered for boards, as one that nobody measured has."""

STANDS = (
    ("weather", "in full weather"),
    ("covered", "outdoors, under a roof"),
    ("indoors", "indoors, dry"),
)
LIES = (("upright", "upright"), ("flat", "flat: rain and sun lie on it"))
BEARS = (("no", "neither"), ("yes", "wet daily, or walked on"))


def piece_form(
    told: Mapping[str, Any],
    choices: PieceChoices,
    now: dt.datetime,
    zone: str,
    measures: Measures,
    *,
    change: bool = False,
) -> Form:
    """Ask for all that is kept of a piece.

    Args:
        told: fields of the piece that are known: all of one to be changed, or some to offer.
        choices: the finishes there are.
        now: the present.
        zone: the time zone to offer.
        measures: the units asked for.
        change: the piece is installed already.
    """
    exposures: frozenset[Exposure] = told.get("exposures", frozenset())
    stands = "covered" if Exposure.COVERED in exposures else "weather"
    stands = "indoors" if Exposure.INDOORS in exposures else stands
    area = told.get("area_m2")
    shown_area = measures.area(area, 2) if area else ""
    read_area = partial(area_reader, measures=measures)
    thick = f"{measures.bare_length(told.get('thickness_mm', BOARD_MM))} {measures.length_unit}"
    read_thickness = partial(_thickness_reader, measures=measures)
    installed: dt.date | None = told.get("installed")
    zone = told.get("zone", zone)
    out = told.get("may_be_out_hours", 0.0)
    blocked: tuple[Blocked, ...] = told.get("blocked", ())
    fields = (
        Field("title", "What", told.get("title", ""), "Steps of the jetty", needed_text("name it")),
        Field("place", "Place", told.get("place", ""), "one place is one trip", _place_reader),
        Field(
            "finish", "Finish", told.get("finish", ""), "penetrating oil", _finish_reader(choices)
        ),
        Field("coats", "Coats", str(told.get("coats", 1)), "", _count_reader),
        Field(
            "area_m2",
            "Area",
            shown_area,
            "2.4 m2 · 26 sq ft",
            kept_while(shown_area, area, read_area) if area else read_area,
        ),
        Field(
            "installed",
            "In use",
            installed.isoformat() if installed else "today",
            "the day its finish was new",
            day_reader(now, zone, latest=local(now, zone).date()),
        ),
        Field("stands", "It stands", stands, choices=STANDS),
        Field("lies", "It lies", "flat" if Exposure.FLAT in exposures else "upright", choices=LIES),
        Field(
            "bears",
            "It gets",
            "yes" if Exposure.WET_OR_TRODDEN in exposures else "no",
            choices=BEARS,
        ),
        Field("wood", "Wood", told.get("wood", ""), "larch · empty: not known", text_reader(80)),
        Field(
            "thickness_mm",
            "Boards",
            thick,
            "20 mm · 3/4 in",
            kept_while(thick, told["thickness_mm"], read_thickness) if change else read_thickness,
        ),
        Field("taken_up", "Taken up", told.get("taken_up", ""), "four screws", text_reader()),
        Field(
            "may_be_out_hours",
            "Downtime",
            f"{out:g} h" if out else "",
            "at most: 3 d",
            _out_reader,
        ),
        Field("season", "Season", _season_text(told.get("season", ())), "apr-sep", _season_reader),
        Field("days", "Days", rule_text(told.get("days", "")), "sat · last fri", days_reader),
        Field(
            "blocked",
            "No work",
            _blocked_text(blocked),
            "2027-07-01..2027-07-14",
            _blocked_reader(blocked),
        ),
        _cycle("renew_rule", "Renew", told, "as looks tell"),
        _cycle("inspect_rule", "Look", told, "as the finish lasts"),
        _cycle("clean_rule", "Clean", told, "as the finish lasts"),
        Field("workshop", "Workshop", told.get("workshop", ""), "its hours; empty: the only one"),
        Field("space", "Room", told.get("space", ""), "its air; empty: the first"),
        Field("zone", "Time zone", zone, "Europe/Oslo", _zone_reader),
    )
    title = f"Change: {tidy(told['title'], 50)}" if change else "Install a piece"
    about = "‹ ›: pick with the left and right arrows. All can be changed later."
    return Form(
        f"piece:{told['name']}" if change else f"install:{told.get('from', '')}",
        title,
        fields,
        "Change" if change else "Install",
        (line((about, Role.QUIET)),),
        check=partial(_check_interval, choices),
    )


def said_of(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a piece that a filled form tells."""
    said = {key: value for key, value in values.items() if key not in ("stands", "lies", "bears")}
    return said | {"exposures": _exposures(values)}


def _exposures(values: Mapping[str, Any]) -> frozenset[Exposure]:
    kinds = {
        Exposure.COVERED: values["stands"] == "covered",
        Exposure.INDOORS: values["stands"] == "indoors",
        Exposure.FLAT: values["lies"] == "flat",
        Exposure.WET_OR_TRODDEN: values["bears"] == "yes",
    }
    return frozenset(kind for kind, holds in kinds.items() if holds)


def _check_interval(choices: PieceChoices, values: Mapping[str, Any]) -> None:
    finish = choices.finishes[values["finish"]]
    known = renewal_months(finish, _exposures(values), choices.defaults)
    if known is None and not values["renew_rule"]:
        raise BadInput(
            f"nothing is known of how long {finish.name} lasts there: fill in Renew, e.g. yearly, "
            "or check where it stands"
        )


def block_form(seen: PieceSeen, now: dt.datetime, others: int) -> Form:
    """Ask for days on which nothing may be done, for one piece or all of its place."""
    piece = seen.piece
    read = day_reader(now, piece.zone, needed=False)
    scope = [("piece", "this piece")]
    if others:
        scope.append(("place", f"all {others + 1} at {tidy(piece.place, 24)}"))
    fields = (
        Field("first", "From", "", "2027-07-01 · fri", read),
        Field("last", "To", "", "2027-07-14 · empty: one day", read),
        Field("why", "Why", "", "guests, holidays", text_reader(80)),
        Field("for", "For", scope[-1][0], choices=tuple(scope)),
        Field("calendar", "Calendar", "", "file.ics: its busy days too", _file_reader),
    )
    about = "No upkeep is planned on these days; all are in its form, which e opens."
    return Form(
        f"block:{piece.name}",
        f"No work on: {tidy(piece.title, 40)}",
        fields,
        "Keep free",
        (line((about, Role.QUIET)),),
        check=_check_stretch,
    )


def stretch_of(values: Mapping[str, Any]) -> Blocked | None:
    """Return the days a filled form names, None where only a calendar file tells them."""
    first = values["first"]
    return Blocked(first, values["last"] or first, values["why"]) if first else None


def _check_stretch(values: Mapping[str, Any]) -> None:
    first, last = values["first"], values["last"]
    if first is None and values["calendar"] is None:
        raise BadInput("name the first day, or a calendar file")
    if first and last and last < first:
        raise BadInput("the days end before they begin: turn them round")


def _finish_reader(choices: PieceChoices) -> Reader:
    def read(text: str) -> Understood:
        from finplan.library.load import find_finish

        if not text.strip():
            raise BadInput("no finish named: write one, e.g. penetrating oil; 7 lists them")
        finish = find_finish(text, choices.finishes)
        return finish.name, f"= {finish.title}"

    return read


_place_reader = needed_text("say where it is")


def _count_reader(text: str) -> Understood:
    if not text.strip().isdecimal() or not 1 <= int(text) <= 50:
        raise BadInput("write how many coats it has, 1 to 50")
    return int(text), ""


def _thickness_reader(text: str, measures: Measures) -> Understood:
    from finplan.trade.quantities import parse_length

    thick_mm = parse_length(text, "", measures.length_unit)
    return thick_mm, f"= {measures.bare_length(thick_mm)} {measures.length_unit}"


def _out_reader(text: str) -> Understood:
    from finplan.trade.quantities import parse_duration

    if not text.strip():
        return 0.0, "any time"
    hours = parse_duration(text, "", "h")
    return hours, f"= at most {hours / 24:.1f} days"


def _season_text(months: Sequence[int]) -> str:
    """Return a season as one would type it: ``apr-oct``, over the new year ``oct-mar``."""
    if not months or len(months) == 12:
        return ""
    chosen = set(months)
    firsts = [month for month in months if (month - 2) % 12 + 1 not in chosen]
    parts = []
    for first in firsts:
        last = first
        while last % 12 + 1 in chosen:
            last = last % 12 + 1
        names = [MONTHS[month - 1].lower() for month in dict.fromkeys((first, last))]
        parts.append("-".join(names))
    return ",".join(parts)


def _season_reader(text: str) -> Understood:
    from finplan.services.installing import months_of

    if not text.strip():
        return (), "any month"
    months = months_of(text)
    return months, f"= {' '.join(MONTHS[month - 1] for month in months)}"


def _blocked_text(blocked: Sequence[Blocked]) -> str:
    return ", ".join(f"{one.first}..{one.last}" for one in blocked)


def _blocked_reader(there: Sequence[Blocked]) -> Reader:
    known = {(one.first, one.last): one for one in there}

    def read(text: str) -> Understood:
        from finplan.services.installing import blocked_of

        told = blocked_of(part for part in text.split(",") if part.strip())
        if any(one.last < one.first for one in told):
            raise BadInput("days end before they begin: turn them round")
        kept = tuple(known.get((one.first, one.last), one) for one in told)
        return kept, f"{len(kept)} stretches" if len(kept) != 1 else "1 stretch"

    return read


def _cycle(key: str, label: str, told: Mapping[str, Any], usual: str) -> Field:
    return Field(
        key, label, rule_text(told.get(key, "")), "every 6 months · yearly", cycle_reader(usual)
    )


def _zone_reader(text: str) -> Understood:
    from finplan.trade.moments import find_zone

    return find_zone(text.strip()).key, ""


def _file_reader(text: str) -> Understood:
    if not text.strip():
        return None, ""
    path = path_written(text)
    if not is_file(path):
        raise BadInput(f"there is no file {shown(str(path), 60)}: write the path of an .ics file")
    return path, f"= {path.name}"


def fields_of(piece: InstalledPiece) -> dict[str, Any]:
    """Return a piece's fields by name, to fill its form."""
    return {one.name: getattr(piece, one.name) for one in fields(piece)}
