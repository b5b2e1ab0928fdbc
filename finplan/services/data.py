"""The data itself: where it is, copies of it, and whether it is sound."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

    from finplan.services.session import Session
    from finplan.store.backup import Where


def where(session: Session) -> Where:
    """Return where the data is, and in which state."""
    from finplan.store import backup

    return backup.where(session.store)


def backup(session: Session, file: Path) -> None:
    """Copy all data to a new file.

    Raises:
        BadInput: the file is there already, or cannot be written.
    """
    from finplan.store import backup as copies

    copies.backup(session.store, file)


def restore(data: str | None, file: Path, now: dt.datetime) -> Path | None:
    """Bring all data back from a copy; what was there is kept beside it.

    Takes the place, not a session, so that damaged data can be replaced.

    Returns:
        The file that keeps what was there, None where there was nothing.

    Raises:
        BadInput: the file is no sound copy, or the place cannot be written.
    """
    from finplan.store import backup as copies

    return copies.restore(file, data, now=now)


def check(session: Session) -> tuple[str, ...]:
    """Return a sentence for every fault found in the data, none when all is sound."""
    from finplan.store import backup as copies

    return copies.check(session.store)
