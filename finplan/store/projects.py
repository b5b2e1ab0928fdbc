"""Projects: parts, batches and their finishing schedules."""

from __future__ import annotations

import uuid

from sqlmodel import Field, select

from finplan.store.base import Table
from finplan.store.documents import Documents, absent
from finplan.store.workshops import WorkshopRow
from finplan.trade.errors import BadInput
from finplan.trade.project import Project


class ProjectRow(Table, table=True):
    """One project; its journal hangs on ``uid``, so that it may be renamed."""

    __tablename__ = "project"

    uid: str = Field(primary_key=True)
    name: str = Field(unique=True)
    workshop: str = Field(foreign_key="workshop.name", index=True)
    version: int
    document: str


class Projects(Documents[Project, ProjectRow]):
    """The projects, by name."""

    table = ProjectRow
    kind = Project
    word = "project"

    def named(self, uid: uuid.UUID) -> str | None:
        """Return the name of the project with this uid, None where there is none."""
        row = self._session.get(ProjectRow, str(uid))
        return None if row is None else row.name

    def _row_of(self, value: Project) -> ProjectRow | None:
        row = self._session.get(ProjectRow, str(value.uid))
        namesake = self._row(value.name)
        if namesake is not None and namesake is not row:
            raise BadInput(
                f"there is another project called {value.name!r}: choose another name, "
                "or remove that one first"
            )
        return row

    def _new_row(self, value: Project) -> ProjectRow:
        row = super()._new_row(value)
        row.uid = str(value.uid)
        return row

    def _fill(self, row: ProjectRow, value: Project) -> None:
        known = self._session.exec(select(WorkshopRow.name)).all()
        if value.workshop not in known:
            raise absent("workshop", value.workshop, known).at(f"project {value.name!r}")
        super()._fill(row, value)
        row.workshop = value.workshop
