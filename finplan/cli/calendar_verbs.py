"""``calendar``: the reminders for a calendar program."""

from __future__ import annotations

from pathlib import Path

import click

from finplan.cli.caldav_words import AccountWords
from finplan.cli.calendar_push import push_projects
from finplan.cli.options import output_option, session, shared, verb
from finplan.cli.output import paragraph, say
from finplan.trade.errors import BadInput
from finplan.trade.names import counted


@verb("calendar")
@click.argument("projects", metavar="[PROJECT]...", nargs=-1)
@output_option("FILE.ics", required=False)
@click.option("--feed", is_flag=True, help="for programs that read the file again and again")
@click.option("--serve", is_flag=True, help="serve feed and page at an address of this machine")
@click.option(
    "--host", default="127.0.0.1", metavar="ADDRESS", help="with --serve: where to listen"
)
@click.option("--port", default=8765, metavar="PORT", help="with --serve: 0 takes any free one")
@click.option("--new-address", is_flag=True, help="with --serve: change the secret address first")
@click.option("--push", is_flag=True, help="keep a calendar on a CalDAV server like the plan")
@click.option("--url", metavar="URL", help="with --push: the server (kept for the next time)")
@click.option("--user", metavar="NAME", help="with --push: the account (kept)")
@click.option("--into", metavar="CALENDAR", help="with --push: the calendar's name (kept)")
@click.option(
    "--tasks", metavar="LIST", help="with --push: steps to tick off go there (kept; 'none')"
)
@click.option("--password-command", default="", metavar="COMMAND", help="prints the password")
@click.option("--dry-run", is_flag=True, help="with --push: only say what would be done")
@click.option("--take", is_flag=True, help="with --push: record what was ticked off or moved")
def calendar_verb(  # noqa: PLR0913 - one for each option
    projects: tuple[str, ...],
    file: Path | None,
    *,
    feed: bool,
    serve: bool,
    host: str,
    port: int,
    new_address: bool,
    push: bool,
    url: str | None,
    user: str | None,
    into: str | None,
    tasks: str | None,
    password_command: str,
    dry_run: bool,
    take: bool,
) -> None:
    """Write the reminders for a calendar program.

    Work sessions, recoat windows, turning, wiping, rags, curing and what to buy, with alarms.
    Without PROJECT those of all projects. Many programs take no changes from a file imported a
    second time: let them read a --feed file, or the address of --serve, where they can, or
    --push to a CalDAV server: there moves and removals always arrive. The password comes from
    the keyring, from FINPLAN_CALDAV_PASSWORD or from --password-command.

    What people do there is never overridden: a session moved or a task ticked off is told of,
    with the command that takes it up. With --take it is taken up at once.
    """
    if dry_run and take:
        raise BadInput("give --dry-run or --take, not both", "--push")
    if [file is not None, serve, push].count(True) != 1:
        raise BadInput("give one way: a file with -o, --serve, or --push", "calendar")
    if file is not None:
        _export(projects, file, feed)
    elif serve:
        _serve(projects, host, port, new_address)
    else:
        words = AccountWords(url, user, into, password_command, "--push", "--into", tasks)
        push_projects(projects, words, dry_run=dry_run, take=take)


def _export(projects: tuple[str, ...], file: Path, feed: bool) -> None:
    from finplan.services.calendar import export_calendar

    with session() as opened:
        done = export_calendar(opened, projects, file, feed=feed)
    events = counted(done.events, "event")
    if not done.written:
        paragraph(f"{done.path}: unchanged, {events}")
        return
    say(f"{done.path}: {events} of {', '.join(done.projects)}")
    say(f"{done.added} new, {done.changed} changed, {done.cancelled} cancelled")


def _serve(projects: tuple[str, ...], host: str, port: int, new_address: bool) -> None:
    """Serve until interrupted; the address is shown here and nowhere else."""
    from finplan.calendars.feed import CALENDAR_NAME, PAGE_NAME, feed_server, lan_warning
    from finplan.calendars.tokens import kept_token, rotate_token
    from finplan.services.calendar import calendar_wanted
    from finplan.services.serving import feed_content, token_path
    from finplan.services.session import open_session

    told = shared()
    with session() as opened:  # what is wrong with the projects is said now, not to a subscriber
        calendar_wanted(opened, projects)
    token = rotate_token(token_path()) if new_address else kept_token(token_path())
    content = feed_content(
        lambda: open_session(told.data, told.now, told.units, told.zone), projects
    )
    server = feed_server(content, token, host, port)
    warning = lan_warning(host)
    if warning is not None:
        click.echo(warning, err=True)
    say(f"calendar  {server.address}{token}/{CALENDAR_NAME}")
    say(f"what now  {server.address}{token}/{PAGE_NAME}")
    say("Keep these addresses to yourself. Ctrl+C ends it.")
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        say("Ended.")
    finally:
        server.server_close()
