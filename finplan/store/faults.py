"""What a database says when something is wrong, as one sentence a person can act on."""

from __future__ import annotations

import re
import sqlite3
import traceback
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError

from finplan.store.base import metadata
from finplan.store.location import Location
from finplan.trade.errors import BadInput

_SQLITE = {
    "BUSY": "another program is writing to it: try again in a moment",
    "LOCKED": "another program is writing to it: try again in a moment",
    "READONLY": "it or its folder may not be written: change the permissions or give another "
    "place with --data",
    "PERM": "it may not be opened: change the permissions or give another place with --data",
    "CANTOPEN": "it cannot be opened: check that the folder exists and may be written, or give "
    "another place with --data",
    "NOTADB": "this file is not a database: give another file with --data",
    "CORRUPT": "it is damaged: bring back a backup with `finplan restore FILE`",
    "TOOBIG": "it is damaged: bring back a backup with `finplan restore FILE`",
    "FULL": "the disk is full: make room, nothing was written",
    "IOERR": "the disk is full or reports an error: make room, or check it and bring back a backup",
}
_POSTGRES = {
    "08": "the server broke the connection: try again",
    "25": "the server takes no writing now: ask who runs it",
    "28": "the server refuses this user or password: check the address",
    "3D": "the server has no database of this name: create it first",
    "40": "another program wrote to it at the same moment: try again",
    "42": "this user may not do that there: ask who runs the server for the rights",
    "53": "the server is out of room or connections: ask who runs it",
    "55": "another program is writing to it: try again in a moment",
    "57": "the server is shutting down: try again later",
}


@contextmanager
def told_plainly(location: Location) -> Iterator[None]:
    """Turn the database's own errors into :class:`BadInput`; a fault of ours stays what it is."""
    try:
        yield
    except DBAPIError as fault:
        sentence = _sentence(fault)
        if sentence is None:
            raise
        raise BadInput(sentence, f"database {location.shown}") from None
    except UnicodeDecodeError as fault:  # SQLite's own message, or a text it read, is rubbish
        if not _came_through_the_database(fault):
            raise
        raise BadInput(_SQLITE["CORRUPT"], f"database {location.shown}") from None
    except sqlite3.Error as fault:
        sentence = _sqlite_sentence(fault)
        if sentence is None:
            raise
        raise BadInput(sentence, f"database {location.shown}") from None


def _came_through_the_database(fault: BaseException) -> bool:
    frames = traceback.walk_tb(fault.__traceback__)
    names = (str(frame.f_globals.get("__name__", "")) for frame, _ in frames)
    return any(name.startswith("sqlalchemy.") for name in names)


def _sentence(fault: DBAPIError) -> str | None:
    if isinstance(fault.orig, sqlite3.Error):
        sentence = _sqlite_sentence(fault.orig)
    else:
        sentence = _postgres_sentence(fault)
    if sentence is None and isinstance(fault, IntegrityError):
        return (
            "somebody else wrote the same thing at the same moment: read it again, then change it"
        )
    return sentence


def _sqlite_sentence(fault: sqlite3.Error) -> str | None:
    if "Could not decode to UTF-8" in str(fault) or _lost_of_ours(str(fault)):
        return _SQLITE["CORRUPT"]
    code = getattr(fault, "sqlite_errorname", "").removeprefix("SQLITE_").split("_")[0]
    return _SQLITE.get(code)


def _lost_of_ours(told: str) -> bool:
    """Say whether a table of ours has lost itself or a column: the schema's bytes are rubbish."""
    found = re.match(r"no such (?:table|column): (\w+)", told)
    return found is not None and found[1] in metadata.tables


def _postgres_sentence(fault: DBAPIError) -> str | None:
    state = getattr(fault.orig, "sqlstate", None)
    if state is None:
        if fault.connection_invalidated or type(fault.orig).__name__ == "OperationalError":
            return "the server cannot be reached: check that it runs, the address and the password"
        return None
    if state in ("42501", "42000"):
        return _POSTGRES["42"]
    return None if state[:2] == "42" else _POSTGRES.get(state[:2])
