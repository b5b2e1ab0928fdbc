"""Workshops: people, their hours, spaces."""

from __future__ import annotations

from sqlmodel import Field, select

from finplan.store.base import Table
from finplan.store.documents import Documents
from finplan.trade.errors import BadInput
from finplan.trade.workshop import Workshop


class WorkshopRow(Table, table=True):
    """One workshop."""

    __tablename__ = "workshop"

    name: str = Field(primary_key=True)
    version: int
    document: str


class Workshops(Documents[Workshop, WorkshopRow]):
    """The workshops, by name."""

    table = WorkshopRow
    kind = Workshop
    word = "workshop"

    def _before_remove(self, name: str) -> None:
        from finplan.store.projects import ProjectRow  # they import this file

        query = select(ProjectRow.name).where(ProjectRow.workshop == name)
        needing = self._session.exec(query).all()
        if needing:
            raise BadInput(
                f"workshop {name!r} is where {', '.join(sorted(needing))} is made: "
                "move or remove that first"
            )
