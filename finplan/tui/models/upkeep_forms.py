"""The forms about upkeep done: a look with what it found, work with what it took, corrections."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from finplan.services.reading import is_file, path_written
from finplan.tracking.upkeep.pieces import MOST_PHOTOS, Finding, UpkeepEntry, UpkeepKind, Work
from finplan.trade.errors import BadInput
from finplan.trade.names import counted, shown
from finplan.tui.models.forms import (
    Field,
    Form,
    Understood,
    amount_reader,
    kept_while,
    moment_reader,
    text_reader,
)
from finplan.tui.models.measures import Measures
from finplan.tui.models.paint import Role, line, tidy
from finplan.tui.models.step_forms import WHEN_HINT
from finplan.tui.models.times import local

if TYPE_CHECKING:
    from finplan.services.upkeep import PieceSeen

WATER = (Finding.BEADS, Finding.SLOW, Finding.SOAKS_IN)
SEEN = (Finding.GREYING, Finding.BARE, Finding.MILDEW, Finding.STICKY)
NOT_TRIED = "not tried"
NO_YES = (("no", "no"), ("yes", "yes"))


def look_form(
    seen: PieceSeen, now: dt.datetime, by: str, water_test: str, entry: UpkeepEntry | None = None
) -> Form:
    """Ask what an inspection found; with ``entry`` what it should have said."""
    found = set(entry.findings) if entry else {Finding.BEADS}
    water = next((finding.value for finding in WATER if finding in found), NOT_TRIED)
    fields = [
        Field(
            "water",
            "Drops",
            water,
            choices=(
                (Finding.BEADS.value, "water beads"),
                (Finding.SLOW.value, "goes in slowly"),
                (Finding.SOAKS_IN.value, "soaks in"),
                (NOT_TRIED, "not tried"),
            ),
        ),
        *(
            Field(
                finding.name.lower(),
                label,
                "yes" if finding in found else "no",
                choices=NO_YES,
            )
            for finding, label in zip(SEEN, ("Greying", "Bare", "Mildew", "Sticky"), strict=True)
        ),
        *_told_fields(seen, now, by, entry, "Looked at"),
    ]
    return Form(
        f"correct:{entry.uid}" if entry else f"look:{seen.piece.name}",
        f"{'Correct the look' if entry else 'Looked at'}: {tidy(seen.piece.title, 40)}",
        tuple(fields),
        "Correct" if entry else "Record",
        tuple(line((words, Role.QUIET)) for words in _folded(water_test)),
        check=_check_found,
    )


def _folded(words: str) -> list[str]:
    from textwrap import wrap

    return wrap(words, 68)


def _check_found(values: Mapping[str, Any]) -> None:
    if not findings_of(values):
        raise BadInput("say what was found: try the drops, or pick what was seen")


def findings_of(values: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Return what was found, by a filled form."""
    water = [finding for finding in WATER if finding.value == values["water"]]
    return (*water, *(finding for finding in SEEN if values[finding.name.lower()] == "yes"))


def done_form(
    seen: PieceSeen,
    now: dt.datetime,
    by: str,
    measures: Measures,
    *,
    kind: UpkeepKind,
    cautions: tuple[str, ...] = (),
    entry: UpkeepEntry | None = None,
) -> Form:
    """Ask what was done to a piece, and what it took; with ``entry`` what should have been said."""
    litres = entry.litres if entry else None
    used = measures.volume(litres, 3) if litres is not None else ""
    cost = f"{entry.cost:g}" if entry and entry.cost is not None else ""
    fields = (
        Field(
            "kind",
            "Done",
            kind.value,
            choices=(
                (UpkeepKind.CLEANED.value, "cleaned"),
                (UpkeepKind.RENEWED.value, "a renewal coat"),
                (UpkeepKind.REFINISHED.value, "refinished from the wood"),
            ),
        ),
        Field(
            "litres",
            "Used up",
            used,
            f"a renewal takes {measures.volume(seen.effort.litres)}",
            kept_while(used, litres, amount_reader(measures)) if used else amount_reader(measures),
        ),
        Field("cost", "Cost", cost, "in your money", _cost_reader),
        *_told_fields(seen, now, by, entry, "Done at"),
    )
    return Form(
        f"correct:{entry.uid}" if entry else f"service:{seen.piece.name}",
        f"{'Correct what was done' if entry else 'Done'}: {tidy(seen.piece.title, 40)}",
        fields,
        "Correct" if entry else "Record",
        cautions=cautions,
    )


def gone_form(seen: PieceSeen, now: dt.datetime, by: str) -> Form:
    """Ask since when a piece is in use no more, and why."""
    words = (
        "Sold, rotten or installed by mistake: it leaves the lists, the calendar and the years",
        "to come; what was recorded stays. u puts it back.",
    )
    return Form(
        f"gone:{seen.piece.name}",
        f"Out of use: {tidy(seen.piece.title, 40)}",
        _told_fields(seen, now, by, None, "Since"),
        "Take out of use",
        tuple(line((one, Role.QUIET)) for one in words),
    )


def usual_kind(seen: PieceSeen, today: dt.date) -> UpkeepKind:
    """Return what was most likely done: a renewal where one was due or near, else a cleaning."""
    near = seen.outlook.next(Work.RENEWAL).on - today <= dt.timedelta(days=45)
    return UpkeepKind.RENEWED if near else UpkeepKind.CLEANED


def _told_fields(
    seen: PieceSeen, now: dt.datetime, by: str, entry: UpkeepEntry | None, label: str
) -> tuple[Field, ...]:
    zone = seen.piece.zone
    read = moment_reader(now, zone, needed=True)
    at = f"{local(entry.at, zone):%Y-%m-%d %H:%M}" if entry else "now"
    return (
        Field("at", label, at, WHEN_HINT, kept_while(at, entry.at, read) if entry else read),
        Field("by", "By", entry.by if entry else by, "who did it", text_reader(80)),
        Field(
            "photos",
            "Photos",
            "; ".join(entry.photos) if entry else "",
            "a.jpg; b.jpg",
            _photos_reader,
        ),
        Field("note", "Note", entry.note if entry else "", "anything worth keeping", text_reader()),
    )


def given_of(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of an entry that a filled form tells."""
    told = ("at", "by", "photos", "note", "litres", "cost")
    given = {key: values[key] for key in told if key in values}
    if "water" in values:
        given["findings"] = findings_of(values)
    return given


def _cost_reader(text: str) -> Understood:
    plain = text.strip().replace(",", ".")
    if not plain:
        return None, "not noted"
    try:
        value = float(plain)
    except ValueError:
        raise BadInput(f"{shown(text)} is no amount: write a number, e.g. 12,50") from None
    if not 0.0 <= value <= 1e6:
        raise BadInput("write what it cost, 0 or more")
    return value, f"= {value:.2f}"


def _photos_reader(text: str) -> Understood:
    paths = tuple(part.strip() for part in text.split(";") if part.strip())
    if len(paths) > MOST_PHOTOS:
        raise BadInput(f"keep {MOST_PHOTOS} photographs at most with one entry")
    missing = sum(not is_file(path_written(path)) for path in paths)
    if not paths:
        return (), ""
    count = counted(len(paths), "photo")
    return paths, f"= {count}" + (f", {missing} not found here" if missing else "")
