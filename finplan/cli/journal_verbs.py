"""``journal``, ``correct``, ``undo`` and ``redo``."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from typing import TYPE_CHECKING, Any

import click

from finplan.cli import show
from finplan.cli.moved import print_moved
from finplan.cli.options import json_option, session, verb
from finplan.cli.output import paragraph, print_json, say
from finplan.trade.errors import BadInput
from finplan.trade.quantities import Units, format_temperature, format_volume

if TYPE_CHECKING:
    from collections.abc import Callable
    from zoneinfo import ZoneInfo

    from finplan.journal.entries import Entry
    from finplan.services.editing import Edited
    from finplan.services.journal import Listed
    from finplan.services.session import Session
    from finplan.services.write import Recorded

_MEASURED: dict[str, tuple[str, Callable[[float, Units], str]]] = {
    "amount_l": ("amount", format_volume),
    "temperature_c": ("temperature", format_temperature),
    "humidity_percent": ("humidity", lambda value, _: f"{value:g} %"),
}
_FIELDS = (
    "uid",
    "recorded_at",
    "at",
    "project",
    "kind",
    "batch",
    "load",
    "step",
    "by",
    "about",
    "undone",
    "details",
)


@verb("journal")
@click.argument("project", required=False)
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="print CSV")
def journal_verb(project: str | None, as_json: bool, as_csv: bool) -> None:
    """List what happened, as it was written."""
    from finplan.services.journal import entries_of
    from finplan.services.when import zone_for

    if as_json and as_csv:
        raise BadInput("give --json or --csv, not both", "journal")
    with session() as opened:
        listed = entries_of(opened, project)
        zone = zone_for(opened, workshop_of(opened, project))
    if as_json:
        print_json({"entries": [_plain(one) for one in listed]})
    elif as_csv:
        _print_csv(listed)
    elif not listed:
        say("Nothing is recorded yet.")
    else:
        for one in listed:
            _print_entry(one, zone, opened.units)


def workshop_of(opened: Session, project: str | None) -> str | None:
    """Return the workshop of a project, None where no project is named."""
    if project is None:
        return None
    with opened.store.unit(writes=False) as unit:
        return unit.projects.get(project).workshop


def _plain(one: Listed) -> dict[str, Any]:
    entry = one.entry
    values: tuple[Any, ...] = (
        str(entry.uid),
        show.iso(entry.recorded_at),
        show.iso(entry.at),
        entry.project,
        entry.kind.value,
        entry.batch,
        entry.load,
        entry.step,
        entry.by,
        str(entry.about) if entry.about else None,
        one.undone,
        dict(entry.details),
    )
    return dict(zip(_FIELDS, values, strict=True))


def _print_csv(listed: tuple[Listed, ...]) -> None:
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow(_FIELDS)
    for one in listed:
        plain = _plain(one)
        plain["details"] = json.dumps(plain["details"], ensure_ascii=False, sort_keys=True)
        writer.writerow("" if value is None else value for value in plain.values())
    click.echo(page.getvalue(), nl=False)


def _print_entry(one: Listed, zone: ZoneInfo, units: Units) -> None:
    when = show.moment(one.entry.at, zone)
    undone = "undone: " if one.undone else ""
    lead = f"{str(one.entry.uid)[:8]}  {when}  "
    paragraph(f"{undone}{words(one.entry, zone, units)}", " " * 10, lead)


def words(entry: Entry, zone: ZoneInfo, units: Units) -> str:
    """Return an entry for people."""
    load = f" load {entry.load}" if entry.loads > 1 else ""
    place = f"{entry.batch}{load}, {entry.step}" if entry.batch else ""
    kind = "" if "note" in entry.details and entry.kind.value == "note" else entry.kind.value
    told = [f"{entry.project}:", kind, place]
    if entry.about is not None:
        told.append(f"of {str(entry.about)[:8]}")
    details = entry.details
    if "stage" in details and "reached" in details:  # told as "dry-to-recoat not yet"
        told.append(f"{details['stage']} {'reached' if details['reached'] else 'not yet'}")
        details = {name: one for name, one in details.items() if name not in ("stage", "reached")}
    told.append("; ".join(_detail(name, value, zone, units) for name, value in details.items()))
    if entry.by:
        told.append(f"by {entry.by}")
    return " ".join(part for part in told if part)


def _detail(name: str, value: object, zone: ZoneInfo, units: Units) -> str:
    if name in ("at", "started", "start") and isinstance(value, str):
        value = show.moment(dt.datetime.fromisoformat(value), zone)
    if name in _MEASURED and isinstance(value, int | float):
        word, written = _MEASURED[name]
        return f"{word} {written(float(value), units)}"
    return f"{name.replace('_', ' ')} {value}"


@verb("correct")
@click.argument("project")
@click.argument("entry")
@click.option("--at", metavar="WHEN", help="when it really ended")
@click.option("--started", metavar="WHEN", help="when it really began")
@click.option("--amount", metavar="VOLUME", help="what was really used up")
@click.option("--can", metavar="LABEL", help="the can it really came from")
@click.option("--temp", metavar="TEMPERATURE", help="air: 18 C, 65 F")
@click.option("--rh", metavar="PERCENT", help="air: 55")
@click.option("--quantity", type=int, help="pieces really spoiled")
@click.option("--note", metavar="TEXT", help="the note as it should be")
@click.option("--by", default="", metavar="NAME", help="who corrects")
def correct_verb(project: str, entry: str, by: str, **given: Any) -> None:
    """Correct an entry of the journal.

    ENTRY is the first letters of its uid as `finplan journal` lists it, or "last". The entry
    itself stays; the correction is an entry of its own.
    """
    from finplan.services.journal import correct, find_entry
    from finplan.services.when import zone_for

    with session() as opened:
        meant = find_entry(opened, project, entry)
        zone = zone_for(opened, workshop_of(opened, project))
        changes = _changes(opened, zone, given)
        if not changes:
            raise BadInput("nothing to correct: give at least one of the options", "correct")
        recorded = correct(opened, meant, changes, by=by)
    paragraph(f"corrected: {words(meant, zone, opened.units)}", "  ", "")
    for name, value in changes.items():
        say(f"  now {_detail(name, value, zone, opened.units)}")
    print_moved(recorded.moved)


def _changes(opened: Session, zone: ZoneInfo, given: dict[str, Any]) -> dict[str, object]:
    from finplan.trade.moments import parse_moment
    from finplan.trade.quantities import parse_humidity, parse_temperature, parse_volume

    changes: dict[str, object] = {}
    for name in ("at", "started"):
        if given[name] is not None:
            instant = parse_moment(given[name], opened.now, zone, f"--{name}", past=True)
            changes[name] = instant.isoformat()
    if given["amount"] is not None:
        changes["amount_l"] = parse_volume(given["amount"], "--amount")
    if given["temp"] is not None:
        changes["temperature_c"] = parse_temperature(
            given["temp"], "--temp", opened.units.degree_letter
        )
    if given["rh"] is not None:
        changes["humidity_percent"] = parse_humidity(given["rh"], "--rh")
    for name in ("can", "quantity", "note"):
        if given[name] is not None:
            changes[name] = given[name]
    return changes


@verb("undo")
@click.argument("project", required=False)
def undo_verb(project: str | None) -> None:
    """Undo what was recorded or changed last, in PROJECT or in all projects and workshops."""
    from finplan.services.undoing import Meant, undo_last

    with session() as opened:
        done = undo_last(opened, Meant([project]) if project else None)
        _print_word(opened, "undone", done)


@verb("redo")
@click.argument("project", required=False)
def redo_verb(project: str | None) -> None:
    """Bring back what was undone last, in PROJECT or in all projects and workshops."""
    from finplan.services.undoing import Meant, redo_last

    with session() as opened:
        done = redo_last(opened, Meant([project]) if project else None)
        _print_word(opened, "brought back", done)


def _print_word(opened: Session, word: str, done: Recorded | Edited) -> None:
    from finplan.services.editing import Edited
    from finplan.services.when import zone_for

    if isinstance(done, Edited):
        paragraph(f"{word}: {done.of}: {done.words}", "  ", "")
    else:
        meant = done.subject or done.entry
        zone = zone_for(opened, workshop_of(opened, meant.project))
        paragraph(f"{word}: {words(meant, zone, opened.units)}", "  ", "")
    print_moved(done.moved)
