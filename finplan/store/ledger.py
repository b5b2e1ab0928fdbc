"""What was sent to calendars."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable

from sqlalchemy import delete
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

    def rows(self, projects: Collection[str] | None = None) -> tuple[LedgerRow, ...]:
        """Return the rows of some projects (None: of all), by uid."""
        query = select(CalendarItemRow).order_by(col(CalendarItemRow.uid))
        if projects is not None:
            query = query.where(col(CalendarItemRow.project).in_(list(projects)))
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

    def remove(self, uids: Iterable[uuid.UUID]) -> None:
        """Forget rows whose items have been gone from every calendar for long enough."""
        for uid in uids:
            gone = delete(CalendarItemRow).where(col(CalendarItemRow.uid) == str(uid))
            self._session.connection().execute(gone)
