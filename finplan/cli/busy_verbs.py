"""``busy``: the hours a person has no time, from their own calendar."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from finplan.cli import show
from finplan.cli.caldav_words import AccountWords, calendar_meant
from finplan.cli.moved import print_moved
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import heading, print_json, say
from finplan.trade.errors import BadInput
from finplan.trade.names import counted

if TYPE_CHECKING:
    from finplan.services.busy import Taken, Whose


@verb("busy")
@click.argument("file", metavar="[FILE.ics]", required=False, type=click.Path(path_type=Path))
@click.option("--url", metavar="URL", help="instead of a file: a CalDAV server (kept)")
@click.option("--user", metavar="NAME", help="the account there (kept)")
@click.option("--from", "calendar", metavar="CALENDAR", help="the calendar's name (kept)")
@click.option("--password-command", default="", metavar="COMMAND", help="prints the password")
@click.option("--forget", is_flag=True, help="drop all busy times of the person")
@click.option("--hours", is_flag=True, help="list the hours in which somebody works")
@click.option("--days", type=click.IntRange(1, 366), default=14, help="of so many days; 14")
@json_option
@click.option("--workshop", default="", metavar="NAME", help="where the person works")
@click.option("--person", default="", metavar="NAME", help="whose calendar it is")
def busy_verb(
    file: Path | None,
    *,
    forget: bool,
    hours: bool,
    days: int,
    as_json: bool,
    workshop: str,
    person: str,
    **given: str | None,
) -> None:
    """Take a person's busy times from their calendar; plans keep clear of them.

    Only times are kept, no word of what they are for. They replace those taken from the same
    file or calendar before. Without a file it is the calendar taken from last; or give --url and
    --user. The password comes from the keyring, from FINPLAN_CALDAV_PASSWORD or from
    --password-command.
    """
    from finplan.services.busy import Whose

    words = AccountWords(
        given["url"], given["user"], given["calendar"], given["password_command"] or "",
        "busy", "--from",
    )  # fmt: skip
    server = any(value for value in given.values())
    if [file is not None, server, forget, hours].count(True) > 1:
        raise BadInput("give one: a file, a calendar on a server, --forget or --hours", "busy")
    if hours:
        _print_hours(workshop, days, as_json=as_json)
        return
    if as_json:
        raise BadInput("--json goes with --hours: what is taken is not told in it", "busy")
    _take(file, words, Whose(workshop, person), forget=forget)


def _print_hours(workshop: str, days: int, *, as_json: bool) -> None:
    from finplan.services.busy import hours_ahead

    with session() as opened:
        name, zone, stretches = hours_ahead(opened, workshop, days)
    if as_json:
        told = [{"start": show.iso(start), "end": show.iso(end)} for start, end in stretches]
        print_json({"workshop": name, "hours": told})
        return
    heading(f"Work hours in {name} ({zone.key}), busy times left out")
    for start, end in stretches:
        say(f"  {show.day(start, zone)}  {show.span(start, end, zone)}")
    if not stretches:
        say(f"  none in {counted(days, 'day')}")


def _take(file: Path | None, words: AccountWords, whose: Whose, *, forget: bool) -> None:
    from finplan.services.busy import busy_of_calendar, busy_of_file, busy_place, forget_busy

    with session() as opened:
        if forget:
            dropped = forget_busy(opened, whose)
            say(f"{_stretches(dropped)} of {dropped.person} dropped.")
            _say_moved(dropped)
            return
        if file is not None:
            taken = busy_of_file(opened, file, whose)
        else:
            kept = busy_place(opened, whose)
            if kept is None and not words.url and not words.user:
                raise BadInput("give a file, or --url https://… and --user NAME", "busy")
            place, password = calendar_meant(words, kept)
            taken = busy_of_calendar(opened, place, password, whose)
    say(f"{_stretches(taken)} taken; plans keep clear of them.")
    if taken.unread:
        say(f"{counted(taken.unread, 'item')} of the calendar can't be read; they block nothing.")
    _say_moved(taken)


def _say_moved(taken: Taken) -> None:
    if taken.moved:
        print_moved(taken.moved)


def _stretches(taken: Taken) -> str:
    return counted(taken.stretches, "busy stretch", "busy stretches")
