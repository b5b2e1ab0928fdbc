"""``due``: what is due now or soon."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import paragraph, print_json, say

if TYPE_CHECKING:
    from finplan.services.session import Session
    from finplan.tracking.due import DueItem

NOT_DELIVERED = 3
"""Exit status with ``--notify`` where something should have rung and nobody can have seen it."""

SOMETHING_DUE = 10
"""Exit status with ``--exit-code`` where something is due."""


@verb("due")
@click.option("--within", metavar="TIME", help="look ahead: 36h, 2 d")
@click.option("--exit-code", is_flag=True, help="end with status 10 where something is due")
@click.option("--notify", is_flag=True, help="raise a desktop notice for each alarm that has come")
@json_option
def due_verb(within: str | None, exit_code: bool, notify: bool, as_json: bool) -> int:
    """List what is due now or soon, most pressing first.

    With --notify each alarm rings once on this machine; ends with status 3 where a notice could
    not be delivered.
    """
    from finplan.services.due import due
    from finplan.trade.quantities import parse_duration

    hours = parse_duration(within, "--within", "h") if within is not None else 0.0
    with session() as opened:
        found = due(opened, dt.timedelta(hours=hours))
        now = opened.now
        delivered = _ring(opened) if notify else True
    if as_json:
        print_json({"now": show.iso(now), "items": [item_json(one.item) for one in found]})
    elif not found:
        ahead = f" within {show.duration(hours * 60)}" if hours else ""
        say(f"Nothing is due{ahead}.")
    else:
        for one in found:
            item = one.item
            when = f"{show.moment(item.at, one.zone)} until {show.moment(item.until, one.zone)}"
            paragraph(f"{item.what} ({item.project})", " " * 16, f"{item.state.value:<14}  ")
            say(f"{' ' * 16}{when}")
    if not delivered:
        return NOT_DELIVERED
    return SOMETHING_DUE if exit_code and found else 0


def _ring(opened: Session) -> bool:
    """Raise the desktop notices; say on stderr what was not delivered."""
    from finplan.services.notify import memory_path, ring_due

    rang = ring_due(opened, memory_path())
    for failure in rang.failures:
        click.echo(failure, err=True)
    return not rang.failures


def item_json(item: DueItem) -> dict[str, Any]:
    """Return a due item."""
    return {
        "what": item.what,
        "project": item.project,
        "batch": item.batch,
        "step": item.step,
        "at": show.iso(item.at),
        "until": show.iso(item.until),
        "state": item.state.value,
    }
