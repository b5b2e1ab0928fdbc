"""Pieces in use in a project file: ``[[pieces]]``, each with its ``[[pieces.log]]``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from finplan.files.reading import Table, tables_of, without_units
from finplan.tracking.upkeep.pieces import InstalledPiece, UpkeepEntry, check_piece
from finplan.trade.plain import from_plain, to_plain, within

PieceWithLog = tuple[InstalledPiece, tuple[UpkeepEntry, ...]]


def piece_table(kept: PieceWithLog) -> dict[str, Any]:
    """Return a piece and its log as a table of the file."""
    piece, log = kept
    table: dict[str, Any] = to_plain(piece, skip_defaults=True)
    entries = [to_plain(entry, skip_defaults=True) for entry in log]
    for entry in entries:
        del entry["piece"]
    return table | ({"log": entries} if entries else {})


def pieces_of(data: Table) -> Iterable[PieceWithLog]:
    """Yield the pieces of a file with their logs, the pieces checked.

    Raises:
        BadInput: what is wrong, and where.
    """
    for place, table in tables_of(data.get("pieces", []), "pieces"):
        plain = dict(table)
        log = tables_of(plain.pop("log", []), within(place, "log"))
        piece = from_plain(InstalledPiece, without_units(InstalledPiece, plain, place), place)
        check_piece(piece)
        yield (
            piece,
            tuple(
                from_plain(UpkeepEntry, dict(entry) | {"piece": piece.name}, where)
                for where, entry in log
            ),
        )
