"""The root command: which verb lives in which file, loaded only when used."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence

import click

from finplan import __version__
from finplan.cli.errors import status_of
from finplan.cli.options import shared_options
from finplan.trade.errors import BadInput

VERBS: dict[str, tuple[str, str]] = {
    "sample": ("projects", "load a sample project and print its plan"),
    "projects": ("projects", "list the projects, with state and next date"),
    "new": ("projects", "start a project from a cut list"),
    "load": ("projects", "read a project from a file"),
    "save": ("projects", "write a project, journal included, to a file"),
    "parts": ("projects", "list parts, or take them from a cut list"),
    "workshop": ("workshop", "show who works when and where, or change it"),
    "now": ("now", "say what is drying, what comes next, and the air"),
    "plan": ("plans", "print the dated plan"),
    "why": ("plans", "say what a step waits for"),
    "chance": ("chance", "say how likely a project is ready by a date"),
    "levers": ("plans", "say what would bring the date forward most"),
    "record": ("records", "record what was done"),
    "correct": ("journal", "correct an entry of the journal"),
    "undo": ("journal", "undo what was recorded or changed last"),
    "redo": ("journal", "bring back what was undone last"),
    "journal": ("journal", "list what happened"),
    "install": ("upkeep", "put a piece into use, to keep it up for years"),
    "upkeep": ("upkeep", "what installed pieces need, and when"),
    "due": ("due", "list what is due now or soon"),
    "calendar": ("calendar", "write the reminders for a calendar program"),
    "remind": ("remind", "ring what is due by a timer of your system"),
    "busy": ("busy", "take busy times from a person's calendar"),
    "chart": ("prints", "draw the plan, or how a coat dries, as a picture"),
    "card": ("prints", "write a shop card to print, with boxes to tick"),
    "dry": ("air", "say when a coat is dry"),
    "learned": ("air", "what dryness checks have taught of each finish"),
    "air": ("air", "dew point and wood moisture; keep readings"),
    "materials": ("shelf", "litres, cans and cost of a project"),
    "finishes": ("shelf", "list the finishes, every number with its source"),
    "where": ("data", "say where the data is kept"),
    "backup": ("data", "copy all data to a file"),
    "restore": ("data", "bring all data back from a copy"),
    "check": ("data", "check the data for faults"),
}
"""Verb -> (module in this package, one line of help)."""


class LazyVerbs(click.Group):
    """The verbs of finplan; a verb's module is imported when the verb is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the verbs in the order of the help."""
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a verb's command, importing its module."""
        if cmd_name not in VERBS:
            return None
        module = importlib.import_module(f"finplan.cli.{VERBS[cmd_name][0]}_verbs")
        found = getattr(module, f"{cmd_name}_verb")
        return found if isinstance(found, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of verbs without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, about) for name, (_, about) in VERBS.items()])


@click.group(
    "finplan",
    cls=LazyVerbs,
    invoke_without_command=True,
    params=shared_options(from_environment=True),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name="finplan")
@click.pass_context
def root(ctx: click.Context) -> int | None:
    """Plan wood finishing: when each coat is really dry, and what to do next.

    Without a command the terminal interface opens.
    """
    if ctx.invoked_subcommand is None:
        from finplan.cli.terminal import open_terminal

        return open_terminal()
    return None


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status: 0 done, 1 failed, 2 bad input."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if any("\0" in word for word in words):
            raise BadInput("an argument holds the character NUL: remove it")
        result = root.main(
            args=words,
            prog_name="finplan",
            standalone_mode=False,
        )
        sys.stdout.flush()
    except (Exception, KeyboardInterrupt, SystemExit) as error:
        return status_of(error)
    return result if isinstance(result, int) else 0
