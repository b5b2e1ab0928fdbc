"""Settings that travel with the data, and where learning starts afresh."""

from __future__ import annotations

import datetime as dt

from sqlmodel import Field, Session, select

from finplan.store.base import Table, instant_text
from finplan.trade.plain import from_json, from_plain, to_json


class SettingRow(Table, table=True):
    """One setting, as JSON."""

    __tablename__ = "setting"

    key: str = Field(primary_key=True)
    document: str


class LearnedResetRow(Table, table=True):
    """From when on a finish in a space is learned afresh."""

    __tablename__ = "learned_reset"

    finish: str = Field(primary_key=True)
    space: str = Field(primary_key=True)
    since: str


class Settings:
    """Plain JSON values by key."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, key: str, default: object = None) -> object:
        """Return the value kept under ``key``."""
        row = self._session.get(SettingRow, key)
        return default if row is None else _value(row)

    def put(self, key: str, value: object) -> None:
        """Keep a value: anything JSON can hold."""
        self._session.merge(SettingRow(key=key, document=to_json(value)))
        self._session.flush()

    def remove(self, key: str) -> None:
        """Forget the value kept under ``key``, if any."""
        row = self._session.get(SettingRow, key)
        if row is not None:
            self._session.delete(row)
            self._session.flush()

    def all(self) -> dict[str, object]:
        """Return every setting."""
        rows = self._session.exec(select(SettingRow)).all()
        return {row.key: _value(row) for row in sorted(rows, key=lambda row: row.key)}


class LearnedResets:
    """Checks before a reset are no longer learned from; the checks themselves stay."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def put(self, finish: str, space: str, since: dt.datetime) -> None:
        """Learn a finish in a space afresh from ``since`` on."""
        row = LearnedResetRow(finish=finish, space=space, since=instant_text(since))
        self._session.merge(row)
        self._session.flush()

    def all(self) -> dict[tuple[str, str], dt.datetime]:
        """Return the resets by (finish, space)."""
        rows = self._session.exec(select(LearnedResetRow)).all()
        return {
            (row.finish, row.space): from_plain(dt.datetime, row.since, "learned reset")
            for row in rows
        }


def _value(row: SettingRow) -> object:
    return from_json(object, row.document, f"setting {row.key!r}")
