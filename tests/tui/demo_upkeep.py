"""Pieces in use around the invented workshop, with two invented years of history."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import replace

from finplan.library.load import upkeep_defaults
from finplan.services.upkeep import PieceSeen, YearsAhead
from finplan.tracking.upkeep.cycle import outlook
from finplan.tracking.upkeep.pieces import (
    Blocked,
    Finding,
    InstalledPiece,
    UpkeepEntry,
    UpkeepKind,
)
from finplan.tracking.upkeep.window import Window
from finplan.tracking.upkeep.years import Effort, by_year, visits
from finplan.trade.finishes import Finish
from finplan.trade.numbers import Span
from finplan.trade.upkeep import Exposure
from finplan.tui.models.cared import Care, care_of
from tests.tui.demo_trade import NOW, OIL, VARNISH, ZONE

STEPS = InstalledPiece(
    name="jetty_steps",
    title="Steps of the jetty",
    place="Lake house",
    zone=ZONE,
    finish=OIL.name,
    area_m2=2.4,
    installed=dt.date(2024, 5, 4),
    uid=uuid.UUID(int=70),
    exposures=frozenset({Exposure.FLAT}),
    coats=3,
    taken_up="four screws from below",
    may_be_out_hours=96.0,
    season=(4, 5, 6, 7, 8, 9),
    blocked=(Blocked(dt.date(2027, 7, 1), dt.date(2027, 7, 14), "guests"),),
    invented=True,
)
SILL = InstalledPiece(
    name="oak_sill",
    title="Oak window sill",
    place="Town flat",
    zone=ZONE,
    finish=VARNISH.name,
    area_m2=0.6,
    installed=dt.date(2024, 9, 10),
    uid=uuid.UUID(int=71),
    coats=4,
    invented=True,
)
TABLE = replace(
    STEPS,
    name="garden_table",
    title="Garden table",
    area_m2=1.9,
    installed=dt.date(2025, 4, 12),
    uid=uuid.UUID(int=72),
    taken_up="",
    blocked=(),
)


def told(number: int, piece: InstalledPiece, kind: UpkeepKind, day: str, **more) -> UpkeepEntry:
    """An entry written on the day it tells of."""
    at = dt.datetime.combine(dt.date.fromisoformat(day), dt.time(10), dt.UTC)
    return UpkeepEntry(uuid.UUID(int=number), piece.name, kind, at, at, by="Ane", **more)


def looked(number: int, piece: InstalledPiece, day: str, *findings: Finding, **more) -> UpkeepEntry:
    """An inspection."""
    return told(number, piece, UpkeepKind.INSPECTED, day, findings=findings, **more)


def renewed(number: int, piece: InstalledPiece, day: str, litres: float, cost: float):
    """A renewal coat."""
    return told(number, piece, UpkeepKind.RENEWED, day, litres=litres, cost=cost)


LOGS: dict[str, tuple[UpkeepEntry, ...]] = {
    STEPS.name: (
        looked(701, STEPS, "2024-10-05", Finding.BEADS),
        looked(702, STEPS, "2025-04-20", Finding.SLOW, Finding.GREYING),
        renewed(703, STEPS, "2025-05-03", 0.18, 14.0),
        looked(704, STEPS, "2025-10-04", Finding.BEADS),
        renewed(705, STEPS, "2026-05-09", 0.16, 12.5),
        looked(706, STEPS, "2026-09-26", Finding.SLOW, Finding.MILDEW),
    ),
    SILL.name: (
        told(711, SILL, UpkeepKind.CLEANED, "2025-05-10"),
        looked(712, SILL, "2026-09-12", Finding.BEADS, photos=("sill.jpg",)),
    ),
    TABLE.name: (
        looked(721, TABLE, "2025-09-20", Finding.BEADS),
        renewed(722, TABLE, "2026-05-10", 0.11, 8.0),
    ),
}


def seen(
    piece: InstalledPiece,
    finish: Finish,
    months: Span,
    entries: tuple[UpkeepEntry, ...],
    now: dt.datetime = NOW,
) -> PieceSeen:
    """A piece as it is seen at a moment."""
    looked_at = outlook(piece, entries, months, upkeep_defaults(), now)
    litres = piece.area_m2 / finish.spread_later_m2_per_l.middle
    effort = Effort(litres, 40.0 * litres, 52.0)
    return PieceSeen(looked_at, entries, effort, finish)


def demo_care(
    logs: dict[str, tuple[UpkeepEntry, ...]] | None = None,
    now: dt.datetime = NOW,
    years: int = 5,
) -> Care:
    """The three pieces and the years to come."""
    logs = LOGS if logs is None else logs
    pieces = (
        seen(TABLE, OIL, Span(9, 16, "invented"), logs[TABLE.name], now),
        seen(STEPS, OIL, Span(9, 16, "invented"), logs[STEPS.name], now),
        seen(SILL, VARNISH, Span(18, 30, "invented"), logs[SILL.name], now),
    )
    efforts = {one.piece.name: one.effort for one in pieces}
    until = now.date() + dt.timedelta(days=366 * (years + 1))
    found = visits([one.outlook for one in pieces], efforts, upkeep_defaults(), until)
    return care_of(YearsAhead(pieces, found, by_year(found)), now, ZONE, years)


def demo_window() -> Window:
    """The best time for a renewal, by hand."""
    from finplan.air.series import AirSource

    start = dt.datetime(2027, 4, 2, 16, tzinfo=dt.UTC)
    hour = dt.timedelta(hours=1)
    end = dt.datetime(2027, 4, 5, 5, tzinfo=dt.UTC)
    return Window(start, start + 20 * hour, start + 22 * hour, end, (AirSource.NORMALS,))
