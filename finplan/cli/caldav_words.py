"""The account and the calendar of a server, as the command line asks for them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.caldav import Place


NO_TASKS = "none"
"""In place of a list's name: keep no tasks any more."""


@dataclass(frozen=True, slots=True)
class AccountWords:
    """What was said of an account: ``calendar`` by ``option``, for ``verb``."""

    url: str | None
    user: str | None
    calendar: str | None
    password_command: str
    verb: str
    option: str
    tasks: str | None = None


def calendar_meant(words: AccountWords, kept: Place | None) -> tuple[Place, str]:
    """Return the calendar meant and the account's password.

    Without a word it is the one used before, or the only one the account has.

    Args:
        words: what was said.
        kept: the calendar used before, None where there was none.

    Raises:
        BadInput: no account is known, or it has several calendars to choose from.
    """
    from finplan.calendars.account import Account, password_of
    from finplan.services.caldav import address_of, calendars_at

    place = _account(words, kept)
    password = password_of(Account(place.url, place.user), words.password_command)
    known = words.calendar is None and place.calendar
    if known and words.tasks is None:
        return place, password
    found = calendars_at(place, password)
    if not known:
        only = found[0].url if len(found) == 1 else ""
        name = words.calendar if words.calendar is not None else only
        place = replace(place, calendar=address_of(found, name, words.option))
    if words.tasks is not None:
        tasks = address_of(found, words.tasks, "--tasks") if words.tasks != NO_TASKS else ""
        place = replace(place, tasks=tasks)
    return place, password


def _account(words: AccountWords, kept: Place | None) -> Place:
    from finplan.services.caldav import Place

    if words.url is None and words.user is None and kept is not None:
        return kept
    if not words.url or not words.user:
        raise BadInput("say where: --url https://… and --user NAME (they are kept)", words.verb)
    same = kept is not None and (kept.url, kept.user) == (words.url, words.user)
    return kept if same and kept is not None else Place(words.url, words.user)
