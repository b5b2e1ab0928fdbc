"""Backup, restore, check: the data is the person's own, and safe.

A backup is always a SQLite file, whichever database it was taken from, and goes back into
either: so it also moves data from one to the other.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, select, text
from sqlalchemy.schema import DropTable

from finplan.store.documents import Documents
from finplan.store.faults import told_plainly
from finplan.store.location import Location, data_folder, locate
from finplan.store.migrate import copy_sqlite, dated_name, make_tables, version_of
from finplan.store.store import Store, Unit, open_store
from finplan.store.tables import metadata
from finplan.trade.errors import BadInput

ROWS_AT_ONCE = 1_000
SQLITE_HEADER = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True)
class Where:
    """What is known of the place the data is kept.

    ``size_bytes`` and ``path`` are None on a server. ``journal_mode`` is SQLite's.
    """

    shown: str
    kind: str
    path: Path | None
    version: str
    size_bytes: int | None
    journal_mode: str
    read_only: str


def where(store: Store) -> Where:
    """Say where the data is and in which state."""
    path = store.location.path
    mode = ""
    with told_plainly(store.location), store.looking.connect() as connection:
        if path is not None:
            mode = str(connection.exec_driver_sql("PRAGMA journal_mode").scalar_one())
    return Where(
        shown=store.location.shown,
        kind="SQLite" if path is not None else "PostgreSQL",
        path=path,
        version=version_of(store.engine),
        size_bytes=None if path is None else path.stat().st_size,
        journal_mode=mode,
        read_only=store.read_only,
    )


def backup(store: Store, file: Path) -> None:
    """Write all data to a new SQLite file; nothing half-written is left behind.

    Raises:
        BadInput: the file is there already, or cannot be written.
    """
    if file.exists():
        raise BadInput("this file is there already: choose another name", str(file))
    try:
        with tempfile.TemporaryDirectory(dir=file.parent, prefix=".finplan-") as folder:
            fresh = Path(folder) / "backup.db"
            with told_plainly(store.location):
                _copy_out(store, fresh)
            fresh.replace(file)
    except OSError as fault:
        raise BadInput(
            f"the backup cannot be written ({fault.strerror}): choose another place", str(file)
        ) from None


def restore(file: Path, data: str | Path | None = None, *, now: dt.datetime) -> Path | None:
    """Put a backup in the place of the data; what was there is kept in a dated file first.

    The place is given, not an open store, so that a damaged database can be replaced too.

    Args:
        file: a backup, or any finplan SQLite file of this version or an older one.
        data: where to restore to, as :func:`finplan.store.store.open_store` takes it.
        now: names the file that keeps what was there.

    Returns:
        The file that keeps what was there, None where there was nothing.

    Raises:
        BadInput: the file is no sound backup, or the place cannot be written.
    """
    location = locate(data)
    with tempfile.TemporaryDirectory(prefix="finplan-") as folder:
        fresh = Path(folder) / "restored.db"
        _sound_copy(file, fresh, now)
        if location.path is None:
            return _restore_to_server(fresh, location, now)
        with told_plainly(location):
            location.path.parent.mkdir(parents=True, exist_ok=True)
            kept = _set_aside(location.path, now)
            copy_sqlite(fresh, location.path)
            return kept


def check(store: Store) -> tuple[str, ...]:
    """Return a sentence for every fault found in the data; none when all is sound.

    Looks at the file itself, at references, at every journal's chain, and reads every document.
    """
    faults: list[str] = []
    with told_plainly(store.location), store.looking.connect() as connection:
        if store.location.path is not None:
            faults += _sqlite_faults(connection)
    with store.unit(writes=False) as unit:
        faults += unit.journal.broken()
        faults += unit.upkeep.broken()
        faults += unit.air_changes.broken()
        faults += _unreadable(unit)
    return tuple(faults)


def _sqlite_faults(connection: Connection) -> list[str]:
    told = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    faults = [f"the file is damaged: {line}" for line in told if line != "ok"]
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        faults.append(f"row {row} of {table} refers to a {parent} that is not there")
    return faults


def _unreadable(unit: Unit) -> list[str]:
    faults = []
    documents: list[Documents[Any, Any]] = [
        unit.workshops,
        unit.projects,
        unit.finishes,
        unit.pieces,
    ]
    for kept in documents:
        for name in kept.names():
            try:
                kept.get(name)
            except BadInput as fault:
                faults.append(str(fault))
    for project in unit.projects.names():
        try:
            unit.journal.of(project)
        except BadInput as fault:
            faults.append(f"project {project!r}: {fault}")
    return faults


def _copy_out(store: Store, file: Path) -> None:
    if store.location.path is not None:
        copy_sqlite(store.location.path, file)
        return
    with open_store(file) as target:
        _copy_rows(store, target)


def _copy_rows(source: Store, target: Store) -> None:
    reading = source.looking
    if source.location.path is None:
        reading = reading.execution_options(isolation_level="REPEATABLE READ")
    with reading.connect() as read, target.engine.begin() as write:
        _insert_all(read, write)


def _insert_all(read: Connection, write: Connection) -> None:
    for table in metadata.sorted_tables:
        if table.name == "change":
            write.execute(text("delete from change"))
        rows = read.execution_options(yield_per=ROWS_AT_ONCE).execute(select(table)).mappings()
        for some in rows.partitions(ROWS_AT_ONCE):
            write.execute(insert(table), [dict(row) for row in some])


def _sound_copy(file: Path, fresh: Path, now: dt.datetime) -> None:
    """Copy a backup to ``fresh``, bring it up to date there, and look it through."""
    if not file.is_file():
        raise BadInput("there is no such file: check the name", str(file))
    try:
        with file.open("rb") as start:
            is_database = start.read(len(SQLITE_HEADER)) == SQLITE_HEADER
    except OSError as fault:
        raise BadInput(f"it cannot be read ({fault.strerror}): check it", str(file)) from None
    if not is_database:
        raise BadInput("this is no backup of finplan's: check the name", str(file))
    with told_plainly(Location(path=file, url="", shown=str(file))):
        copy_sqlite(file, fresh)
    try:
        with open_store(fresh, now=now) as opened:
            faults = check(opened)
    except BadInput as fault:
        raise BadInput(fault.what, f"backup {file}") from None
    if faults:
        raise BadInput(f"this backup is not sound ({faults[0]}): take another one", str(file))


def _set_aside(path: Path, now: dt.datetime) -> Path | None:
    if not path.exists():
        return None
    kept = dated_name(path, "before-restore", now)
    try:
        with told_plainly(Location(path=path, url="", shown=str(path))):
            copy_sqlite(path, kept)
    except BadInput:  # too damaged to be copied as a database: keep the files as they are
        kept.unlink(missing_ok=True)
        path.replace(kept)
        for companion in ("-wal", "-shm"):
            beside = path.with_name(path.name + companion)
            if beside.exists():
                beside.replace(kept.with_name(kept.name + companion))
    return kept


def _restore_to_server(fresh: Path, location: Location, now: dt.datetime) -> Path | None:
    with open_store(location.url) as target, open_store(fresh) as source:
        folder = data_folder()
        folder.mkdir(parents=True, exist_ok=True)
        kept = dated_name(folder / "server.db", "before-restore", now)
        backup(target, kept)
        with (
            told_plainly(location),
            source.looking.connect() as read,
            target.engine.begin() as write,
        ):
            _drop_all(write)
            make_tables(write)
            _insert_all(read, write)
        return kept


def _drop_all(connection: Connection) -> None:
    """Drop every table; the journal's triggers let no row go while its table stands."""
    for table in reversed(metadata.sorted_tables):
        connection.execute(DropTable(table))
    connection.execute(text("drop table alembic_version"))
    connection.execute(text("drop function refuse_journal_change"))
