"""``due``: what is due now or soon."""

from __future__ import annotations

import datetime as dt
from typing import Any

import click

from finplan.cli import show
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import paragraph, print_json, say

SOMETHING_DUE = 10
"""Exit status with ``--exit-code`` where something is due."""


@verb("due")
@click.option("--within", metavar="TIME", help="look ahead: 36h, 2 d")
@click.option("--exit-code", is_flag=True, help="end with status 10 where something is due")
@json_option
def due_verb(within: str | None, exit_code: bool, as_json: bool) -> int:
    """List what is due now or soon, most pressing first."""
    from finplan.services.due import due
    from finplan.trade.quantities import parse_duration

    hours = parse_duration(within, "--within", "h") if within is not None else 0.0
    with session() as opened:
        found = due(opened, dt.timedelta(hours=hours))
        now = opened.now
    if as_json:
        print_json({"now": show.iso(now), "items": [_item_json(one.item) for one in found]})
    elif not found:
        ahead = f" within {show.duration(hours * 60)}" if hours else ""
        say(f"Nothing is due{ahead}.")
    else:
        for one in found:
            item = one.item
            when = f"{show.moment(item.at, one.zone)} until {show.moment(item.until, one.zone)}"
            paragraph(f"{item.what} ({item.project})", " " * 16, f"{item.state.value:<14}  ")
            say(f"{' ' * 16}{when}")
    return SOMETHING_DUE if exit_code and found else 0


def _item_json(item: Any) -> dict[str, Any]:
    return {
        "what": item.what,
        "project": item.project,
        "batch": item.batch,
        "step": item.step,
        "at": show.iso(item.at),
        "until": show.iso(item.until),
        "state": item.state.value,
    }
