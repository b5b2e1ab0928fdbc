"""The calendar as a file: written whole or not at all, and only when something changed."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from finplan.calendars.ics import STATE_PROPERTY, Profile, calendar_bytes, calendar_state
from finplan.tracking.ledger import LedgerRow
from finplan.trade.errors import BadInput

_HEADER_BYTES = 2000


def write_calendar(
    path: Path, rows: Sequence[LedgerRow], name: str, profile: Profile, now: dt.datetime
) -> bool:
    """Write the calendar file; return False when it stands there already as it would be.

    Raises:
        BadInput: the folder is missing or the file can't be written.
    """
    state = calendar_state(rows, name, profile, now)
    if _state_in(path) == state:
        return False
    _write_whole(path, calendar_bytes(rows, name, profile, now))
    return True


def _state_in(path: Path) -> str:
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER_BYTES).decode("utf-8", "replace")
    except OSError:
        return ""
    for line in head.split("\r\n"):
        if line.startswith(f"{STATE_PROPERTY}:"):
            return line.partition(":")[2]
    return ""


def _write_whole(path: Path, data: bytes) -> None:
    """Write beside the file and rename, so that no reader ever sees half of it."""
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise BadInput(
            f"can't be written ({error.strerror}): give another file", str(path)
        ) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(beside).chmod(0o644)
        Path(beside).replace(path)
    except OSError as error:
        raise BadInput(
            f"can't be written ({error.strerror}): give another file", str(path)
        ) from None
    finally:
        with contextlib.suppress(FileNotFoundError):
            Path(beside).unlink()
