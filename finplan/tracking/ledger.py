"""What has been sent to calendars: one row an item, so that an export knows what changed."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One calendar item as it was last sent.

    ``uid`` is the item's identity for good, ``project`` the plan it belongs to. ``digest`` is the
    SHA-256 (hex) of the item's own fields, so that equal fields mean nothing to send.
    ``sequence`` only ever grows. ``created`` is the first export, ``stamp`` the last change,
    ``cancelled_at`` when the item left the plan (None while it is in it): whole seconds, UTC.
    ``etag`` is what a CalDAV server called the item ('' where none holds it). ``content`` is the
    item's own fields as last sent, as JSON text (what ``digest`` is taken over), ``sent``
    what of it a CalDAV server was last given. ``left``: the server's name for what a person made
    of an item that is in the plan no more, once they were told that it stays.
    """

    uid: uuid.UUID
    project: str
    digest: str
    sequence: int
    created: dt.datetime
    stamp: dt.datetime
    etag: str = ""
    cancelled_at: dt.datetime | None = None
    content: str = ""
    sent: str = ""
    left: str = ""
