"""Moments as people write them, in the zone they think in."""

from __future__ import annotations

import datetime as dt
import os
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from finplan.services.air import workshop_named
from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone, parse_moment

if TYPE_CHECKING:
    from finplan.services.session import Session


def zone_for(session: Session, workshop: str | None = None) -> ZoneInfo:
    """Return the zone to show times in: the one asked for, the workshop's, or the machine's.

    Without a workshop it is that of all of them, where they have one zone in common.
    """
    if session.zone is not None:
        return ZoneInfo(session.zone)
    with session.store.unit(writes=False) as unit:
        try:
            return ZoneInfo(workshop_named(unit, workshop).zone)
        except BadInput:
            if workshop is not None:
                raise
            zones = {one.zone for one in unit.workshops.list()}
            return ZoneInfo(zones.pop() if len(zones) == 1 else system_zone())


def moment_of(
    session: Session,
    text: str | None,
    where: str,
    workshop: str | None = None,
    *,
    past: bool = False,
) -> dt.datetime | None:
    """Return the moment a person wrote, aware UTC; None stays None.

    ``past``: it is told of what happened, so that ``fri`` is the last one.

    Raises:
        BadInput: no moment, or one with several readings.
    """
    if text is None:
        return None
    return parse_moment(text, session.now, zone_for(session, workshop).key, where, past=past)


def system_zone() -> str:
    """Return the machine's own zone by IANA name, UTC where it does not tell."""
    told = os.environ.get("TZ", "").removeprefix(":")
    if not told:
        try:
            _, _, told = os.readlink("/etc/localtime").rpartition("zoneinfo/")  # noqa: PTH115
        except OSError:
            told = ""
    try:
        return find_zone(told or "UTC").key
    except BadInput:
        return "UTC"
