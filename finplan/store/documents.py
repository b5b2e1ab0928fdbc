"""Rows that people edit: a name, a version and the whole value as a document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Generic, Protocol, TypeVar

from sqlmodel import Session, select

from finplan.store.base import StaleWrite
from finplan.trade.errors import BadInput
from finplan.trade.names import nearest
from finplan.trade.plain import from_json, to_json


class Named(Protocol):
    """A value known by its name."""

    @property
    def name(self) -> str:
        """What it is called."""


class DocumentRow(Protocol):
    """A table of named, versioned documents."""

    name: str
    version: int
    document: str


Value = TypeVar("Value", bound=Named)
Row = TypeVar("Row", bound=DocumentRow)


class Documents(Generic[Value, Row]):
    """The values of one kind, by name.

    ``table`` and ``kind`` say what is stored and where, ``word`` what people call it.
    """

    table: type[Row]
    kind: type[Value]
    word: str

    def __init__(self, session: Session) -> None:
        self._session = session

    def list(self) -> tuple[Value, ...]:
        """Return all values by name."""
        rows = self._session.exec(select(self.table)).all()
        return tuple(self._value(row) for row in sorted(rows, key=lambda row: row.name))

    def names(self) -> tuple[str, ...]:
        """Return the names there are, in order."""
        return tuple(sorted(self._session.exec(select(self.table.name)).all()))

    def find(self, name: str) -> Value | None:
        """Return the value called ``name``, None where there is none."""
        row = self._row(name)
        return None if row is None else self._value(row)

    def get(self, name: str) -> Value:
        """Return the value called ``name``.

        Raises:
            BadInput: there is none; the nearest name is offered.
        """
        found = self.find(name)
        if found is None:
            raise self._absent(name)
        return found

    def version(self, name: str) -> int:
        """Return how often the value was written, 0 where there is none."""
        row = self._row(name)
        return 0 if row is None else row.version

    def put(self, value: Value, expected_version: int | None = None) -> int:
        """Write a value, new or changed, and return its new version.

        Args:
            value: what to keep.
            expected_version: the version it was read at, 0 for one that must be new; None
                when it was read in this same unit of work.

        Raises:
            StaleWrite: the version there is another one.
        """
        row = self._row_of(value)
        version = 0 if row is None else row.version
        if expected_version is not None and expected_version != version:
            stored = None if row is None else self._value(row)
            raise StaleWrite(f"{self.word} {value.name!r}", stored, value)
        if row is None:
            row = self._new_row(value)
        row.version = version + 1
        self._fill(row, value)
        self._session.add(row)
        self._session.flush()
        return row.version

    def remove(self, name: str, expected_version: int | None = None) -> None:
        """Remove a value.

        Raises:
            BadInput: there is none, or others still need it.
            StaleWrite: the version there is another one than ``expected_version``.
        """
        row = self._row(name)
        if row is None:
            raise self._absent(name)
        if expected_version is not None and expected_version != row.version:
            raise StaleWrite(f"{self.word} {name!r}", self._value(row), None)
        self._before_remove(name)
        self._session.delete(row)
        self._session.flush()

    def _before_remove(self, name: str) -> None:
        """Refuse a removal that would leave others without what they need."""

    def _row(self, name: str) -> Row | None:
        return self._session.exec(select(self.table).where(self.table.name == name)).first()

    def _row_of(self, value: Value) -> Row | None:
        return self._row(value.name)

    def _new_row(self, value: Value) -> Row:
        row = self.table()
        row.name = value.name
        return row

    def _fill(self, row: Row, value: Value) -> None:
        row.name = value.name
        row.document = to_json(value)

    def _value(self, row: Row) -> Value:
        return from_json(self.kind, row.document, f"{self.word} {row.name!r} in the database")

    def _absent(self, name: str) -> BadInput:
        return absent(self.word, name, self.names())


def absent(word: str, name: str, names: Iterable[str]) -> BadInput:
    """Return the error for a name that is not there, offering the nearest."""
    known = list(names)
    near = nearest(name, known)
    if near is not None:
        hint = f"did you mean {near!r}?"
    elif known:
        hint = f"there are {', '.join(known[:8])}" + ("" if len(known) <= 8 else ", …")
    else:
        hint = "there is none yet"
    return BadInput(f"there is no {word} {name[:80]!r}: {hint}")
