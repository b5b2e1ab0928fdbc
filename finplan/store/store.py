"""The store and its units of work: the one way in."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from sqlalchemy import Engine, select, text, update
from sqlmodel import Session, col

from finplan.store.air import Air
from finplan.store.change import ChangeRow
from finplan.store.engine import READS_ONLY, make_engine
from finplan.store.faults import told_plainly
from finplan.store.finishes import OwnFinishes
from finplan.store.journal import Journal
from finplan.store.location import Location, locate
from finplan.store.migrate import bring_up_to_date, refuse_foreign, version_of
from finplan.store.projects import Projects
from finplan.store.settings import LearnedResets, Settings
from finplan.store.upkeep import Pieces, UpkeepLog
from finplan.store.workshops import Workshops
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.store.air_changes import AirChanges
    from finplan.store.edits import Edits
    from finplan.store.ledger import Ledger


class Unit:
    """One unit of work: everything or nothing, by :meth:`commit`.

    ``workshops``, ``projects``, ``finishes`` (the user's own), ``journal``, ``air``,
    ``air_changes`` (its log), ``ledger``, ``settings``, ``learned_resets``, ``pieces`` (installed
    ones), ``upkeep`` (their log) and ``edits`` (of projects) are what the store keeps. The tables
    of those that no plan reads are loaded when they are asked for.
    """

    def __init__(self, session: Session, *, writes: bool) -> None:
        self._session = session
        self._writes = writes
        self.workshops = Workshops(session)
        self.projects = Projects(session)
        self.finishes = OwnFinishes(session)
        self.journal = Journal(session)
        self.air = Air(session)
        self.settings = Settings(session)
        self.learned_resets = LearnedResets(session)
        self.pieces = Pieces(session)
        self.upkeep = UpkeepLog(session)

    @cached_property
    def air_changes(self) -> AirChanges:
        """The log of the air."""
        from finplan.store.air_changes import AirChanges

        return AirChanges(self._session)

    @cached_property
    def ledger(self) -> Ledger:
        """What calendars were told."""
        from finplan.store.ledger import Ledger

        return Ledger(self._session)

    @cached_property
    def edits(self) -> Edits:
        """What was changed in projects."""
        from finplan.store.edits import Edits

        return Edits(self._session)

    def commit(self) -> None:
        """Keep what was written in this unit."""
        if not self._writes:
            raise RuntimeError("a unit opened for reading keeps nothing")
        counted = update(ChangeRow).values(number=col(ChangeRow.number) + 1)
        self._session.connection().execute(counted)
        self._session.commit()


class Store:
    """An open database.

    ``engine`` begins transactions for writing, ``looking`` for reading alone. ``read_only`` says
    why nothing can be written, '' where it can.
    """

    def __init__(
        self, location: Location, engine: Engine, *, read_only: str = "", copy: Path | None = None
    ) -> None:
        self.location = location
        self.engine = engine
        self.looking = engine.execution_options(**{READS_ONLY: True})
        self.read_only = read_only
        self.copy_before_upgrade = copy

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    @contextmanager
    def unit(self, *, writes: bool = True) -> Iterator[Unit]:
        """Begin a unit of work; it is rolled back unless it commits.

        Args:
            writes: False for looking only: waits for nobody and holds nobody up.

        Raises:
            BadInput: the database cannot be read, or not be written when it should be.
        """
        if writes and self.read_only:
            raise BadInput(self.read_only, f"database {self.location.shown}")
        engine = self.engine if writes else self.looking
        with told_plainly(self.location), Session(engine, expire_on_commit=False) as session:
            yield Unit(session, writes=writes)

    def change_stamp(self) -> int:
        """Return a number that is another one after every commit of any program."""
        with told_plainly(self.location), self.looking.connect() as connection:
            return int(connection.execute(select(col(ChangeRow.number))).scalar_one())


def open_store(data: str | Path | None = None, *, now: dt.datetime | None = None) -> Store:
    """Open the data, creating or upgrading it first where needed.

    Args:
        data: a file or a postgresql:// address; None for FINPLAN_DATA or the user's folder.
        now: names the copy made before an upgrade; None for this moment.

    Raises:
        BadInput: it cannot be opened, is damaged, another program's or a newer finplan's.
    """
    location = locate(data)
    with told_plainly(location):
        if location.path is not None and location.path.exists():
            reason = _why_not_writable(location.path)
            if reason:
                return _opened_read_only(location, reason)
        elif location.path is not None:
            _make_folder(location.path)
        engine = make_engine(location)
        try:
            copy = bring_up_to_date(engine, location, now or dt.datetime.now(dt.UTC))
        except BaseException:
            engine.dispose()
            raise
        return Store(location, engine, copy=copy)


def _opened_read_only(location: Location, reason: str) -> Store:
    engine = make_engine(location, read_only=True)
    version = version_of(engine)
    refuse_foreign(version, location)
    with engine.connect() as connection:
        connection.execute(text("select number from change")).scalar_one()
    return Store(location, engine, read_only=reason)


def _why_not_writable(path: Path) -> str:
    where = f"database {path}"
    if path.is_dir():
        raise BadInput("this is a folder: give the name of a file in it with --data", where)
    if not os.access(path, os.R_OK):
        raise BadInput(
            "it may not be read: change its permissions, or give another place with --data", where
        )
    if not os.access(path, os.W_OK):
        return (
            "the file may only be read: change its permissions, or give another place with --data"
        )
    if not os.access(path.parent, os.W_OK):
        return (
            f"the folder {path.parent} may only be read: change its permissions, or give another "
            "place with --data"
        )
    return ""


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BadInput(
            f"the folder {path.parent} cannot be made ({fault.strerror}): give another place "
            "with --data"
        ) from None
    if not os.access(path.parent, os.W_OK):
        raise BadInput(
            f"the folder {path.parent} may not be written: change its permissions, or give "
            "another place with --data"
        )
