"""Bring a database to the shape this program knows; alembic is loaded only when it must."""

from __future__ import annotations

import datetime as dt
import re
import sqlite3
from importlib import resources
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from finplan.store.engine import READS_ONLY, make_engine
from finplan.store.location import Location
from finplan.trade.errors import BadInput

HEAD = "0004"
"""The newest revision in migrations/; a test keeps it true."""

EMPTY = ""


def migrations_folder() -> Path:
    """Return the folder with the migrations: inside an installed package, or the checkout's."""
    packaged = Path(str(resources.files("finplan"))) / "_migrations"
    return packaged if packaged.is_dir() else Path(__file__).parents[2] / "migrations"


def version_of(engine: Engine) -> str:
    """Return the revision a database is at, '' for one without tables."""
    with engine.connect().execution_options(**{READS_ONLY: True}) as connection:
        return _version(connection)


def bring_up_to_date(engine: Engine, location: Location, now: dt.datetime) -> Path | None:
    """Create the tables or upgrade them, and return the copy made before an upgrade.

    Args:
        engine: of the database at ``location``.
        location: where it is.
        now: names the copy.

    Raises:
        BadInput: the database is newer than this program, or is another program's.
    """
    version = version_of(engine)
    refuse_foreign(version, location)
    if version == HEAD:
        return None
    copy = None
    if version != EMPTY and location.path is not None:
        copy = dated_name(location.path, f"before-{HEAD}", now)
        copy_sqlite(location.path, copy)
    upgrading = make_engine(location, foreign_keys=False)
    try:
        with upgrading.begin() as connection:
            make_tables(connection)
    finally:
        upgrading.dispose()
    return copy


def refuse_foreign(version: str, location: Location) -> None:
    """Refuse what this program must not touch.

    Raises:
        BadInput: the database is newer than this program, or is another program's.
    """
    if version == EMPTY or (re.fullmatch(r"\d{4}", version) and version <= HEAD):
        return
    if re.fullmatch(r"\d{4}", version):
        raise BadInput(
            f"it was written by a newer finplan (its tables are at {version}, this program knows "
            f"{HEAD}): install the newer finplan, or give another place with --data",
            f"database {location.shown}",
        )
    raise BadInput(
        "it belongs to another program: give another place with --data",
        f"database {location.shown}",
    )


def dated_name(path: Path, why: str, now: dt.datetime) -> Path:
    """Return the name of a copy beside ``path`` that is not taken yet."""
    stamp = now.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    target, number = path.with_name(f"{path.stem}.{why}.{stamp}{path.suffix}"), 1
    while target.exists():
        number += 1
        target = path.with_name(f"{path.stem}.{why}.{stamp}-{number}{path.suffix}")
    return target


def copy_sqlite(source: Path, target: Path) -> None:
    """Copy a SQLite database, also while others use it, over whatever ``target`` holds."""
    reading, writing = sqlite3.connect(source), sqlite3.connect(target)
    try:
        reading.backup(writing)
    finally:
        writing.close()
        reading.close()


def _version(connection: Connection) -> str:
    tables = inspect(connection).get_table_names()
    if "alembic_version" in tables:
        versions = connection.execute(text("select version_num from alembic_version")).scalars()
        return str(next(iter(versions), EMPTY))
    return "without a version" if tables else EMPTY


def make_tables(connection: Connection) -> None:
    """Bring the tables to :data:`HEAD` inside the connection's open transaction.

    Whoever else wants to write waits meanwhile, since the transaction has begun for writing.
    """
    from alembic import command
    from alembic.config import Config

    if _version(connection) == HEAD:
        return  # another program was quicker
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, HEAD)
    if connection.dialect.name == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if broken:
            raise BadInput(f"the upgrade to {HEAD} would break a reference: nothing was changed")
