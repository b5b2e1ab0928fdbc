"""What was sent to calendars."""

from __future__ import annotations

from collections.abc import Iterable

from sqlmodel import Field, Session, col, select

from finplan.store.base import Table
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
        query = select(CalendarItemRow).order_by(col(CalendarItemRow.uid))
        return tuple(
            from_json(LedgerRow, row.document, f"calendar item {row.uid}")
            for row in self._session.exec(query).all()
        )

    def put(self, rows: Iterable[LedgerRow]) -> None:
        """Keep rows, new or changed."""
        for row in rows:
            self._session.merge(
                CalendarItemRow(uid=str(row.uid), project=row.project, document=to_json(row))
            )
        self._session.flush()
