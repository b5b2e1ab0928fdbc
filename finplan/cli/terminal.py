"""Open the terminal interface."""

from __future__ import annotations

import os
import sys
import traceback

from finplan.cli.errors import FAILED, tell
from finplan.cli.options import shared
from finplan.trade.errors import BadInput


def open_terminal() -> int:
    """Run the terminal interface on the data the shared options name; return the exit status.

    Raises:
        BadInput: there is no terminal to draw on.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput(
            "the terminal interface needs a terminal: name a command instead, "
            "`finplan --help` lists them"
        )
    from finplan.tui import run
    from finplan.tui.crash import TerminalFailed

    told = shared()
    try:
        return run(told.data, told.now, told.units, told.zone)
    except TerminalFailed as failed:
        if os.environ.get("FINPLAN_DEBUG"):
            traceback.print_exception(failed.__cause__)
        return tell(str(failed), FAILED)
