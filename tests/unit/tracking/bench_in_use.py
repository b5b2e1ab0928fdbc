"""A bench in use, for the tests of its upkeep."""

from __future__ import annotations

import datetime as dt
import uuid

from finplan.library.load import upkeep_defaults
from finplan.tracking.upkeep.pieces import InstalledPiece
from finplan.trade.numbers import Span
from finplan.trade.upkeep import Exposure

YEAR = Span(9.0, 16.0, "invented")
DEFAULTS = upkeep_defaults()
BENCH = InstalledPiece(
    name="jetty-bench",
    title="Bench on the jetty",
    place="boathouse",
    zone="Europe/Oslo",
    finish="penetrating oil",
    area_m2=3.2,
    installed=dt.date(2025, 5, 1),
    uid=uuid.UUID(int=7),
    exposures=frozenset({Exposure.FLAT}),
    invented=True,
)


def at(day, hour=12):
    return dt.datetime.combine(dt.date.fromisoformat(day), dt.time(hour), dt.UTC)
