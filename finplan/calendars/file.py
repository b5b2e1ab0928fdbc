"""The calendar as a file, which is left alone while nothing changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from finplan.calendars.ics import STATE_PROPERTY, Profile, calendar_state
from finplan.tracking.ledger import LedgerRow

_HEADER_BYTES = 2000


def stands_in(
    path: Path, rows: Sequence[LedgerRow], name: str, profile: Profile, now: dt.datetime
) -> bool:
    """Say whether a file holds already what ``calendar_bytes`` would put there.

    Only its first lines are read, and nothing is built.
    """
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER_BYTES).decode("utf-8", "replace")
    except OSError:
        return False
    state = f"{STATE_PROPERTY}:{calendar_state(rows, name, profile, now)}"
    return state in head.split("\r\n")
