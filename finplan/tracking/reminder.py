"""A reminder, and what a person may set about reminders."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from finplan.trade.cautions import Caution
from finplan.trade.errors import BadInput

GOVERNS = "Estimate only: the product label, its safety data sheet and local rules govern."
"""Stands under every reminder's text."""


class Role(StrEnum):
    """What a reminder is for."""

    SESSION = "session"
    RECOAT_OPENS = "recoat opens"
    RECOAT_CLOSES = "recoat closes"
    WIPE_OFF = "wipe off"
    TURN = "turn"
    CHECK = "dryness check"
    ASSEMBLE = "dry to assemble"
    CURED = "cured"
    AIR = "air leaves its limits"
    RAGS = "rags"
    BUY = "buy finish"
    UPKEEP = "upkeep"
    TASK = "task"


MAKES_READY = frozenset({Role.RECOAT_OPENS, Role.TURN, Role.CHECK, Role.ASSEMBLE, Role.CURED})
"""Roles that say something may be done from now on: quiet hours put their alarm off. The alarms
of the others are rung before the quiet hours instead."""

IN_THE_SHOP = frozenset({Role.WIPE_OFF, Role.RAGS})
"""Roles that belong to work going on: quiet hours do not move them."""


@dataclass(frozen=True, slots=True)
class Reminder:
    """One thing to remind of.

    ``key`` is stable from plan to plan, unique within its project, and free of times and places:
    role and step. ``start``, ``end``, ``alarm_at``: UTC, whole minutes; an ``all_day`` reminder
    runs from midnight to midnight UTC of the days meant, and rings at 09:00 in the shop's zone the
    day before. ``alarm_at`` None rings nothing.
    ``steps``: ids of the planned steps it is about. ``busy``: the person's time is taken.
    """

    key: str
    role: Role
    project: str
    project_uid: uuid.UUID
    title: str
    text: str
    start: dt.datetime
    end: dt.datetime
    alarm_at: dt.datetime | None
    steps: tuple[str, ...] = ()
    all_day: bool = False
    busy: bool = False

    @property
    def uid(self) -> uuid.UUID:
        """The identity calendars know it by: of the project and the key, of nothing else."""
        return uuid.uuid5(self.project_uid, self.key)

    @property
    def alarm_uid(self) -> uuid.UUID:
        """The identity of its alarm."""
        return uuid.uuid5(self.project_uid, f"{self.key}/alarm")


@dataclass(frozen=True, slots=True)
class ReminderSettings:
    """Lead times and quiet hours; all choices of the user, the defaults our own.

    ``quiet_from`` to ``quiet_until`` (local clock, over midnight allowed) ring nothing; equal
    hours mean none. ``session_gap_minutes``: a longer pause starts another session.
    ``silent``: roles that are left out altogether.
    """

    session_lead_minutes: int = 60
    window_lead_minutes: int = 60
    buy_lead_days: int = 4
    check_if_apart_minutes: int = 120
    session_gap_minutes: int = 60
    quiet_from: dt.time = dt.time(22, 0)
    quiet_until: dt.time = dt.time(7, 0)
    silent: frozenset[Role] = frozenset()

    def __post_init__(self) -> None:
        """Refuse lead times below zero."""
        for name in (
            "session_lead_minutes",
            "window_lead_minutes",
            "buy_lead_days",
            "check_if_apart_minutes",
            "session_gap_minutes",
        ):
            if getattr(self, name) < 0:
                raise BadInput(f"{getattr(self, name)} is below zero: give 0 or more", name)


@dataclass(frozen=True, slots=True)
class ReminderNotes:
    """What a plan does not hold but a reminder's text shows.

    ``litres`` by planned step id; ``cautions``: the library's, by their keys.
    """

    litres: Mapping[str, float] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
