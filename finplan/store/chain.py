"""Append-only logs: numbered rows, each digest covering the one before it.

There is no update and no delete, here or in the database (triggers refuse both). A log's rows
are numbered from 1: a lost, added or altered row shows.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from typing import Any, Generic, Protocol, TypeVar

from sqlmodel import Session, col, select


class LogRow(Protocol):
    """A table of entries; ``document`` is the whole of one, ``uid`` its identity."""

    number: int
    uid: str
    document: str
    digest: str


Row = TypeVar("Row", bound=LogRow)


class Chain(Generic[Row]):
    """The logs of one table.

    Args:
        session: the open transaction.
        table: the rows.
        owner: the column with the uid of what a log belongs to.
        word: what people call the log of one, e.g. ``journal of project``.
    """

    def __init__(self, session: Session, table: type[Row], owner: str, word: str) -> None:
        self._session = session
        self._table: Any = table
        self._owner_name = owner
        self._owner: Any = col(getattr(table, owner))
        self._word = word

    def append(self, owner: str, documents: Iterable[tuple[str, str]]) -> None:
        """Add entries, each a uid and a document, at the end of a log."""
        number, digest = self._end_of(owner)
        for uid, document in documents:
            number, digest = number + 1, _digest(digest, document)
            key = {self._owner_name: owner, "number": number, "uid": uid}
            self._session.add(self._table(**key, document=document, digest=digest))
        self._session.flush()

    def rows(self, owner: str) -> Sequence[Row]:
        """Return a log's rows in the order they were written."""
        query = select(self._table).where(self._owner == owner)
        return self._session.exec(query.order_by(col(self._table.number))).all()

    def broken(self) -> tuple[str, ...]:
        """Return a sentence for each log that does not hold together; none when sound."""
        owners = sorted(self._session.exec(select(self._owner).distinct()).all())
        return tuple(fault for owner in owners if (fault := self._fault(owner)) is not None)

    def _end_of(self, owner: str) -> tuple[int, str]:
        query = select(self._table).where(self._owner == owner)
        last = self._session.exec(query.order_by(col(self._table.number).desc()).limit(1)).first()
        return (last.number, last.digest) if last else (0, "")

    def _fault(self, owner: str) -> str | None:
        digest = ""
        for number, row in enumerate(self.rows(owner), 1):
            if row.number != number:
                return f"{self._word} {owner}: entry {number} is missing"
            digest = _digest(digest, row.document)
            if row.digest != digest:
                return f"{self._word} {owner}: entry {number} was altered"
        return None


def _digest(digest_before: str, document: str) -> str:
    """Return the digest (SHA-256, hex) of an entry that follows ``digest_before``."""
    return hashlib.sha256(f"{digest_before}\n{document}".encode()).hexdigest()
