"""The care sheet: what whoever lives with a piece should know, in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.tracking.reminder import GOVERNS
from finplan.tracking.upkeep.pieces import DROPS_FIRST, check_in_use
from finplan.trade.errors import BadInput
from finplan.trade.moments import say_date
from finplan.trade.names import counted
from finplan.trade.upkeep import Exposure

if TYPE_CHECKING:
    from pathlib import Path

    from finplan.services.session import Session
    from finplan.services.upkeep import PieceSeen

CLEANING = (
    "Sweep or wipe off grit first; then mild soap in lukewarm water, a soft brush along the "
    "grain, and rinse. Dry it off. (common practice, no source)",
    "Grey wood or mildew outdoors: an oxygen bleach (sodium percarbonate) in water, kept wet for "
    "a quarter of an hour, then rinsed. (Forest Products Laboratory)",
)

NEVER = (
    "No pressure washer, no scouring, no steel wool: wood fibres tear and steel leaves rust. "
    "(Forest Products Laboratory, R. S. Williams; steel wool: common practice, no source)",
    "Never mix bleach with ammonia or anything that holds it: the gas is poisonous. "
    "(Forest Products Laboratory)",
    "No wax, polish or oil of another kind on top: the renewal coat may not hold. "
    "(common practice, no source)",
)


@dataclass(frozen=True, slots=True)
class CareBlock:
    """A heading and the lines below it."""

    heading: str
    lines: tuple[str, ...]


def write_care_sheet(session: Session, name: str, path: Path) -> bool:
    """Write a piece's care sheet as a PDF file, A4 or letter.

    Returns:
        False where the file held just that already.

    Raises:
        BadInput: no such piece, another ending, or the file cannot be written.
    """
    from finplan.prints.care_sheet import Sheet, sheet_pdf
    from finplan.services.card import paper_pt
    from finplan.services.reading import write_whole
    from finplan.services.upkeep import seen_piece

    if path.suffix.lower() != ".pdf":
        raise BadInput("a care sheet is a PDF: let its name end in .pdf", str(path))
    title, *blocks = care_sheet(seen_piece(session, name))
    *others, cautions = blocks
    width, height = paper_pt(session.units)
    sheet = Sheet(
        title=title.heading,
        blocks=(
            ("", title.lines),
            *((one.heading, one.lines) for one in others),
            (cautions.heading, ()),
        ),
        boxed=cautions.lines,
        foot=GOVERNS,
        width_pt=width,
        height_pt=height,
    )
    return write_whole(path, sheet_pdf(sheet))


def care_sheet(seen: PieceSeen) -> tuple[CareBlock, ...]:
    """Return the care sheet of a piece, block by block.

    Raises:
        BadInput: the piece is in use no more.
    """
    from finplan.library.load import cautions, upkeep_defaults

    piece = seen.piece
    check_in_use(piece, seen.entries)
    known = cautions()
    said = [known[key].text for key in seen.finish.cautions if key in known]
    lifted = (f"How it comes up: {piece.taken_up}.",) if piece.taken_up else ()
    under = ("Clear what has gathered under it while it is up.",) if piece.taken_up else ()
    coats = counted(piece.coats, "coat")
    first = () if piece.renew_rule else (f"{DROPS_FIRST[:1].upper()}{DROPS_FIRST[1:]}.",)
    call = [
        "Drops no longer bead, the wood greys, or bare spots show: do not wait for the date below.",
        "The surface stays sticky, flakes, or mildew comes back after cleaning.",
    ]
    if Exposure.WET_OR_TRODDEN in piece.exposures:
        call.append("It has become slippery, or a board moves underfoot: keep off it until then.")
    return (
        CareBlock(
            f"Care of {piece.title}, {piece.place}",
            (f"Finish: {seen.finish.title}, {coats}.", *lifted),
        ),
        CareBlock("Cleaning", (*CLEANING, *under)),
        CareBlock("Not to be used", NEVER),
        CareBlock("Testing the finish", (upkeep_defaults().water_test, *first)),
        CareBlock("Call when", tuple(call)),
        CareBlock(
            "What comes next",
            tuple(f"{one.work.value}: {say_date(one.on)}" for one in seen.outlook.coming),
        ),
        CareBlock("Cautions", tuple(said)),
    )
