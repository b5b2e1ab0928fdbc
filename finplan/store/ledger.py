"""What was sent to calendars."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import delete, insert
from sqlmodel import Field, Session, col, select

from finplan.store.base import Table, in_parts
from finplan.tracking.ledger import LedgerRow
from finplan.trade.plain import from_json, to_json


class CalendarItemRow(Table, table=True):
    """One calendar item as last sent."""

    __tablename__ = "calendar_item"

    uid: str = Field(primary_key=True)
    project: str = Field(index=True)
    document: str


class Ledger:
    """The calendar items as last sent; written with the change that caused them."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def rows(self) -> tuple[LedgerRow, ...]:
        """Return all rows by uid."""
        query = select(CalendarItemRow.uid, CalendarItemRow.document)
        return tuple(
            from_json(LedgerRow, document, f"calendar item {uid}")
            for uid, document in self._session.exec(query.order_by(CalendarItemRow.uid)).all()
        )

    def put(self, rows: Iterable[LedgerRow]) -> None:
        """Keep rows, new or changed."""
        kept = [
            {"uid": str(row.uid), "project": row.project, "document": to_json(row)} for row in rows
        ]
        if not kept:
            return
        connection = self._session.connection()
        for uids in in_parts([row["uid"] for row in kept]):
            connection.execute(delete(CalendarItemRow).where(col(CalendarItemRow.uid).in_(uids)))
        connection.execute(insert(CalendarItemRow), kept)
