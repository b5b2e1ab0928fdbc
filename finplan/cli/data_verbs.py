"""``where``, ``backup``, ``restore`` and ``check``: the data is yours and safe."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from finplan.cli.errors import DONE, FAILED
from finplan.cli.options import json_option, session, shared, verb
from finplan.cli.output import paragraph, print_json, say

_file = click.argument("file", type=click.Path(path_type=Path))


@verb("where")
@json_option
def where_verb(as_json: bool) -> None:
    """Say where the data is kept."""
    from finplan.services.data import where

    with session() as opened:
        found = where(opened)
    if as_json:
        print_json(
            {
                "data": found.shown,
                "kind": found.kind,
                "version": found.version,
                "size_bytes": found.size_bytes,
                "read_only": bool(found.read_only),
            }
        )
        return
    say(found.shown)
    size = f", {found.size_bytes / 1024:.0f} kB" if found.size_bytes is not None else ""
    say(f"{found.kind}, version {found.version}{size}")
    if found.read_only:
        paragraph(found.read_only, "  ", "! ")


@verb("backup")
@_file
def backup_verb(file: Path) -> None:
    """Copy all data to a new FILE."""
    from finplan.services.data import backup

    with session() as opened:
        backup(opened, file)
    say(f"{file}: all data copied, {file.stat().st_size / 1024:.0f} kB")


@verb("restore")
@_file
def restore_verb(file: Path) -> None:
    """Bring all data back from the copy in FILE; what was there is kept beside it."""
    from finplan.services.data import restore
    from finplan.services.session import parse_now

    told = shared()
    now = parse_now(told.now) if told.now is not None else dt.datetime.now(dt.UTC)
    kept = restore(told.data, file, now)
    say(f"restored from {file}")
    if kept is not None:
        say(f"what was there is kept in {kept}")


@verb("check")
@json_option
def check_verb(as_json: bool) -> int:
    """Check the data for faults; ends with status 1 where there are any."""
    from finplan.services.data import check

    with session() as opened:
        faults = check(opened)
    if as_json:
        print_json({"faults": list(faults)})
    elif not faults:
        say("All data is sound.")
    for fault in () if as_json else faults:
        paragraph(fault, "  ", "! ")
    return FAILED if faults else DONE
