"""Engines: SQLite made safe for several programs at once, PostgreSQL by psycopg."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError

from finplan.store.location import Location
from finplan.trade.errors import BadInput

READS_ONLY = "finplan_reads_only"
BUSY_MS = 5_000
CONNECT_SECONDS = 5
LOCK_KEY = 0x66696E70
"""Key of the PostgreSQL advisory lock of those who write ('finp')."""

NETWORK_FILE_SYSTEMS = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "fuse.sshfs", "9p", "afs"}
)


def make_engine(
    location: Location, *, read_only: bool = False, foreign_keys: bool = True
) -> Engine:
    """Return an engine; nothing is opened yet.

    Args:
        location: the SQLite file or PostgreSQL server.
        read_only: open the SQLite file without writing anything beside it.
        foreign_keys: off only while tables are rebuilt by a migration.

    Raises:
        BadInput: the PostgreSQL address cannot be read.
    """
    if location.path is None:
        return _postgres(location)
    return _sqlite(location.path, read_only=read_only, foreign_keys=foreign_keys)


def _postgres(location: Location) -> Engine:
    try:
        url = make_url(location.url).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError):
        raise BadInput(
            "the postgresql:// address cannot be read: it goes postgresql://user@host/database"
        ) from None
    engine = create_engine(
        url, pool_pre_ping=True, connect_args={"connect_timeout": CONNECT_SECONDS}
    )

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # Writing units go one after the other, as on SQLite: what a unit read stays true in it.
        if not connection.get_execution_options().get(READS_ONLY):
            connection.exec_driver_sql(
                f"SET LOCAL lock_timeout = {BUSY_MS}; "
                f"SELECT pg_advisory_xact_lock({LOCK_KEY}, hashtext(current_schema()))"
            )

    return engine


def _sqlite(path: Path, *, read_only: bool, foreign_keys: bool) -> Engine:
    engine = create_engine(_sqlite_url(path, read_only=read_only))
    keeps_wal = not read_only and not on_network_drive(path)

    @event.listens_for(engine, "connect")
    def connect(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # we begin transactions ourselves, DDL included
        connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        if keeps_wal and connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            connection.execute("PRAGMA journal_mode = WAL")  # keeps the old mode where it can't

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A deferred transaction that turns to writing fails at once when another wrote since.
        reads_only = read_only or connection.get_execution_options().get(READS_ONLY)
        connection.exec_driver_sql("BEGIN" if reads_only else "BEGIN IMMEDIATE")

    return engine


def _sqlite_url(path: Path, *, read_only: bool) -> URL:
    if not read_only:
        return URL.create("sqlite", database=str(path))
    query = {"mode": "ro", "uri": "true"}
    if not path.with_name(path.name + "-wal").exists():
        query["immutable"] = "1"  # WAL needs files beside the database, which may not be made
    return URL.create("sqlite", database=f"file:{quote(str(path))}", query=query)


def on_network_drive(path: Path, mounts: str | None = None) -> bool:
    """Say whether ``path`` lies on a network drive, where WAL's shared memory does not work.

    Args:
        path: an absolute path.
        mounts: the text of ``/proc/mounts``, None to read it.
    """
    if sys.platform == "win32":
        return str(path).startswith("\\\\")
    if mounts is None:
        try:
            mounts = Path("/proc/mounts").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return False
    best, kind = "", ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        point = fields[1].replace("\\040", " ") if len(fields) > 2 else ""
        if len(point) >= len(best) and point and path.is_relative_to(point):
            best, kind = point, fields[2]
    return kind in NETWORK_FILE_SYSTEMS
