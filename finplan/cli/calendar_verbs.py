"""``calendar``: the reminders for a calendar program."""

from __future__ import annotations

from pathlib import Path

import click

from finplan.cli.options import session, verb
from finplan.cli.output import paragraph, say


@verb("calendar")
@click.argument("projects", metavar="[PROJECT]...", nargs=-1)
@click.option(
    "-o",
    "--output",
    "file",
    required=True,
    metavar="FILE.ics",
    type=click.Path(path_type=Path),
    help="the file to write",
)
@click.option("--feed", is_flag=True, help="for programs that read the file again and again")
def calendar_verb(projects: tuple[str, ...], file: Path, feed: bool) -> None:
    """Write the reminders for a calendar program.

    Work sessions, recoat windows, turning, wiping, rags, curing and what to buy, with alarms.
    Without PROJECT those of all projects. Many programs take no changes from a file imported a
    second time: let them read a --feed file instead where they can.
    """
    from finplan.services.calendar import export_calendar

    with session() as opened:
        done = export_calendar(opened, projects, file, feed=feed)
    events = f"{done.events} {'event' if done.events == 1 else 'events'}"
    if not done.written:
        paragraph(f"{done.path}: unchanged, {events}")
        return
    say(f"{done.path}: {events} of {', '.join(done.projects)}")
    say(f"{done.added} new, {done.changed} changed, {done.cancelled} cancelled")
