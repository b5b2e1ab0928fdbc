"""When the interface ends on a fault nobody foresaw: one sentence, and a log with the rest."""

from __future__ import annotations

import datetime as dt
import traceback
from pathlib import Path

MOST_BYTES = 1_000_000
"""A log longer than this begins anew."""


class TerminalFailed(RuntimeError):
    """The interface ended on ``fault``; ``log`` holds the traceback, None if it cannot be kept."""

    def __init__(self, fault: BaseException, log: Path | None) -> None:
        kept = f"the traceback is in {log}" if log else "set FINPLAN_DEBUG=1 to see where"
        super().__init__(
            f"the terminal interface failed ({type(fault).__name__}: {fault}); what was recorded "
            f"is kept, and half-filled forms too; {kept}"
        )


def log_path() -> Path:
    """Return where faults of the interface are written."""
    from platformdirs import user_log_path

    return user_log_path("finplan", appauthor=False) / "terminal.log"


def keep_log(fault: BaseException) -> Path | None:
    """Write a fault's traceback to the log and return where it is, None if that fails."""
    path = log_path()
    told = "".join(traceback.format_exception(fault))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        afresh = path.exists() and path.stat().st_size > MOST_BYTES
        with path.open("w" if afresh else "a", encoding="utf-8") as file:
            file.write(f"{dt.datetime.now(dt.UTC).isoformat(timespec='seconds')}\n{told}\n")
    except OSError:
        return None
    return path
