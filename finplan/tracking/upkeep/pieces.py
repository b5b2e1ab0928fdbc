"""An installed piece, and the entries of its upkeep."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from dataclasses import dataclass
from enum import StrEnum

from finplan.trade.day_rules import check_rule
from finplan.trade.errors import BadInput
from finplan.trade.moments import check_year, find_zone, say_date
from finplan.trade.names import clean_note, clean_text, legal_project_name
from finplan.trade.upkeep import Exposure

LARGEST_AREA_M2 = 10_000.0

MOST_PHOTOS = 50
"""Photographs one entry may name; our own choice."""

DROPS_FIRST = (
    "before a renewal test with drops of water: where they bead, record that and leave the coat, "
    "and its day moves"
)
"""What keeps a coat that still holds from being covered."""


@dataclass(frozen=True, slots=True)
class Blocked:
    """Days, both ends included, on which nothing may be done, such as guests or holidays."""

    first: dt.date
    last: dt.date
    why: str = ""


@dataclass(frozen=True, slots=True)
class InstalledPiece:
    """A piece in use.

    ``installed``: the local day it went into use, its finish new. ``taken_up``: how it is lifted
    or reached for work. ``may_be_out_hours``: how long it may be out of use at a time, 0 where
    that does not matter. ``season``: the months (1 to 12) work on it is wished in, none means all.
    ``days``: RFC 5545 rule of the days work is wished on, '' means any. ``renew_rule``,
    ``inspect_rule``, ``clean_rule``: RFC 5545 rules counted from the day last done, '' where the
    interval follows what the finish is known to bear and what inspections find. ``wood`` and
    ``thickness_mm`` say how quickly it dries after water, ``workshop`` and ``space`` whose hours
    and which air its renewal has; '' for the only workshop and its first space.
    """

    name: str
    title: str
    place: str
    zone: str
    finish: str
    area_m2: float
    installed: dt.date
    uid: uuid.UUID
    exposures: frozenset[Exposure] = frozenset()
    coats: int = 1
    taken_up: str = ""
    may_be_out_hours: float = 0.0
    season: tuple[int, ...] = ()
    days: str = ""
    blocked: tuple[Blocked, ...] = ()
    renew_rule: str = ""
    inspect_rule: str = ""
    clean_rule: str = ""
    invented: bool = False
    wood: str = ""
    thickness_mm: float = 20.0
    workshop: str = ""
    space: str = ""


class Finding(StrEnum):
    """What an inspection finds; the first three are the answers of the test with drops."""

    BEADS = "beads"
    SLOW = "slow"
    SOAKS_IN = "soaks in"
    GREYING = "greying"
    BARE = "bare spots"
    MILDEW = "mildew"
    STICKY = "sticky film"


class Work(StrEnum):
    """What is due on a piece."""

    INSPECTION = "inspection"
    CLEANING = "cleaning"
    RENEWAL = "renewal"


class UpkeepKind(StrEnum):
    """What an entry of the upkeep log tells."""

    INSPECTED = "inspected"
    CLEANED = "cleaned"
    RENEWED = "renewed"
    REFINISHED = "refinished"
    GONE = "taken out of use"
    UNDONE = "undone"


UNDONE, CORRECTED = "undone", "corrected"
"""Why an entry counts no more."""

NEW_FINISH = frozenset({UpkeepKind.RENEWED, UpkeepKind.REFINISHED})
"""Kinds after which the finish is new."""


@dataclass(frozen=True, slots=True)
class UpkeepEntry:
    """One line of a piece's log, which never changes.

    ``piece``: its name. ``at``: when it was done, ``recorded_at``: when it was written, both UTC.
    ``litres`` and ``cost`` (in the user's money): used up. ``photos``: paths as given.
    ``about``: the entry that no longer counts, undone or corrected by this one. ``renewal``: the
    project whose end wrote it.
    """

    uid: uuid.UUID
    piece: str
    kind: UpkeepKind
    at: dt.datetime
    recorded_at: dt.datetime
    by: str = ""
    findings: tuple[Finding, ...] = ()
    litres: float | None = None
    cost: float | None = None
    photos: tuple[str, ...] = ()
    note: str = ""
    about: uuid.UUID | None = None
    renewal: uuid.UUID | None = None


def check_piece(piece: InstalledPiece) -> None:
    """Refuse a piece that cannot be kept up.

    Raises:
        BadInput: names the field and what to do.
    """
    legal_project_name(piece.name, "piece name")
    where = f"piece {piece.name!r}"
    clean_text(piece.title, f"{where}, title")
    clean_text(piece.place, f"{where}, place")
    if piece.wood:
        clean_text(piece.wood, f"{where}, wood")
    clean_note(piece.taken_up, f"{where}, taken up")
    find_zone(piece.zone, f"{where}, zone")
    if not 0.0 < piece.area_m2 <= LARGEST_AREA_M2:
        raise BadInput(
            f"an area of {piece.area_m2:g} m² is not possible: give more than 0 and at most "
            f"{LARGEST_AREA_M2:g}",
            where,
        )
    if not 1.0 <= piece.thickness_mm <= 500.0:
        raise BadInput(
            f"a thickness of {piece.thickness_mm:g} mm is not possible: give 1 to 500", where
        )
    if not 1 <= piece.coats <= 50:
        raise BadInput(f"{piece.coats} coats are not possible: give 1 to 50", where)
    if not 0.0 <= piece.may_be_out_hours <= 8760.0:
        raise BadInput("the time out of use is below 0 or above a year: give hours", where)
    if any(not 1 <= month <= 12 for month in piece.season):
        raise BadInput("the season has a month outside 1 to 12", where)
    if Exposure.INDOORS in piece.exposures and Exposure.COVERED in piece.exposures:
        raise BadInput("it stands indoors or under a roof outdoors: give one of both", where)
    _check_days(piece, where)


def check_endless_rule(rule: str, where: str = "") -> None:
    """Refuse a rule for the days of a piece that cannot be read, or that ends.

    Raises:
        BadInput: says what is wrong with it.
    """
    check_rule(rule, where)
    if re.search(r"COUNT|UNTIL", rule, re.IGNORECASE):
        raise BadInput("these days come again without end: leave COUNT and UNTIL out", where)


def _check_days(piece: InstalledPiece, where: str) -> None:
    for field in ("days", "renew_rule", "inspect_rule", "clean_rule"):
        rule = getattr(piece, field)
        if rule:
            check_endless_rule(rule, f"{where}, {field}")
    check_year(piece.installed.year, f"{where}, installed")
    for stretch in piece.blocked:
        for day in (stretch.first, stretch.last):
            check_year(day.year, f"{where}, blocked days")
        if stretch.last < stretch.first:
            raise BadInput(
                f"the blocked days end ({say_date(stretch.last)}) before they begin "
                f"({say_date(stretch.first)}): "
                "turn them round",
                where,
            )


def check_entry(entry: UpkeepEntry, piece: InstalledPiece, now: dt.datetime) -> None:
    """Refuse an entry that cannot be so.

    Raises:
        BadInput: in the future, before the piece was installed, or with impossible amounts.
    """
    where = f"upkeep of {piece.name!r}"
    if entry.at > now:
        raise BadInput("this lies ahead: record what has been done, with --at", where)
    if entry.at.astimezone(find_zone(piece.zone)).date() < piece.installed:
        raise BadInput(
            f"this lies before the day it was installed ({say_date(piece.installed)}): check --at",
            where,
        )
    if entry.kind is UpkeepKind.INSPECTED and not entry.findings:
        raise BadInput(f"say what was found: {', '.join(Finding)}", where)
    water = {Finding.BEADS, Finding.SLOW, Finding.SOAKS_IN} & set(entry.findings)
    if len(water) > 1:
        raise BadInput("the drops did one thing only: give beads, slow or soaks in", where)
    for amount, unit in ((entry.litres, "litres"), (entry.cost, "cost")):
        if amount is not None and not 0.0 <= amount <= 1e6:
            raise BadInput(f"{unit} of {amount:g} are not possible: give 0 or more", where)
    if len(entry.photos) > MOST_PHOTOS:
        raise BadInput(f"keep {MOST_PHOTOS} photographs at most with one entry", where)
    clean_note(entry.note, f"{where}, note")


def taken_out(entries: tuple[UpkeepEntry, ...]) -> UpkeepEntry | None:
    """Return the entry by which a piece is in use no more, None while it is in use.

    Args:
        entries: its whole log in the order it was written.
    """
    return next((one for one in standing(entries) if one.kind is UpkeepKind.GONE), None)


def check_in_use(piece: InstalledPiece, entries: tuple[UpkeepEntry, ...]) -> None:
    """Refuse work on a piece that is in use no more.

    Raises:
        BadInput: it was taken out of use; says how to put it back.
    """
    gone = taken_out(entries)
    if gone is not None:
        day = say_date(gone.at.astimezone(find_zone(piece.zone)).date())
        raise BadInput(
            f"it was taken out of use on {day}: `finplan upkeep {piece.name} --undo "
            f"{str(gone.uid)[:8]}` puts it back",
            f"piece {piece.name!r}",
        )


def standing(entries: tuple[UpkeepEntry, ...]) -> tuple[UpkeepEntry, ...]:
    """Return the entries that count, in the order things were done.

    Args:
        entries: a piece's log in the order it was written.
    """
    kept = [entry for entry in _in_force(entries) if entry.kind is not UpkeepKind.UNDONE]
    return tuple(sorted(kept, key=lambda entry: (entry.at, entry.recorded_at)))


def to_redo(entries: tuple[UpkeepEntry, ...]) -> UpkeepEntry | None:
    """Return the ``undone`` that may be taken back: the last, unless something was told since."""
    kinds = {entry.uid: entry.kind for entry in entries}
    for entry in reversed(_in_force(entries)):
        if entry.kind is not UpkeepKind.UNDONE:
            return None
        if entry.about is not None and kinds.get(entry.about) is not UpkeepKind.UNDONE:
            return entry
    return None


def set_aside(entries: tuple[UpkeepEntry, ...]) -> dict[uuid.UUID, str]:
    """Return the entries that count no more, each with ``undone`` or ``corrected``.

    What was corrected stays out when the correction is corrected too, and comes back when that
    is undone.
    """
    aside: dict[uuid.UUID, str] = {}
    for entry in reversed(entries):
        if entry.about is not None and aside.get(entry.uid) != UNDONE:
            aside.setdefault(entry.about, UNDONE if entry.kind is UpkeepKind.UNDONE else CORRECTED)
    return aside


def _in_force(entries: tuple[UpkeepEntry, ...]) -> list[UpkeepEntry]:
    """Return the entries that are neither undone nor corrected, in the order written."""
    aside = set_aside(entries)
    return [entry for entry in entries if entry.uid not in aside]


def calendar_name(piece: str) -> str:
    """Return what calendars know a piece's upkeep by; no project can be called so."""
    return f"upkeep/{piece}"
