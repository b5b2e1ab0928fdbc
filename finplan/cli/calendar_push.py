"""``calendar --push``: the calendar chosen, the push, and what a person did there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from finplan.cli import show
from finplan.cli.caldav_words import AccountWords, calendar_meant
from finplan.cli.options import session
from finplan.cli.output import paragraph, say
from finplan.cli.records_verbs import named, print_recorded

if TYPE_CHECKING:
    from finplan.calendars.push import Conflict
    from finplan.services.pushing import Offer, Pushed, TakenUp


def push_projects(
    projects: tuple[str, ...], words: AccountWords, *, dry_run: bool, take: bool
) -> None:
    """Push, say what was sent and what people did; with ``take`` follow them and push again."""
    from finplan.services.caldav import PUSHED_TO, kept_place
    from finplan.services.pushing import push_calendar, take_up

    with session() as opened:
        place, password = calendar_meant(words, kept_place(opened, PUSHED_TO))
        pushed = push_calendar(opened, projects, place, password, dry_run=dry_run)
        _tell_counts(pushed, dry_run)
        for conflict in pushed.left:
            paragraph(
                f"{conflict.title}: {conflict.change.value} in the calendar; {_left(conflict)}"
            )
        for offer in pushed.offers:
            _tell_offer(offer, take)
        taken = take_up(opened, pushed.offers) if take else ()
        for one in taken:
            _tell_taken(one)
        if any(one.recorded for one in taken):
            _tell_counts(push_calendar(opened, projects, place, password), dry_run)


def _left(conflict: Conflict) -> str:
    if conflict.row.cancelled_at is None:
        return "left as it is there"
    return "the plan has it no more, delete it there if you like"


def _tell_counts(pushed: Pushed, dry_run: bool) -> None:
    report = pushed.report
    done = "would be " if dry_run else ""
    say(
        f"{len(report.created)} {done}created, {len(report.updated)} {done}changed, "
        f"{len(report.deleted)} {done}removed, {report.unchanged} as they were"
    )


def _tell_offer(offer: Offer, taken: bool) -> None:
    step, when = offer.step, show.moment(offer.at, offer.zone)
    what = f"{named(step)} of {step.project}"
    asked = f"record {what} as done {when}?" if offer.ticked else f"move {what} to {when}?"
    how = "ticked off" if offer.ticked else "moved"
    if offer.possible:
        paragraph(f"{how} in the calendar: {asked} {offer.answer}".rstrip(), "    ", "")
        verb = "step" if offer.ticked else "wish"
        if not taken:
            say(f"    finplan record {verb} {step.project} {step.id} --at {show.iso(offer.at)}")
    else:
        refused = f"moved in the calendar: {what} cannot be moved to {when}. {offer.answer}"
        paragraph(refused, "    ", "")


def _tell_taken(one: TakenUp) -> None:
    step = one.offer.step
    if one.recorded is None:
        paragraph(f"{named(step)} of {step.project} is not recorded: {one.refused}", "    ", "")
        return
    when = show.moment(one.offer.at, one.offer.zone)
    what = f"done: {named(step)}" if one.offer.ticked else f"wish: {named(step)} at {when}"
    print_recorded(one.recorded, what, one.offer.zone, with_time=one.offer.ticked)
