"""A session: the open store, the moment it is, and how a person wants to see things."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from finplan.trade.errors import BadInput
from finplan.trade.moments import find_zone
from finplan.trade.quantities import Units

if TYPE_CHECKING:
    from finplan.store.store import Store

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Session:
    """What every use case takes first.

    ``clock`` gives the present as aware UTC; it stands still where a moment was asked for.
    ``zone`` is the IANA zone to show times in, None for the workshop's own. ``memo`` keeps what
    was made in this session (``once``), by the data's change stamp and what was asked.
    """

    store: Store
    clock: Callable[[], dt.datetime]
    units: Units = Units.METRIC
    zone: str | None = None
    memo: dict[Hashable, Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def now(self) -> dt.datetime:
        """The present moment, aware UTC."""
        return self.clock()

    def once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Return what was made under a key in this session; it is made where nothing was yet."""
        if key not in self.memo:
            self.memo[key] = make()
        made: Made = self.memo[key]
        return made


def parse_now(text: str, where: str = "--now") -> dt.datetime:
    """Return an ISO 8601 instant as aware UTC; a time without an offset is refused."""
    try:
        instant = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(
            f"{text!r} is no moment in ISO 8601: write it like 2026-10-14T18:00+02:00", where
        ) from None
    if instant.tzinfo is None:
        raise BadInput(
            f"{text!r} has no offset from UTC: add one, like +02:00, or Z for UTC", where
        )
    try:
        return instant.astimezone(dt.UTC)
    except OverflowError:
        raise BadInput(f"{text!r} is out of range: give a year from 2 to 9998", where) from None


@contextmanager
def open_session(
    data: str | None = None,
    now: str | dt.datetime | None = None,
    units: str | None = None,
    zone: str | None = None,
) -> Iterator[Session]:
    """Open the store at ``data`` (a file, a database URL; None for the usual place).

    Args:
        data: where the data is.
        now: the moment to take as the present, aware or ISO text; None for the real one.
        units: ``metric`` or ``imperial``; None is metric.
        zone: IANA zone to show times in; None for each workshop's own.
    """
    from finplan.store.store import open_store

    if isinstance(now, str):
        now = parse_now(now)
    if units is not None and units not in tuple(Units):
        raise BadInput(f"{units!r}: give metric or imperial", "--units")
    if zone is not None:
        find_zone(zone, "--zone")
    clock = _clock(now)
    with open_store(data) as store:
        yield Session(store, clock, Units(units or Units.METRIC), zone)


def _clock(now: dt.datetime | None) -> Callable[[], dt.datetime]:
    if now is None:
        return lambda: dt.datetime.now(dt.UTC)
    if now.tzinfo is None:
        raise BadInput(f"{now.isoformat()} has no offset from UTC: give an aware time", "now")
    fixed = now.astimezone(dt.UTC)
    return lambda: fixed
