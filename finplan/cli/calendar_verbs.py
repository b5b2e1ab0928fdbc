"""``calendar``: the reminders for a calendar program."""

from __future__ import annotations

from pathlib import Path

import click

from finplan.cli.options import session, shared, verb
from finplan.cli.output import paragraph, say
from finplan.trade.errors import BadInput


@verb("calendar")
@click.argument("projects", metavar="[PROJECT]...", nargs=-1)
@click.option(
    "-o",
    "--output",
    "file",
    metavar="FILE.ics",
    type=click.Path(path_type=Path),
    help="the file to write",
)
@click.option("--feed", is_flag=True, help="for programs that read the file again and again")
@click.option("--serve", is_flag=True, help="serve feed and page at an address of this machine")
@click.option(
    "--host", default="127.0.0.1", metavar="ADDRESS", help="with --serve: where to listen"
)
@click.option("--port", default=8765, metavar="PORT", help="with --serve: 0 takes any free one")
@click.option("--new-address", is_flag=True, help="with --serve: change the secret address first")
def calendar_verb(
    projects: tuple[str, ...],
    file: Path | None,
    *,
    feed: bool,
    serve: bool,
    host: str,
    port: int,
    new_address: bool,
) -> None:
    """Write the reminders for a calendar program.

    Work sessions, recoat windows, turning, wiping, rags, curing and what to buy, with alarms.
    Without PROJECT those of all projects. Many programs take no changes from a file imported a
    second time: let them read a --feed file, or the address of --serve, where they can.
    """
    if serve == (file is not None):
        raise BadInput("give either a file with -o, or --serve", "calendar")
    if file is None:
        _serve(projects, host, port, new_address)
    else:
        _export(projects, file, feed)


def _export(projects: tuple[str, ...], file: Path, feed: bool) -> None:
    from finplan.services.calendar import export_calendar

    with session() as opened:
        done = export_calendar(opened, projects, file, feed=feed)
    events = f"{done.events} {'event' if done.events == 1 else 'events'}"
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
