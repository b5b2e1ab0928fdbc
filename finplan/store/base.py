"""What all tables share: the metadata with its naming convention, and stale writes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from sqlalchemy import MetaData
from sqlmodel import SQLModel

from finplan.trade.errors import BadInput
from finplan.trade.plain import to_plain

NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
"""How constraints are named, so that a later migration can find them on every database."""

metadata = MetaData(naming_convention=NAMES)

ROWS_AT_ONCE = 500
"""How many values one statement names; databases take only so many (our choice)."""

Value = TypeVar("Value")


class Table(SQLModel):
    """What every table of finplan's is made from."""

    metadata = metadata


class StaleWrite(BadInput):
    """Somebody else changed the row since it was read.

    Args:
        what: what was to be written, e.g. ``"project 'bench'"``.
        stored: the value in the database now, None when it is gone.
        given: the value that was to be written, None for a removal.
    """

    def __init__(self, what: str, stored: object | None, given: object | None) -> None:
        self.stored = stored
        self.given = given
        if stored is None:
            told = "it is not there any more"
        elif given is None:
            told = "it is not what was to be removed"
        else:
            told = "; ".join(_differences(to_plain(stored), to_plain(given), "")[:3])
            told = told or "the same change"
        super().__init__(
            f"{what} was changed elsewhere since it was read ({told}): "
            "read it again, then change it"
        )


def in_parts(values: Sequence[Value]) -> Iterator[Sequence[Value]]:
    """Yield the values in parts that one statement can name."""
    for first in range(0, len(values), ROWS_AT_ONCE):
        yield values[first : first + ROWS_AT_ONCE]


def instant_text(moment: dt.datetime) -> str:
    """Return an instant as sortable ISO 8601 text in UTC, to the microsecond.

    Raises:
        BadInput: the time has no zone.
    """
    if moment.tzinfo is None:
        raise BadInput(f"the time {moment.isoformat()} has no zone: add Z or an offset")
    return moment.astimezone(dt.UTC).isoformat(timespec="microseconds")


def _differences(stored: object, given: object, place: str) -> list[str]:
    if stored == given:
        return []
    if isinstance(stored, Mapping) and isinstance(given, Mapping):
        return [
            line
            for key in stored
            for line in _differences(stored[key], given.get(key), f"{place} {key}".strip())
        ]
    if isinstance(stored, list) and isinstance(given, list) and len(stored) == len(given):
        return [
            line
            for index, (left, right) in enumerate(zip(stored, given, strict=True), 1)
            for line in _differences(left, right, f"{place} {index}")
        ]
    return [f"{place}: there {_brief(stored)}, yours {_brief(given)}"]


def _brief(value: object) -> str:
    if isinstance(value, list):
        return f"{len(value)} of them"
    text = str(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
