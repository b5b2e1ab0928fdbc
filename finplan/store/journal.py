"""The journal, project by project: an append-only log (``chain.py``)."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from itertools import groupby

from sqlmodel import Field, Session, col, select

from finplan.journal.entries import Entry
from finplan.store.base import Table, in_parts
from finplan.store.chain import Chain
from finplan.store.documents import absent
from finplan.store.projects import ProjectRow
from finplan.trade.errors import BadInput
from finplan.trade.plain import from_json, to_json


class JournalRow(Table, table=True):
    """One entry; ``document`` is the whole of it."""

    __tablename__ = "journal"

    project_uid: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    uid: str = Field(unique=True)
    document: str
    digest: str


class Journal:
    """What happened, project by project."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._chain = Chain(session, JournalRow, "project_uid", "journal of project")

    def append(self, entries: Iterable[Entry]) -> int:
        """Add entries at the end of their projects' journals and return how many were new.

        An entry that is there already, unchanged, is passed over: reading a file again is
        harmless.

        Raises:
            BadInput: the project is not there, or an entry with this uid says something else.
        """
        by_project = sorted(entries, key=lambda entry: entry.project)
        return sum(
            self._append_to(name, list(group))
            for name, group in groupby(by_project, key=lambda entry: entry.project)
        )

    def of(self, project: str) -> tuple[Entry, ...]:
        """Return a project's entries in the order they were written.

        Raises:
            BadInput: there is no such project.
        """
        rows = self._chain.rows(self._project_row(project).uid)
        return tuple(_entry(row, project) for row in rows)

    def broken(self) -> tuple[str, ...]:
        """Return a sentence for each journal that does not hold together; none when sound."""
        return self._chain.broken()

    def _append_to(self, project: str, entries: Sequence[Entry]) -> int:
        owner = self._project_row(project).uid
        new = self._new_ones(entries)
        self._chain.append(owner, [(str(entry.uid), to_json(entry)) for entry in new])
        return len(new)

    def _new_ones(self, entries: Sequence[Entry]) -> list[Entry]:
        there = self._documents([str(entry.uid) for entry in entries])
        new: list[Entry] = []
        for entry in entries:
            document = to_json(entry)
            known = there.setdefault(str(entry.uid), None)
            if known is None:
                there[str(entry.uid)] = document
                new.append(entry)
            elif not _same(known, document, entry.project):
                raise BadInput(
                    f"the journal has another entry with the uid {entry.uid}: an entry never "
                    "changes, write a correction instead"
                )
        return new

    def _documents(self, uids: Sequence[str]) -> dict[str, str | None]:
        found: dict[str, str | None] = {}
        query = select(JournalRow.uid, JournalRow.document)
        for some in in_parts(uids):
            found |= dict(self._session.exec(query.where(col(JournalRow.uid).in_(some))).all())
        return found

    def _project_row(self, name: str) -> ProjectRow:
        row = self._session.exec(select(ProjectRow).where(ProjectRow.name == name)).first()
        if row is None:
            raise absent("project", name, self._session.exec(select(ProjectRow.name)).all())
        return row


def _entry(row: JournalRow, project: str) -> Entry:
    entry = from_json(Entry, row.document, f"journal entry {row.number}")
    return entry if entry.project == project else dataclasses.replace(entry, project=project)


def _same(kept: str, document: str, project: str) -> bool:
    """Say whether an entry is the kept one, its project's name aside (it may be renamed)."""
    if kept == document:
        return True
    return to_json(dataclasses.replace(from_json(Entry, kept), project=project)) == document
