"""``calendar --push``: the calendar chosen, the push, and what a person changed there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finplan.cli import show
from finplan.cli.options import session
from finplan.cli.output import paragraph, say
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.services.pushing import Place, Pushed
    from finplan.services.session import Session


@dataclass(frozen=True, slots=True)
class PushWords:
    """What was said on the command line about where to push."""

    url: str | None
    user: str | None
    into: str | None
    password_command: str
    dry_run: bool


def push_projects(projects: tuple[str, ...], words: PushWords) -> None:
    """Push, and say what was sent and what people changed."""
    from finplan.calendars.account import Account, password_of
    from finplan.services.pushing import push_calendar

    with session() as opened:
        place = _account(opened, words)
        password = password_of(Account(place.url, place.user), words.password_command)
        place = _calendar(place, password, words.into)
        pushed = push_calendar(opened, projects, place, password, dry_run=words.dry_run)
        _tell(pushed, words.dry_run)


def _account(opened: Session, words: PushWords) -> Place:
    from finplan.services.pushing import Place, kept_place

    kept = kept_place(opened)
    if words.url is None and words.user is None and kept is not None:
        return kept
    if not words.url or not words.user:
        raise BadInput("say where: --url https://… and --user NAME (they are kept)", "--push")
    same = kept is not None and (kept.url, kept.user) == (words.url, words.user)
    return kept if same and kept is not None else Place(words.url, words.user)


def _calendar(place: Place, password: str, into: str | None) -> Place:
    """Choose the calendar; without a word the one pushed to before, or the only one there is."""
    from finplan.services.pushing import calendars_at, chosen

    if into is None and place.calendar:
        return place
    found = calendars_at(place, password)
    if into is None and len(found) == 1:
        return chosen(place, found, found[0].url)
    return chosen(place, found, into or "")


def _tell(pushed: Pushed, dry_run: bool) -> None:
    report = pushed.report
    done = "would be " if dry_run else ""
    say(
        f"{len(report.created)} {done}created, {len(report.updated)} {done}changed, "
        f"{len(report.deleted)} {done}removed, {report.unchanged} as they were"
    )
    offered = {offer.title for offer in pushed.offers}
    for conflict in report.conflicts:
        title = conflict.title
        if title not in offered:
            paragraph(f"{title}: {conflict.change.value} in the calendar; left as it is there")
    for offer in pushed.offers:
        when = show.moment(offer.start, offer.zone)
        paragraph(f"{offer.title}: moved to {when} in the calendar.")
        paragraph(f"{offer.answer} To take that as a wish:", "    ")
        say(f"    finplan record wish {offer.project} {offer.step} --at {show.iso(offer.start)}")
