"""How a person wants to be reminded."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

from finplan.tracking.reminder import ReminderSettings, Role
from finplan.trade.plain import from_plain, table_of, to_plain

if TYPE_CHECKING:
    from finplan.services.session import Session

REMINDERS = "reminders"
"""Setting that keeps what differs from the usual reminders."""


def kept_settings(session: Session) -> ReminderSettings:
    """Return how the person wants to be reminded; the usual way where nothing was said.

    What a newer finplan wrote beside it, roles of reminders too, is passed over.

    Raises:
        BadInput: what is kept cannot be read.
    """
    where = "how to be reminded, in the database"
    with session.store.unit(writes=False) as unit:
        kept = table_of(unit.settings.get(REMINDERS, {}), where)
    known = {field.name for field in fields(ReminderSettings)}
    said = {name: value for name, value in kept.items() if name in known}
    if isinstance(silent := said.get("silent"), list):
        said["silent"] = [role for role in silent if role in tuple(Role)]
    return from_plain(ReminderSettings, said, where)


def keep_settings(session: Session, settings: ReminderSettings) -> None:
    """Keep how the person wants to be reminded."""
    with session.store.unit() as unit:
        unit.settings.put(REMINDERS, to_plain(settings, skip_defaults=True))
        unit.commit()
