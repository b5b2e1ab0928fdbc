"""What changed since the last export: pure functions over the ledger's rows."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypedDict

from finplan.calendars.clean import clean_line, clean_text
from finplan.tracking.ledger import LedgerRow
from finplan.tracking.reminder import Reminder, Role

TOMBSTONE_DAYS = 60
"""How long an import file goes on saying that an item is cancelled."""


class Content(TypedDict):
    """An item's own fields, as a ledger row keeps them (JSON, keys sorted). Instants as UTC."""

    alarm: str | None
    alarm_uid: str
    all_day: bool
    busy: bool
    end: str
    role: str
    start: str
    text: str
    title: str


@dataclass(frozen=True, slots=True)
class LedgerUpdate:
    """A ledger after an export: every row in ``rows``, and in ``changed`` those to be stored."""

    rows: tuple[LedgerRow, ...]
    added: tuple[LedgerRow, ...]
    altered: tuple[LedgerRow, ...]
    cancelled: tuple[LedgerRow, ...]

    @property
    def changed(self) -> tuple[LedgerRow, ...]:
        """The rows that differ from what was stored."""
        return (*self.added, *self.altered, *self.cancelled)


def content_of(reminder: Reminder) -> str:
    """Return a reminder's own fields as canonical JSON text; two alike are the same item."""
    content = Content(
        alarm=_instant(reminder.alarm_at) if reminder.alarm_at is not None else None,
        alarm_uid=str(reminder.alarm_uid),
        all_day=reminder.all_day,
        busy=reminder.busy,
        end=_instant(reminder.end),
        role=reminder.role.value,
        start=_instant(reminder.start),
        text=clean_text(reminder.text),
        title=clean_line(reminder.title),
    )
    return json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def parse_content(text: str) -> Content:
    """Return the fields that a ledger row keeps as text."""
    content: Content = json.loads(text)
    return content


def is_task(content: Content) -> bool:
    """Say whether an item is a task to be ticked off; all others are events."""
    return content["role"] == Role.TASK


def digest_of(content: str) -> str:
    """Return the SHA-256 of canonical content, in hex."""
    return hashlib.sha256(content.encode()).hexdigest()


def update_ledger(
    rows: Iterable[LedgerRow],
    reminders: Iterable[Reminder],
    projects: Iterable[str],
    now: dt.datetime,
) -> LedgerUpdate:
    """Bring the rows of some projects up to what is to be reminded of now.

    An item whose fields are the same keeps its row untouched. A changed, cancelled or returned
    one gets the next SEQUENCE and a stamp that never goes back, also when the clock did.

    Args:
        rows: the stored rows, of whatever projects.
        reminders: all reminders of ``projects``.
        projects: names of the projects exported; rows of others stay as they are.
        now: the present instant, timezone-aware.

    Raises:
        ValueError: two reminders share an identity.
    """
    stored = {row.uid: row for row in rows}
    exported = frozenset(projects)
    wanted: dict[uuid.UUID, Reminder] = {}
    for reminder in reminders:
        if wanted.setdefault(reminder.uid, reminder) is not reminder:
            raise ValueError(f"two reminders share the key {reminder.key!r}")
    second = now.astimezone(dt.UTC).replace(microsecond=0)
    added: list[LedgerRow] = []
    altered: list[LedgerRow] = []
    for uid, reminder in wanted.items():
        content = content_of(reminder)
        digest = digest_of(content)
        old = stored.get(uid)
        if old is None:
            row = LedgerRow(uid, reminder.project, digest, 0, second, second, content=content)
            added.append(row)
        elif old.digest != digest or old.cancelled_at is not None:
            altered.append(
                replace(_next(old, second), digest=digest, content=content, cancelled_at=None)
            )
    gone = [
        replace(_next(row, second), cancelled_at=max(second, row.stamp))
        for row in stored.values()
        if row.project in exported and row.uid not in wanted and row.cancelled_at is None
    ]
    after = {**stored, **{row.uid: row for row in (*added, *altered, *gone)}}
    return LedgerUpdate(
        tuple(sorted(after.values(), key=lambda row: row.uid.int)),
        tuple(added),
        tuple(altered),
        tuple(gone),
    )


def state_of(rows: Iterable[LedgerRow], heading: str) -> str:
    """Return a digest of everything an export of ``rows`` under ``heading`` would show."""
    digest = hashlib.sha256(heading.encode())
    for row in sorted(rows, key=lambda row: row.uid.int):
        digest.update(f"{row.uid} {row.sequence} {row.digest} {row.cancelled_at}\n".encode())
    return digest.hexdigest()[:32]


def shown_rows(rows: Iterable[LedgerRow], tombstones: bool, now: dt.datetime) -> list[LedgerRow]:
    """Return the rows an export shows: what is in the plan, and lately cancelled ones if wanted."""
    oldest = now - dt.timedelta(days=TOMBSTONE_DAYS)
    shown = [
        row
        for row in rows
        if row.cancelled_at is None or (tombstones and row.cancelled_at > oldest)
    ]
    return sorted(shown, key=lambda row: row.uid.int)


def _next(row: LedgerRow, second: dt.datetime) -> LedgerRow:
    return replace(row, sequence=row.sequence + 1, stamp=max(second, row.stamp))


def _instant(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
