"""The count of commits, by which windows notice each other's changes."""

from __future__ import annotations

from sqlmodel import Field

from finplan.store.base import Table


class ChangeRow(Table, table=True):
    """One row that counts the commits."""

    __tablename__ = "change"

    id: int = Field(primary_key=True)
    number: int
