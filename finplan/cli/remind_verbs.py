"""``remind``: a timer of the person's own system that rings what is due."""

from __future__ import annotations

import sys
from pathlib import Path
from urllib.parse import urlsplit

import click

from finplan.cli.options import Verbs, shared
from finplan.cli.output import say
from finplan.trade.errors import BadInput


@click.group("remind", cls=Verbs)
def remind_verb() -> None:
    """Ring what is due by a timer of your own system, also when finplan is not open."""


@remind_verb.command("install")
@click.option("--yes", is_flag=True, help="do it; without, it is only shown")
def install_verb(yes: bool) -> None:
    """Show the timer, and with --yes put it in place."""
    from finplan.alerts.timer import install, install_plan, timer_kind

    plan = install_plan(timer_kind(sys.platform), _command(), Path.home())
    click.echo(plan.shown())
    if not yes:
        say("Nothing is done yet: run it again with --yes to put this in place.")
        return
    install(plan)
    say(f"In place: {plan.kind.value} asks every few minutes what is due.")


@remind_verb.command("remove")
def remove_verb() -> None:
    """Take the timer out again."""
    from finplan.alerts.timer import remove, timer_kind

    removed = remove(timer_kind(sys.platform), Path.home())
    say("The timer is taken out." if removed else "There was no timer.")


@remind_verb.command("status")
def status_verb() -> None:
    """Say whether the timer is in place."""
    from finplan.alerts.timer import is_installed, timer_kind

    kind = timer_kind(sys.platform)
    there = is_installed(kind, Path.home())
    say(f"{kind.value}: {'in place' if there else 'no timer'}")


def _command() -> tuple[str, ...]:
    """Return what the timer runs; a password would stand in a file that others can read."""
    data = shared().data
    if data is None:
        place: tuple[str, ...] = ()
    elif "://" not in data:
        place = ("--data", str(Path(data).expanduser().absolute()))
    elif urlsplit(data).password:
        raise BadInput("leave the password out of the address and keep it in ~/.pgpass", "--data")
    else:
        place = ("--data", data)
    return (sys.executable, "-m", "finplan", *place, "due", "--notify")
