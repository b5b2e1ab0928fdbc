"""What was changed in the projects, so that it can be taken back.

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
"""Edits of a project that are kept; older ones can no longer be taken back (our choice)."""


class ProjectEditRow(Table, table=True):
    """One edit; ``undone`` is empty while it stands, else when it was taken back."""

    __tablename__ = "project_edit"

    project_uid: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    at: str
    undone: str
    document: str


@dataclass(frozen=True, slots=True)
class ProjectEdit:
    """A change of a project: ``words`` for people, and its fields as plain data."""

    project_uid: uuid.UUID
    number: int
    at: dt.datetime
    undone: dt.datetime | None
    words: str
    before: Mapping[str, object]
    after: Mapping[str, object]


class Edits:
    """The edits of the projects, the last ones of each."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(
        self,
        project_uid: uuid.UUID,
        at: dt.datetime,
        words: str,
        before: Mapping[str, object],
        after: Mapping[str, object],
    ) -> None:
        """Keep an edit that was just made; what was undone before it can't be brought back."""
        rows = self._rows([project_uid])
        number = rows[-1].number + 1 if rows else 1
        gone = [row for row in rows if row.undone]
        kept = [row for row in rows if not row.undone]
        for row in (*gone, *kept[: max(len(kept) + 1 - MOST_KEPT, 0)]):
            self._session.delete(row)
        document = to_json({"words": words, "before": before, "after": after})
        self._session.add(
            ProjectEditRow(
                project_uid=str(project_uid),
                number=number,
                at=instant_text(at),
                undone="",
                document=document,
            )
        )
        self._session.flush()

    def last(self, projects: Collection[uuid.UUID]) -> ProjectEdit | None:
        """Return the last edit that stands of some projects, None where there is none."""
        standing = [row for row in self._rows(projects) if not row.undone]
        return _edit(max(standing, key=lambda row: row.at)) if standing else None

    def last_undone(self, projects: Collection[uuid.UUID]) -> ProjectEdit | None:
        """Return the edit of some projects that was taken back last, None where there is none."""
        undone = [row for row in self._rows(projects) if row.undone]
        return _edit(max(undone, key=lambda row: row.undone)) if undone else None

    def mark(self, edit: ProjectEdit, undone: dt.datetime | None) -> None:
        """Keep when an edit was taken back; None brings it back."""
        row = self._session.get(ProjectEditRow, (str(edit.project_uid), edit.number))
        assert row is not None
        row.undone = "" if undone is None else instant_text(undone)
        self._session.add(row)
        self._session.flush()

    def _rows(self, projects: Collection[uuid.UUID]) -> list[ProjectEditRow]:
        wanted = [str(uid) for uid in projects]
        asked = select(ProjectEditRow).where(col(ProjectEditRow.project_uid).in_(wanted))
        return list(self._session.exec(asked.order_by(col(ProjectEditRow.number))).all())


def _edit(row: ProjectEditRow) -> ProjectEdit:
    where = "edit of a project in the database"
    told = from_json(dict[str, object], row.document, where)
    return ProjectEdit(
        uuid.UUID(row.project_uid),
        row.number,
        from_plain(dt.datetime, row.at, where),
        from_plain(dt.datetime, row.undone, where) if row.undone else None,
        str(told["words"]),
        from_plain(dict[str, object], told["before"], where),
        from_plain(dict[str, object], told["after"], where),
    )
