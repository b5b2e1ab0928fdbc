"""Open the terminal interface."""

from __future__ import annotations

import sys

from finplan.cli.options import shared
from finplan.trade.errors import BadInput


def open_terminal() -> None:
    """Run the terminal interface on the data the shared options name.

    Raises:
        BadInput: there is no terminal to draw on.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput(
            "the terminal interface needs a terminal: name a command instead, "
            "`finplan --help` lists them"
        )
    from finplan.tui import run

    told = shared()
    run(told.data, told.now, told.units, told.zone)
