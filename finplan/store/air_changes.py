"""What was kept of each workshop's air, so that it can be taken back: an append-only log."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

from sqlmodel import Field, Session, col, select

from finplan.air.changes import AirChange
from finplan.store.base import Table
from finplan.store.chain import Chain
from finplan.trade.plain import from_json, to_json

_AT_ONCE = 1
"""A log of a year is long: entries are fetched one by one until enough is known."""


class AirChangeRow(Table, table=True):
    """One entry of a workshop's air log; ``document`` is the whole of it."""

    __tablename__ = "air_change"

    workshop: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    uid: str = Field(unique=True)
    document: str
    digest: str


class AirChanges:
    """The logs of what was kept, workshop by workshop."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._chain = Chain(session, AirChangeRow, "workshop", "air log of workshop")

    def append(self, change: AirChange) -> None:
        """Add an entry at the end of its workshop's log."""
        self._chain.append(change.workshop, [(str(change.uid), to_json(change))])

    def last_first(self, workshop: str) -> Iterator[AirChange]:
        """Yield a workshop's entries, the last one first, as far as they are asked for."""
        query = select(AirChangeRow).where(AirChangeRow.workshop == workshop)
        query = query.order_by(col(AirChangeRow.number).desc())
        with self._session.exec(query.execution_options(yield_per=_AT_ONCE)) as rows:
            for row in rows:
                yield _change(row)

    def latest(self, workshop: str) -> AirChange | None:
        """Return the entry written last, None where there is none."""
        return next(self.last_first(workshop), None)

    def of_uid(self, uid: uuid.UUID) -> AirChange:
        """Return the entry with a uid that another one is about."""
        query = select(AirChangeRow).where(AirChangeRow.uid == str(uid))
        return _change(self._session.exec(query).one())

    def broken(self) -> tuple[str, ...]:
        """Return a sentence for each log that does not hold together; none when sound."""
        return self._chain.broken()


def _change(row: AirChangeRow) -> AirChange:
    return from_json(AirChange, row.document, f"air log of {row.workshop!r}, entry {row.number}")
