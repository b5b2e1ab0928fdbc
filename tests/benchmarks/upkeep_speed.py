"""How long a thousand pieces in use take: all of them seen, ten years ahead, their best times.

Invented pieces over 40 places with two years of log each, in a store of their own; processor
times of one run side by side, and of a tenth of the pieces for comparison.

Run: python -m tests.benchmarks.upkeep_speed [pieces]
"""

from __future__ import annotations

import datetime as dt
import random
import sys
import tempfile
import time
import uuid
from pathlib import Path

from finplan.services.calendar import calendar_wanted
from finplan.services.due import due
from finplan.services.samples import load_sample
from finplan.services.session import open_session
from finplan.services.upkeep import seen_pieces, years_ahead
from finplan.tracking.upkeep.pieces import Finding, InstalledPiece, UpkeepEntry, UpkeepKind
from finplan.trade.upkeep import Exposure

NOW = dt.datetime(2026, 4, 18, 8, tzinfo=dt.UTC)
WOODS = ("larch", "white oak", "black locust")
FINISHES = ("penetrating oil", "spar varnish", "semitransparent stain")


def invent(session, count):
    chance = random.Random(7)
    with session.store.unit() as unit:
        for number in range(count):
            piece = InstalledPiece(
                name=f"piece-{number:04}", title=f"Piece {number}", place=f"house {number % 40}",
                zone="Europe/Oslo", finish=chance.choice(FINISHES), area_m2=chance.uniform(0.5, 6),
                installed=dt.date(2024, 4, 1) + dt.timedelta(days=chance.randrange(90)),
                uid=uuid.uuid5(uuid.NAMESPACE_URL, str(number)),
                exposures=frozenset(chance.choice([(), (Exposure.FLAT,), (Exposure.COVERED,)])),
                season=(4, 5, 6, 7, 8, 9), wood=chance.choice(WOODS), invented=True,
            )  # fmt: skip
            unit.pieces.put(piece)
            for months in (6, 12, 18):
                at = dt.datetime(2024, 7, 1, 9, tzinfo=dt.UTC) + dt.timedelta(days=30 * months)
                found = (chance.choice([Finding.BEADS, Finding.SLOW]),)
                entry = UpkeepEntry(
                    uuid.uuid5(piece.uid, str(months)), piece.name, UpkeepKind.INSPECTED, at, at,
                    findings=found,
                )  # fmt: skip
                unit.upkeep.append(piece, entry)
        unit.commit()


def timed(work):
    begun = time.process_time()
    work()
    return time.process_time() - begun


def measure(count):
    """Return seconds for each view of so many pieces, in order of the table."""
    with tempfile.TemporaryDirectory() as folder:
        data = str(Path(folder) / "many.db")
        with open_session(data, NOW) as session:
            load_sample(session, "lake_cabin")
            invent(session, count)
        told = []
        for work in (
            seen_pieces,
            lambda session: years_ahead(session, 10),
            lambda session: due(session, dt.timedelta(days=30)),
            lambda session: calendar_wanted(session, ()),
        ):
            with open_session(data, NOW) as session:
                told.append(timed(lambda work=work, session=session: work(session)))
    return told


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    tenth, whole = measure(count // 10), measure(count)
    sys.stdout.write(f"pieces                {count // 10:6} {count:8}   times as long\n")
    names = ("seen", "ten years ahead", "due within 30 days", "reminders, near ones timed")
    for name, small, large in zip(names, tenth, whole, strict=True):
        sys.stdout.write(f"{name:<26} {small:5.2f} s {large:6.2f} s   {large / small:4.1f}\n")


if __name__ == "__main__":
    main()
