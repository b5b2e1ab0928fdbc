"""``record inspection``, ``service`` and ``gone``: what was found on a piece in use, and done."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from finplan.cli.options import session
from finplan.cli.output import paragraph
from finplan.tracking.upkeep.pieces import Finding, UpkeepEntry, UpkeepKind

if TYPE_CHECKING:
    import datetime as dt

    from finplan.services.session import Session

_DONE = (UpkeepKind.CLEANED, UpkeepKind.RENEWED, UpkeepKind.REFINISHED)


def _shared(function: Callable[..., None]) -> Callable[..., None]:
    options = (
        click.option("--at", metavar="WHEN", help="when: today 18:00, 2027-05-08, ISO time"),
        click.option("--by", default="", metavar="NAME", help="who did it"),
        click.option("--photo", "photos", multiple=True, metavar="PATH", help="keep where it is"),
        click.option("--note", default="", metavar="TEXT", help="anything worth keeping"),
    )
    for option in reversed(options):
        function = option(function)
    return function


def add_upkeep_verbs(group: click.Group) -> None:
    """Add the verbs of upkeep to the verb ``record``."""

    @group.command("inspection")
    @click.argument("piece")
    @click.option(
        "--found",
        "found",
        multiple=True,
        required=True,
        type=click.Choice([finding.value for finding in Finding]),
        metavar="FINDING",
        help=f"may be given again: {', '.join(Finding)}",
    )
    @_shared
    def _(piece: str, found: tuple[str, ...], **given: Any) -> None:
        """An installed piece was looked at.

        Beads, slow, soaks in: what drops of water did.
        """
        more = {"findings": tuple(dict.fromkeys(Finding(one) for one in found))}
        _record(piece, UpkeepKind.INSPECTED, given, more)

    @group.command("service")
    @click.argument("piece")
    @click.option(
        "--done",
        required=True,
        type=click.Choice([kind.value for kind in _DONE]),
        help="a renewal coat and a full refinish both make the finish new",
    )
    @click.option("--used", metavar="VOLUME", help="finish used up: 0.4 l, 12 fl oz")
    @click.option("--cost", type=float, metavar="AMOUNT", help="what it cost, in your money")
    @_shared
    def _(piece: str, done: str, used: str | None, cost: float | None, **given: Any) -> None:
        """An installed piece was cleaned, renewed or refinished."""
        from finplan.trade.quantities import parse_volume

        litres = parse_volume(used, "--used") if used else None
        _record(piece, UpkeepKind(done), given, {"litres": litres, "cost": cost})

    @group.command("gone")
    @click.argument("piece")
    @_shared
    def _(piece: str, **given: Any) -> None:
        """An installed piece is in use no more.

        Sold, rotten, or installed by mistake; its history stays.
        """
        _record(piece, UpkeepKind.GONE, given, {})


def _record(name: str, kind: UpkeepKind, given: dict[str, Any], more: dict[str, Any]) -> None:
    from finplan.services.upkeep import record_upkeep, seen_piece

    with session() as opened:
        zone = seen_piece(opened, name).piece.zone
        at = _moment(opened, given["at"], zone)
        entry = UpkeepEntry(
            uuid.uuid4(), name, kind, at, opened.now, by=given["by"],
            photos=given["photos"], note=given["note"], **more,
        )  # fmt: skip
        seen = record_upkeep(opened, name, entry)
    found = f": {', '.join(entry.findings)}" if entry.findings else ""
    paragraph(f"{name}: {kind.value}{found}", "  ", "")
    if seen.gone is not None:
        paragraph(f"Its history stays: finplan upkeep {name}", "  ", "")
    for coming in seen.outlook.coming[:1]:
        paragraph(coming.sentence, "  ", "")
    for line in seen.outlook.advice:
        paragraph(line, "  ", "! ")


def _moment(opened: Session, text: str | None, zone: str) -> dt.datetime:
    from finplan.trade.moments import parse_moment

    return opened.now if text is None else parse_moment(text, opened.now, zone, "--at", past=True)
