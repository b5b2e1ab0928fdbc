"""What was changed in the projects and workshops, so that it can be taken back.

Only the fields that a change touched are kept, before and after it: taking it back leaves alone
what somebody else changed meanwhile.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlmodel import Field, Session, col, select

from finplan.store.base import Table, instant_text
from finplan.trade.plain import from_json, from_plain, to_json

MOST_KEPT = 100
"""Edits of one owner that are kept; older ones can no longer be taken back (our choice)."""


_WORKSHOPS = uuid.UUID("4b1f0d5e-9f0c-4c1a-8a57-2f6f3f7d6e21")
"""Names of workshops are made uids in this space; drawn once by chance."""


class ProjectEditRow(Table, table=True):
    """One edit; ``undone`` is empty while it stands, else when it was taken back.

    ``project_uid`` is the uid of a project, or that of a workshop (``workshop_uid``).
    """

    __tablename__ = "project_edit"

    project_uid: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    at: str
    undone: str
    document: str


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the project or workshop ``of``: ``words`` for people, its fields as data."""

    of: uuid.UUID
    number: int
    at: dt.datetime
    undone: dt.datetime | None
    words: str
    before: Mapping[str, object]
    after: Mapping[str, object]


def workshop_uid(name: str) -> uuid.UUID:
    """Return what a workshop's edits are kept under: it is known by its name alone."""
    return uuid.uuid5(_WORKSHOPS, name)


class Edits:
    """The edits of the projects and workshops, the last ones of each."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(
        self,
        of: uuid.UUID,
        at: dt.datetime,
        words: str,
        before: Mapping[str, object],
        after: Mapping[str, object],
    ) -> None:
        """Keep an edit that was just made; what was undone before it can't be brought back."""
        rows = self._rows([of])
        number = rows[-1].number + 1 if rows else 1
        gone = [row for row in rows if row.undone]
        kept = [row for row in rows if not row.undone]
        for row in (*gone, *kept[: max(len(kept) + 1 - MOST_KEPT, 0)]):
            self._session.delete(row)
        document = to_json({"words": words, "before": before, "after": after})
        self._session.add(
            ProjectEditRow(
                project_uid=str(of),
                number=number,
                at=instant_text(at),
                undone="",
                document=document,
            )
        )
        self._session.flush()

    def last(self, owners: Collection[uuid.UUID]) -> Edit | None:
        """Return the last edit that stands of some owners, None where there is none."""
        standing = [row for row in self._rows(owners) if not row.undone]
        return _edit(max(standing, key=lambda row: row.at)) if standing else None

    def last_undone(self, owners: Collection[uuid.UUID]) -> Edit | None:
        """Return the edit of some owners that was taken back last, None where there is none."""
        undone = [row for row in self._rows(owners) if row.undone]
        return _edit(max(undone, key=lambda row: row.undone)) if undone else None

    def mark(self, edit: Edit, undone: dt.datetime | None) -> None:
        """Keep when an edit was taken back; None brings it back."""
        row = self._session.get(ProjectEditRow, (str(edit.of), edit.number))
        assert row is not None
        row.undone = "" if undone is None else instant_text(undone)
        self._session.add(row)
        self._session.flush()

    def _rows(self, owners: Collection[uuid.UUID]) -> list[ProjectEditRow]:
        wanted = [str(uid) for uid in owners]
        asked = select(ProjectEditRow).where(col(ProjectEditRow.project_uid).in_(wanted))
        return list(self._session.exec(asked.order_by(col(ProjectEditRow.number))).all())


def _edit(row: ProjectEditRow) -> Edit:
    where = "edit of a project or workshop in the database"
    told = from_json(dict[str, object], row.document, where)
    return Edit(
        uuid.UUID(row.project_uid),
        row.number,
        from_plain(dt.datetime, row.at, where),
        from_plain(dt.datetime, row.undone, where) if row.undone else None,
        str(told["words"]),
        from_plain(dict[str, object], told["before"], where),
        from_plain(dict[str, object], told["after"], where),
    )
