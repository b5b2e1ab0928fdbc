"""Keeping a CalDAV calendar like the plan, without ever overriding the person it belongs to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum

from finplan.calendars.clean import clean_text
from finplan.calendars.ics import PRODUCT, resource_bytes
from finplan.calendars.ledger import Content, is_task, parse_content
from finplan.calendars.returned import Returned, carry_over, read_returned
from finplan.calendars.server import CalendarServer, OnServer, Stale
from finplan.tracking.ledger import LedgerRow

LET_GO = "let go"
"""In place of an ETag: the person deleted the item, and it is not put back. No real ETag is
without quotes."""


class Change(StrEnum):
    """What a person did to an item of ours."""

    MOVED = "moved"
    EDITED = "edited"
    DELETED = "deleted"
    TICKED = "ticked off"


@dataclass(frozen=True, slots=True)
class Conflict:
    """An item a person changed: it stays as they made it.

    ``start``, ``end``: theirs, if moved; a task has the hour it is due in both. ``ticked_at``:
    when a task was ticked off.
    """

    row: LedgerRow
    change: Change
    start: dt.datetime | None = None
    end: dt.datetime | None = None
    ticked_at: dt.datetime | None = None

    @property
    def title(self) -> str:
        """What the item is called in the plan."""
        return parse_content(self.row.content)["title"]


@dataclass(slots=True)
class PushReport:
    """What a push did, or would do; each item stands once."""

    created: list[LedgerRow] = field(default_factory=list)
    updated: list[LedgerRow] = field(default_factory=list)
    deleted: list[LedgerRow] = field(default_factory=list)
    unchanged: int = 0
    conflicts: list[Conflict] = field(default_factory=list)

    def add(self, other: PushReport) -> None:
        """Count another push in."""
        self.created += other.created
        self.updated += other.updated
        self.deleted += other.deleted
        self.unchanged += other.unchanged
        self.conflicts += other.conflicts


class _Push:
    def __init__(
        self,
        server: CalendarServer,
        keep: Callable[[LedgerRow], None],
        now: dt.datetime,
        dry_run: bool,
    ) -> None:
        self.server, self.keep, self.now, self.dry_run = server, keep, now, dry_run
        self.report = PushReport()
        self.seen: dict[str, OnServer] = {}

    def item(self, row: LedgerRow, etag: str | None) -> None:
        """Bring one item up to date; ``etag`` is what the server has now, None for nothing."""
        if row.etag == LET_GO:
            self.report.unchanged += 1
        elif etag is None:
            self._absent(row)
        elif _to_be_read(row, etag):
            self._look(row)
        else:
            self._known(row, None)

    def _absent(self, row: LedgerRow) -> None:
        if row.etag and row.cancelled_at is None:
            self.report.conflicts.append(Conflict(row, Change.DELETED))
            self._keep(replace(row, etag=LET_GO, sent=""))
        elif row.etag:
            self._keep(replace(row, etag="", sent=""))
        elif row.cancelled_at is None:
            self._create(row)

    def _create(self, row: LedgerRow) -> None:
        if not self.dry_run:
            try:
                etag = self.server.create(_name(row), resource_bytes(row))
            except Stale:
                self._look(row)
                return
            self._sent(row, etag)
        self.report.created.append(row)

    def _known(self, row: LedgerRow, theirs: Returned | None) -> None:
        """Go on from an item that is as we last sent it, but for what is not ours."""
        if row.cancelled_at is not None:
            self._delete(row)
        elif row.sent == row.content:
            self.report.unchanged += 1
        else:
            self._update(row, theirs)

    def _update(self, row: LedgerRow, theirs: Returned | None) -> None:
        if theirs is not None:
            row = replace(row, sequence=max(row.sequence, theirs.sequence + 1))
        if not self.dry_run:
            data = resource_bytes(row)
            if theirs is not None:
                to_ring = _rings_at(row.sent or row.content) > self.now
                data = carry_over(theirs, _sent_bytes(row), data, to_ring=to_ring)
            try:
                etag = self.server.update(_name(row), data, row.etag)
            except Stale:
                self.report.conflicts.append(Conflict(row, Change.EDITED))
                return
            self._sent(row, etag)
        self.report.updated.append(row)

    def _delete(self, row: LedgerRow) -> None:
        if not self.dry_run:
            try:
                self.server.delete(_name(row), row.etag)
            except Stale:
                self.report.conflicts.append(Conflict(row, Change.EDITED))
                return
            self._keep(replace(row, etag="", sent=""))
        self.report.deleted.append(row)

    def _look(self, row: LedgerRow) -> None:
        """Read an item; one that is not the one we know is compared with what we last sent."""
        found = self.seen.get(_name(row)) or self.server.get(_name(row))
        if found is None:
            self._absent(row)
            return
        theirs = read_returned(found.data)
        if found.etag != row.etag:
            conflict = _difference(row, theirs)
            if conflict is not None:
                self._leave(row, found.etag, conflict)
                return
            row = replace(row, etag=found.etag, sent=row.sent or _ours(row, theirs))
            self._keep(row)
        self._known(row, theirs)

    def _leave(self, row: LedgerRow, etag: str, conflict: Conflict) -> None:
        """Leave an item as a person made it; one that the plan has no more is told of once."""
        if row.cancelled_at is not None and row.left == etag:
            self.report.unchanged += 1
            return
        self.report.conflicts.append(conflict)
        if row.cancelled_at is not None:
            self._keep(replace(row, left=etag))

    def _sent(self, row: LedgerRow, etag: str) -> None:
        if not etag:
            stored: OnServer | None = self.server.get(_name(row))
            etag = stored.etag if stored is not None else ""
        self._keep(replace(row, etag=etag, sent=row.content))

    def _keep(self, row: LedgerRow) -> None:
        if not self.dry_run:
            self.keep(row)


def push(
    server: CalendarServer,
    rows: Iterable[LedgerRow],
    keep: Callable[[LedgerRow], None],
    now: dt.datetime,
    dry_run: bool = False,
) -> PushReport:
    """Bring a calendar up to the ledger; nothing in it that is not ours is touched.

    Args:
        server: the calendar.
        rows: the ledger after ``update_ledger``.
        keep: stores a row; called after every single request that changed something, so that a
            broken connection loses nothing and the next push goes on from there.
        now: the present instant, timezone-aware.
        dry_run: only say what would be done.

    Raises:
        ServerFailed: the server can't be used; what was kept stays kept.
    """
    etags = server.etags()
    work = _Push(server, keep, now, dry_run)
    ordered = sorted(rows, key=lambda row: row.uid.int)
    work.seen = server.get_many(
        [_name(row) for row in ordered if _to_be_read(row, etags.get(_name(row)))]
    )
    for row in ordered:
        work.item(row, etags.get(_name(row)))
    return work.report


def _name(row: LedgerRow) -> str:
    return f"{row.uid}.ics"


def _to_be_read(row: LedgerRow, etag: str | None) -> bool:
    """Say whether the server's item matters: it is not the one we know, or about to be replaced.

    The one we know can hold a person's additions too, left from the push that looked at it first.
    """
    if etag is None or row.etag == LET_GO:
        return False
    return etag != row.etag or (row.cancelled_at is None and row.sent != row.content)


def _difference(row: LedgerRow, theirs: Returned | None) -> Conflict | None:
    """Return what a person changed against what we last sent, None for nothing of ours."""
    if theirs is None:
        return Conflict(row, Change.EDITED)
    if theirs.ticked_at is not None:
        if row.cancelled_at is not None:
            return None  # it is recorded: the plan has no such task any more, and it may go
        return Conflict(row, Change.TICKED, ticked_at=theirs.ticked_at)
    if not row.sent and theirs.product == PRODUCT:
        return None  # our own, from a push that broke off before its ETag was kept
    # What the plan says by now counts, too: it may have followed the person's wish.
    ours = [parse_content(text) for text in (row.sent, row.content) if text]
    if (theirs.start, theirs.end) not in [_span(content) for content in ours]:
        return Conflict(row, Change.MOVED, theirs.start, theirs.end)
    words = [(content["title"], content["text"]) for content in ours]
    same = (theirs.title, clean_text(theirs.text)) in words
    return None if same and not theirs.cancelled else Conflict(row, Change.EDITED)


def _sent_bytes(row: LedgerRow) -> bytes:
    """Return the item as last sent, with its alarm even where that is past by now."""
    return resource_bytes(replace(row, content=row.sent or row.content, stamp=row.created))


def _rings_at(content: str) -> dt.datetime:
    """Return when an item rings, the beginning of time where it never does."""
    alarm = parse_content(content)["alarm"]
    return dt.datetime.fromisoformat(alarm) if alarm else dt.datetime.min.replace(tzinfo=dt.UTC)


def _ours(row: LedgerRow, theirs: Returned | None) -> str:
    """Return what of ours stands on the server after a push that broke off."""
    if theirs is None or theirs.sequence != row.sequence:
        return ""
    return row.content


def _span(content: Content) -> tuple[dt.datetime, dt.datetime]:
    end = dt.datetime.fromisoformat(content["end"])
    return end if is_task(content) else dt.datetime.fromisoformat(content["start"]), end
