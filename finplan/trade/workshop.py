"""The workshop: people and their hours, spaces and their racks and air."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from finplan.trade.steps import StepKind


@dataclass(frozen=True, slots=True)
class WorkWindow:
    """Hours that come again: an RFC 5545 rule (``FREQ=WEEKLY;BYDAY=SA``), local start, length."""

    rule: str
    start: dt.time
    minutes: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time, start included and end not; both timezone-aware UTC.

    ``source`` tells one calendar's stretches from another's and from what was written by hand
    (''); it is no word of theirs.
    """

    start: dt.datetime
    end: dt.datetime
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works. ``can`` None means every kind of step."""

    name: str
    windows: tuple[WorkWindow, ...]
    days_off: tuple[dt.date, ...] = ()
    busy: tuple[Stretch, ...] = ()
    can: frozenset[StepKind] | None = None


@dataclass(frozen=True, slots=True)
class MonthlyNormals:
    """Twelve monthly values, January first; ``daily_swing_c`` is highest minus lowest of a day."""

    mean_c: tuple[float, ...]
    daily_swing_c: tuple[float, ...]
    mean_rh_percent: tuple[float, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Space:
    """A room where wet work stands. ``dust_apart``: sanding is done elsewhere.

    ``normals`` is the air where no reading or forecast covers an hour.
    """

    name: str
    rack_area_m2: float
    normals: MonthlyNormals
    dust_apart: bool = False


@dataclass(frozen=True, slots=True)
class Workshop:
    """People and spaces that projects share. ``zone`` is an IANA name."""

    name: str
    zone: str
    people: tuple[Person, ...]
    spaces: tuple[Space, ...]
    safe_quantile: float = 0.8
    dust_settles_minutes: int = 60
    shortest_piece_minutes: int = 30
    notes: Mapping[str, str] = field(default_factory=dict)
