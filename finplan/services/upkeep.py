"""Upkeep: install a piece, record what was found and done, and say when it is due again."""

from __future__ import annotations

import datetime as dt
import difflib
import uuid
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.services.air import space_named
from finplan.services.gather import all_finishes
from finplan.tracking.upkeep.pieces import (
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
    check_entry,
    check_in_use,
    check_piece,
    standing,
    taken_out,
)
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish, Stage
from finplan.trade.moments import find_zone, say_date
from finplan.trade.names import shown
from finplan.trade.numbers import COMMON_PRACTICE, Number, Span
from finplan.trade.upkeep import Exposure, UpkeepDefaults, renewal_months

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.store.store import Unit
    from finplan.tracking.upkeep.cycle import Outlook
    from finplan.tracking.upkeep.together import Taught
    from finplan.tracking.upkeep.totals import Told
    from finplan.tracking.upkeep.years import Effort, Visit, YearSum
    from finplan.trade.woods import Wood

WORK_HOURS = Number(2.0, "assumption: lift, clean, sand lightly and put back")
WORK_HOURS_PER_M2 = Number(0.5, "assumption: sanding lightly and coating by hand")

FIXED_CYCLE = Span(12.0, 12.0, COMMON_PRACTICE)
"""Stands in where a person fixed the cycle and nothing else is known."""


LIKE_A_KNOWN_WOOD = 0.8
"""How like a known wood's name another is that must be a slip, of 1; our own choice."""


@dataclass(frozen=True, slots=True)
class PieceSeen:
    """A piece with its log, what comes next, and what one renewal takes."""

    outlook: Outlook
    entries: tuple[UpkeepEntry, ...]
    effort: Effort
    finish: Finish

    @property
    def piece(self) -> InstalledPiece:
        """The piece."""
        return self.outlook.piece

    @property
    def gone(self) -> UpkeepEntry | None:
        """The entry by which it is in use no more, None while it is in use."""
        return taken_out(self.entries)

    @property
    def wood(self) -> Wood | None:
        """What is known of its wood, None where nothing is."""
        return wood_of(self.piece)


@dataclass(frozen=True, slots=True)
class YearsAhead:
    """The visits of the years to come, each year's sums, and the pieces in use no more."""

    pieces: tuple[PieceSeen, ...]
    visits: tuple[Visit, ...]
    sums: tuple[YearSum, ...]
    gone: tuple[PieceSeen, ...] = ()


def install(
    session: Session,
    make: Callable[[InstalledPiece | None], InstalledPiece],
    name: str,
    version: int | None = None,
) -> InstalledPiece:
    """Keep a piece, new or changed.

    Args:
        session: the open session.
        make: returns the piece to keep, given the one of this name that is there, None if new.
        name: its name.
        version: the one it was read at, None where it was not read before.

    Raises:
        BadInput: the piece cannot be kept up; nothing is kept then.
        StaleWrite: somebody else changed it since it was read.
    """
    with session.store.unit() as unit:
        there = unit.pieces.find(name)
        if there is not None:
            check_in_use(there, unit.upkeep.of(there))
        piece = make(there)
        check_piece(piece)
        if piece.installed > session.now.astimezone(find_zone(piece.zone)).date():
            raise BadInput(
                f"{say_date(piece.installed)} lies ahead: give the day it went into use",
                "--installed",
            )
        _months(piece, _finish(unit, piece))
        if there is None or there.wood != piece.wood:
            _refuse_misspelt(piece)
        check_place_of_work(unit, piece)
        unit.pieces.put(piece, version)
        unit.commit()
    return piece


def _refuse_misspelt(piece: InstalledPiece) -> None:
    """Refuse a wood that is nearly the name of a known one; any other may be named freely."""
    from finplan.library.load import woods

    if not piece.wood or wood_of(piece) is not None:
        return
    names = [name for wood in woods().values() for name in (wood.name, *wood.also)]
    near = difflib.get_close_matches(piece.wood.lower(), names, n=3, cutoff=LIKE_A_KNOWN_WOOD)
    if near:
        raise BadInput(
            f"no wood is called {shown(piece.wood)}: is it {' or '.join(near)}? A wood that is "
            "not in the library counts as one that dries slowly",
            "--wood",
        )


def check_place_of_work(unit: Unit, piece: InstalledPiece) -> None:
    """Refuse a piece that is worked on in a workshop or space that is not there."""
    if piece.workshop:
        shop = unit.workshops.get(piece.workshop)
        space_named(shop, piece.space or shop.spaces[0].name)


def record_upkeep(session: Session, name: str, draft: UpkeepEntry) -> PieceSeen:
    """Append an entry to a piece's log and return the piece as it is seen then.

    Args:
        session: the open session.
        name: the piece.
        draft: the entry.

    Raises:
        BadInput: there is no such piece, or the entry cannot be so; nothing is kept then.
    """
    with session.store.unit() as unit:
        piece = unit.pieces.get(name)
        check_in_use(piece, unit.upkeep.of(piece))
        check_entry(draft, piece, session.now)
        unit.upkeep.append(piece, draft)
        unit.commit()
    return seen_piece(session, name)


def undo_upkeep(session: Session, name: str, text: str, by: str = "") -> UpkeepEntry:
    """Let an entry count no more; it stays in the log. ``text``: first letters of its uid.

    Raises:
        BadInput: none or several entries that count fit; ``last`` means the last one written.
    """
    with session.store.unit() as unit:
        piece = unit.pieces.get(name)
        counting = standing(unit.upkeep.of(piece))
        wanted = text.strip().lower()
        if wanted == "last":
            found = sorted(counting, key=lambda entry: entry.recorded_at)[-1:]
        else:
            found = [e for e in counting if wanted and str(e.uid).startswith(wanted)]
        if len(found) != 1:
            fault = "fits several entries" if found else "is no entry that counts"
            raise BadInput(f"{text[:40]!r} {fault}; `finplan upkeep {name}` lists them", name)
        now = session.now
        unit.upkeep.append(
            piece,
            UpkeepEntry(uuid.uuid4(), name, UpkeepKind.UNDONE, now, now, by=by, about=found[0].uid),
        )
        unit.commit()
    return found[0]


def seen_piece(session: Session, name: str) -> PieceSeen:
    """Return one piece as it is seen now.

    Raises:
        BadInput: there is none of this name; the nearest is offered.
    """
    with session.store.unit(writes=False) as unit:
        piece = unit.pieces.get(name)
        finish, kind = _finish(unit, piece), _kind(piece)
        logs = [(one, unit.upkeep.of(one)) for one in unit.pieces.list() if _kind(one) == kind]
    entries = next(log for one, log in logs if one.uid == piece.uid)
    return _seen(session, piece, entries, finish, _taught(logs, _months(piece, finish)))


def seen_pieces(session: Session) -> tuple[PieceSeen, ...]:
    """Return the pieces in use as they are seen now, by name."""
    return tuple(one for one in every_piece(session) if one.gone is None)


def every_piece(session: Session) -> tuple[PieceSeen, ...]:
    """Return all pieces as they are seen now, in use or no more, by name."""
    with session.store.unit(writes=False) as unit:
        pieces = unit.pieces.list()
        if not pieces:
            return ()
        logs, known = unit.upkeep.all(), all_finishes(unit)
    told = [(piece, logs.get(str(piece.uid), ())) for piece in pieces]
    kinds: dict[_Kind, list[Told]] = defaultdict(list)
    for one in told:
        kinds[_kind(one[0])].append(one)
    finishes = {piece.name: _named(known, piece) for piece in pieces}
    taught = {
        kind: _taught(some, _months(some[0][0], finishes[some[0][0].name]))
        for kind, some in kinds.items()
    }
    return tuple(
        _seen(session, piece, entries, finishes[piece.name], taught[_kind(piece)])
        for piece, entries in told
    )


def years_ahead(session: Session, years: int, piece: str = "") -> YearsAhead:
    """Return every visit of so many years over all pieces.

    Args:
        session: the open session.
        years: how many.
        piece: tell of this one alone; its visits still join the trips to the others.

    Raises:
        BadInput: fewer than 1 or more than 30 years.
    """
    from finplan.tracking.upkeep.years import by_year, visits

    if not 1 <= years <= 30:
        raise BadInput(f"{years} years are not possible: give 1 to 30", "--years")
    every = every_piece(session)
    seen = tuple(one for one in every if one.gone is None)
    gone = tuple(one for one in every if one.gone is not None)
    until = session.now.date() + dt.timedelta(days=round(365.2425 * years))
    efforts = {one.piece.name: one.effort for one in seen}
    found = visits([one.outlook for one in seen], efforts, _defaults(), until)
    if piece:
        seen, gone = (
            tuple(one for one in some if one.piece.name == piece) for some in (seen, gone)
        )
        found = tuple(visit for visit in found if visit.piece == piece)
    return YearsAhead(seen, found, by_year(found), gone)


_Kind = tuple[str, frozenset[Exposure], bool]
"""Pieces of a kind teach each other: finish and exposures, and whether the cycle is fixed."""


def _kind(piece: InstalledPiece) -> _Kind:
    return piece.finish, piece.exposures, bool(piece.renew_rule)


def _taught(logs: Sequence[Told], months: Span) -> Taught:
    """Return what the pieces of a kind teach, in use or no more."""
    from finplan.tracking.upkeep.cycle import coat_bounds
    from finplan.tracking.upkeep.together import teach

    return teach(months, [coat_bounds(piece, entries) for piece, entries in logs])


def _seen(
    session: Session,
    piece: InstalledPiece,
    entries: tuple[UpkeepEntry, ...],
    finish: Finish,
    taught: Taught,
) -> PieceSeen:
    from finplan.tracking.upkeep.cycle import outlook

    looked = outlook(piece, entries, _months(piece, finish), _defaults(), session.now, taught)
    return PieceSeen(looked, entries, _effort(piece, finish), finish)


def _effort(piece: InstalledPiece, finish: Finish) -> Effort:
    """Return what one renewal coat takes, at 23 °C and 50 % in the drying."""
    from finplan.tracking.upkeep.wood_dry import usual_dry_hours
    from finplan.tracking.upkeep.years import Effort

    litres = piece.area_m2 / finish.spread_later_m2_per_l.middle
    cost = None if finish.price_per_l is None else litres * finish.price_per_l
    before = usual_dry_hours(piece, wood_of(piece), finish)
    work = WORK_HOURS.value + WORK_HOURS_PER_M2.value * piece.area_m2
    return Effort(litres, cost, before + work + finish.stages[Stage.DRY_THROUGH].high)


def wood_of(piece: InstalledPiece) -> Wood | None:
    """Return what the library knows of a piece's wood, None where nothing."""
    from finplan.library.load import woods
    from finplan.trade.woods import find_wood

    return find_wood(piece.wood, woods())


def _months(piece: InstalledPiece, finish: Finish) -> Span:
    months = renewal_months(finish, piece.exposures, _defaults())
    if months is not None:
        return months
    if piece.renew_rule:
        return FIXED_CYCLE
    raise BadInput(
        f"nothing is known of how long {finish.name} lasts there: give the cycle yourself, e.g. "
        "--renew FREQ=YEARLY, or another --exposed",
        f"piece {piece.name!r}",
    )


def _finish(unit: Unit, piece: InstalledPiece) -> Finish:
    return _named(all_finishes(unit), piece)


def _named(known: dict[str, Finish], piece: InstalledPiece) -> Finish:
    from finplan.library.load import find_finish

    return find_finish(piece.finish, known, f"piece {piece.name!r}")


def _defaults() -> UpkeepDefaults:
    from finplan.library.load import upkeep_defaults

    return upkeep_defaults()
