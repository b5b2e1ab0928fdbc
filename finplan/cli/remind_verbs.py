"""``remind``: a timer of the system that rings, and how it rings."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlsplit

import click

from finplan.cli.options import Verbs, session, shared
from finplan.cli.output import paragraph, say
from finplan.tracking.reminder import Role
from finplan.trade.errors import BadInput
from finplan.trade.names import counted


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


@remind_verb.command("settings")
@click.option("--session-lead", metavar="TIME", help="ring that long before a session: 90 min")
@click.option("--window-lead", metavar="TIME", help="and before the last window for a coat")
@click.option("--buy-lead", metavar="DAYS", type=click.IntRange(0, 60), help="days to buy finish")
@click.option("--quiet", metavar="HH:MM-HH:MM", help="ring nothing then: 22:00-07:00; 'none'")
@click.option("--silent", metavar="ROLE", multiple=True, help="leave out a role; 'none' of them")
def settings_verb(
    session_lead: str | None,
    window_lead: str | None,
    buy_lead: int | None,
    quiet: str | None,
    silent: tuple[str, ...],
) -> None:
    """Show how reminders are timed, or change it."""
    from finplan.services.reminding import keep_settings, kept_settings

    with session() as opened:
        before = kept_settings(opened)
        after = before
        if session_lead is not None:
            after = replace(after, session_lead_minutes=_minutes(session_lead, "--session-lead"))
        if window_lead is not None:
            after = replace(after, window_lead_minutes=_minutes(window_lead, "--window-lead"))
        if buy_lead is not None:
            after = replace(after, buy_lead_days=buy_lead)
        if quiet is not None:
            begins, ends = _quiet(quiet)
            after = replace(after, quiet_from=begins, quiet_until=ends)
        if silent:
            after = replace(after, silent=_roles(silent))
        if after != before:
            keep_settings(opened, after)
    say(f"a session rings {after.session_lead_minutes} min before it begins")
    say(f"a recoat window rings {after.window_lead_minutes} min before its last work window")
    say(f"finish is to be bought {counted(after.buy_lead_days, 'day')} before it is needed")
    hours = f"{after.quiet_from:%H:%M} to {after.quiet_until:%H:%M}"
    say(f"quiet: {'never' if after.quiet_from == after.quiet_until else hours}")
    left_out = ", ".join(sorted(role.value for role in after.silent)) or "nothing"
    paragraph(f"left out: {left_out}")


def _minutes(text: str, where: str) -> int:
    from finplan.trade.quantities import parse_duration

    return round(parse_duration(text, where, "min") * 60)


def _quiet(text: str) -> tuple[dt.time, dt.time]:
    if text.strip().casefold() == "none":
        return dt.time(0), dt.time(0)
    begins, _, ends = text.replace("–", "-").partition("-")
    try:
        return dt.time.fromisoformat(begins.strip()), dt.time.fromisoformat(ends.strip())
    except ValueError:
        raise BadInput(f"{text!r}: give two hours like 22:00-07:00, or none", "--quiet") from None


def _roles(names: tuple[str, ...]) -> frozenset[Role]:
    if names == ("none",):
        return frozenset()
    known = {role.value: role for role in Role}
    wrong = [name for name in names if name not in known]
    if wrong:
        raise BadInput(f"{wrong[0]!r}: give one of {', '.join(known)}", "--silent")
    return frozenset(known[name] for name in names)


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
