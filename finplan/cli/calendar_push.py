"""``calendar --push``: the calendar chosen, the push, and what a person changed there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.cli import show
from finplan.cli.caldav_words import AccountWords, calendar_meant
from finplan.cli.options import session
from finplan.cli.output import paragraph, say

if TYPE_CHECKING:
    from finplan.services.pushing import Pushed


def push_projects(projects: tuple[str, ...], words: AccountWords, *, dry_run: bool) -> None:
    """Push, and say what was sent and what people changed."""
    from finplan.services.caldav import PUSHED_TO, kept_place
    from finplan.services.pushing import push_calendar

    with session() as opened:
        place, password = calendar_meant(words, kept_place(opened, PUSHED_TO))
        pushed = push_calendar(opened, projects, place, password, dry_run=dry_run)
        _tell(pushed, dry_run)


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
