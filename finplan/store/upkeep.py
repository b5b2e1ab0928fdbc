"""Installed pieces, and the append-only log of their upkeep (``chain.py``)."""

from __future__ import annotations

from sqlmodel import Field, Session, col, select

from finplan.store.base import Table
from finplan.store.chain import Chain
from finplan.store.documents import Documents
from finplan.tracking.upkeep.pieces import InstalledPiece, UpkeepEntry
from finplan.trade.errors import BadInput
from finplan.trade.plain import from_json, to_json


class InstalledPieceRow(Table, table=True):
    """One installed piece; its log hangs on ``uid``."""

    __tablename__ = "installed_piece"

    uid: str = Field(primary_key=True)
    name: str = Field(unique=True)
    version: int
    document: str


class UpkeepRow(Table, table=True):
    """One entry of the log; ``document`` is the whole of it."""

    __tablename__ = "upkeep_log"

    piece_uid: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    uid: str = Field(unique=True)
    document: str
    digest: str


class Pieces(Documents[InstalledPiece, InstalledPieceRow]):
    """The installed pieces, by name."""

    table = InstalledPieceRow
    kind = InstalledPiece
    word = "piece"

    def _new_row(self, value: InstalledPiece) -> InstalledPieceRow:
        row = super()._new_row(value)
        row.uid = str(value.uid)
        return row


class UpkeepLog:
    """What was found and done, piece by piece."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._chain = Chain(session, UpkeepRow, "piece_uid", "upkeep log of piece")

    def append(self, piece: InstalledPiece, entry: UpkeepEntry) -> None:
        """Add an entry at the end of a piece's log.

        Raises:
            BadInput: an entry with this uid is there already.
        """
        if self._session.exec(select(UpkeepRow).where(UpkeepRow.uid == str(entry.uid))).first():
            raise BadInput(
                f"the log has an entry with the uid {entry.uid} already: an entry never changes"
            )
        self._chain.append(str(piece.uid), [(str(entry.uid), to_json(entry))])

    def of(self, piece: InstalledPiece) -> tuple[UpkeepEntry, ...]:
        """Return a piece's entries in the order they were written."""
        where = f"upkeep of {piece.name!r}, entry"
        return tuple(
            from_json(UpkeepEntry, row.document, f"{where} {row.number}")
            for row in self._chain.rows(str(piece.uid))
        )

    def all(self) -> dict[str, tuple[UpkeepEntry, ...]]:
        """Return every piece's entries by the piece's uid."""
        query = select(UpkeepRow).order_by(col(UpkeepRow.piece_uid), col(UpkeepRow.number))
        found: dict[str, list[UpkeepEntry]] = {}
        for row in self._session.exec(query).all():
            entry = from_json(UpkeepEntry, row.document, f"upkeep entry {row.number}")
            found.setdefault(row.piece_uid, []).append(entry)
        return {uid: tuple(entries) for uid, entries in found.items()}

    def broken(self) -> tuple[str, ...]:
        """Return a sentence for each log that does not hold together; none when sound."""
        return self._chain.broken()
