"""Calendars on CalDAV servers: where they are, which one is meant, what is remembered of them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.calendars.server import CalendarFound, CalendarServer
    from finplan.services.session import Session

PUSHED_TO = "caldav"
"""Setting that keeps which calendar is kept like the plan; the password is never in it."""


@dataclass(frozen=True, slots=True)
class Place:
    """A calendar on a server, and a list for tasks.

    ``calendar`` and ``tasks`` are their addresses, '' while none is chosen.
    """

    url: str
    user: str
    calendar: str = ""
    tasks: str = ""


_NAMES = tuple(field.name for field in fields(Place))


def kept_place(session: Session, setting: str) -> Place | None:
    """Return the calendar used before, None where there was none."""
    with session.store.unit(writes=False) as unit:
        kept = unit.settings.get(setting)
    if not isinstance(kept, dict):
        return None
    return Place(**{name: str(kept.get(name, "")) for name in _NAMES})


def keep_place(session: Session, setting: str, place: Place) -> None:
    """Remember a calendar for the next time."""
    with session.store.unit() as unit:
        unit.settings.put(setting, asdict(place))
        unit.commit()


def calendars_at(place: Place, password: str) -> tuple[CalendarFound, ...]:
    """Return the calendars of an account, to choose from.

    Raises:
        BadInput: the address, the name or the password is wrong, or the server is away.
    """
    from finplan.calendars.account import Account
    from finplan.calendars.server import calendars_of, connected

    with connected(Account(place.url, place.user), password) as client:
        return calendars_of(client)


def address_of(found: Collection[CalendarFound], name: str, option: str) -> str:
    """Return the address of the calendar of that name (or address).

    Args:
        found: an account's calendars.
        name: what the person calls the one meant, '' where nothing was said.
        option: the option that said so, for the error.

    Raises:
        BadInput: there is none, or more than one; the sentence lists those there are.
    """
    fitting = [one for one in found if name in (one.name, one.url)]
    if len(fitting) == 1:
        return fitting[0].url
    listed = ", ".join(f"{one.name or 'unnamed'} ({one.url})" for one in found) or "none"
    if not name:
        raise BadInput(f"say which calendar of the account: one of {listed}", option)
    word = "several calendars" if fitting else "no calendar"
    raise BadInput(f"the account has {word} {name!r}: give one of {listed}", option)


@contextmanager
def connected_to(place: Place, password: str) -> Iterator[Callable[[str], CalendarServer]]:
    """Connect to an account; what is yielded opens one of its calendars by its address."""
    from finplan.calendars.account import Account
    from finplan.calendars.server import CalendarServer, connected

    with connected(Account(place.url, place.user), password) as client:
        yield lambda address: CalendarServer(client, address)
