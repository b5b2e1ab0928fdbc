"""The user's own finishes, beside or instead of the library's."""

from __future__ import annotations

from sqlmodel import Field

from finplan.store.base import Table
from finplan.store.documents import Documents
from finplan.trade.finishes import Finish


class FinishRow(Table, table=True):
    """One finish of the user's own."""

    __tablename__ = "finish"

    name: str = Field(primary_key=True)
    version: int
    document: str


class OwnFinishes(Documents[Finish, FinishRow]):
    """The user's own finishes, by name."""

    table = FinishRow
    kind = Finish
    word = "finish of your own"
