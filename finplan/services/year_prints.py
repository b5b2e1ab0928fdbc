"""Pictures of the years of upkeep and of litres, written to files."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

from finplan.services.materials import materials
from finplan.services.reading import write_whole
from finplan.services.upkeep import years_ahead
from finplan.services.when import system_zone
from finplan.tracking.upkeep.pieces import standing
from finplan.tracking.upkeep.totals import YearTotals, year_totals
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, say_date

if TYPE_CHECKING:
    import datetime as dt

    from finplan.services.session import Session
    from finplan.services.upkeep import YearsAhead


def write_upkeep_chart(session: Session, years: int, path: Path) -> bool:
    """Draw the upkeep of this year and the next ``years`` into an SVG or PNG file.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: nothing is installed, too many pieces or years, or the file cannot be written.
    """
    from finplan.prints.figures import kind_of
    from finplan.prints.upkeep_chart import PieceYears, UpkeepPicture, upkeep_chart

    kind, today = kind_of(path.name), _today(session)
    ahead = _ahead(session, years)
    last = today.year + years
    pieces = [
        PieceYears(
            f"{seen.piece.title}, {seen.piece.place}",
            [
                (entry.at.astimezone(find_zone(seen.piece.zone)).date(), entry.kind)
                for entry in standing(seen.entries)
            ],
            [
                (visit.on, visit.work)
                for visit in ahead.visits
                if visit.piece == seen.piece.name and visit.on.year <= last
            ],
        )
        for seen in ahead.pieces
    ]
    totals = _totals(ahead, today.year, years)
    return write_whole(path, upkeep_chart(UpkeepPicture(pieces, totals, today), kind))


def write_upkeep_litres(session: Session, years: int, path: Path) -> bool:
    """Draw the litres of upkeep, year by year, into an SVG or PNG file.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: nothing is installed, too many years, or the file cannot be written.
    """
    from finplan.prints.figures import kind_of
    from finplan.prints.litres_chart import LitresBar, LitresPicture, litres_chart

    kind, today = kind_of(path.name), _today(session)
    totals = _totals(_ahead(session, years), today.year, years)
    bars = [LitresBar(str(one.year), one.used_l, one.coming_l) for one in totals]
    under = f"Used up, and to come as it looks on {say_date(today)}."
    picture = LitresPicture("Finish for upkeep", bars, under, session.units)
    return write_whole(path, litres_chart(picture, kind))


def write_coat_litres(session: Session, projects: Collection[str], path: Path) -> bool:
    """Draw the litres of projects, coat by coat, into an SVG or PNG file.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: an unknown project or ending, or the file cannot be written.
    """
    from finplan.prints.figures import kind_of
    from finplan.prints.litres_chart import LitresBar, LitresPicture, litres_chart

    kind, bars, titles = kind_of(path.name), [], []
    for name in projects:
        need = materials(session, name)
        titles.append(need.project.title)
        lead = f"{name}\n" if len(projects) > 1 else ""
        coats = sorted({coat.coat for one in need.finishes for coat in one.coats})
        for number in coats:
            litres = {
                one.finish.title: coat.litres
                for one in need.finishes
                for coat in one.coats
                if coat.coat == number
            }
            label = f"coat {number}" if number else "seal"
            bars.append(LitresBar(f"{lead}{label}", coming_l=litres))
    under = "Likely need of each coat on all pieces, without waste."
    picture = LitresPicture(f"Finish for {', '.join(titles)}", bars, under, session.units)
    return write_whole(path, litres_chart(picture, kind))


def _ahead(session: Session, years: int) -> YearsAhead:
    if not 1 <= years <= 20:
        raise BadInput(f"{years} years are not possible: give 1 to 20", "--years")
    ahead = years_ahead(session, years + 1)
    if not ahead.pieces:
        raise BadInput("nothing is installed yet: see `finplan install --help`", "chart")
    return ahead


def _totals(ahead: YearsAhead, this_year: int, years: int) -> tuple[YearTotals, ...]:
    told = [(seen.piece, seen.entries) for seen in (*ahead.pieces, *ahead.gone)]
    return year_totals(told, ahead.visits, this_year, years)


def _today(session: Session) -> dt.date:
    return session.now.astimezone(find_zone(session.zone or system_zone())).date()
