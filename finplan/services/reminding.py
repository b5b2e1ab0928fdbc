"""How a person wants to be reminded."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace
from typing import TYPE_CHECKING

from finplan.tracking.reminder import ReminderSettings, Role

if TYPE_CHECKING:
    from finplan.services.session import Session

REMINDERS = "reminders"
"""Setting that keeps what differs from the usual reminders."""


def kept_settings(session: Session) -> ReminderSettings:
    """Return how the person wants to be reminded; the usual way where nothing was said."""
    with session.store.unit(writes=False) as unit:
        kept = unit.settings.get(REMINDERS)
    if not isinstance(kept, dict):
        return ReminderSettings()
    known = {field.name for field in fields(ReminderSettings)}
    said = {name: _read(name, value) for name, value in kept.items() if name in known}
    return replace(ReminderSettings(), **said)  # type: ignore[arg-type]


def keep_settings(session: Session, settings: ReminderSettings) -> None:
    """Keep how the person wants to be reminded."""
    usual = ReminderSettings()
    said = {
        field.name: _plain(getattr(settings, field.name))
        for field in fields(ReminderSettings)
        if getattr(settings, field.name) != getattr(usual, field.name)
    }
    with session.store.unit() as unit:
        unit.settings.put(REMINDERS, said)
        unit.commit()


def _plain(value: object) -> object:
    if isinstance(value, dt.time):
        return value.isoformat("minutes")
    if isinstance(value, frozenset):
        return sorted(str(role) for role in value)
    return value


def _read(name: str, value: object) -> object:
    if name in ("quiet_from", "quiet_until"):
        return dt.time.fromisoformat(str(value))
    if name == "silent":
        return frozenset(Role(role) for role in value) if isinstance(value, list) else frozenset()
    return value
