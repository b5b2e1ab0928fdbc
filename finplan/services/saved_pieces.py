"""The pieces in use that go with a workshop into a file, and come back from it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from finplan.files.pieces_table import PieceWithLog
    from finplan.store.store import Unit


def pieces_with(unit: Unit, workshop: str) -> tuple[PieceWithLog, ...]:
    """Return the pieces renewed in a workshop with their logs, by name.

    A piece that names no workshop belongs to the only one there is.
    """
    only = unit.workshops.names() == (workshop,)
    return tuple(
        (piece, unit.upkeep.of(piece))
        for piece in unit.pieces.list()
        if piece.workshop == workshop or (only and not piece.workshop)
    )


def keep_pieces(unit: Unit, pieces: Iterable[PieceWithLog]) -> list[str]:
    """Keep the pieces of a file; log entries that are there already are passed over.

    Returns:
        A sentence for each piece that is new, changed or got entries.

    Raises:
        BadInput: another piece of the same name is there.
    """
    said = []
    for piece, log in pieces:
        there = unit.pieces.find(piece.name)
        if there is not None and there.uid != piece.uid:
            raise BadInput(
                f"another piece is called {piece.name!r}: rename the one in the file", "pieces"
            )
        if there != piece:
            unit.pieces.put(piece)
        known = {entry.uid for entry in unit.upkeep.of(piece)}
        new = [entry for entry in log if entry.uid not in known]
        for entry in new:
            unit.upkeep.append(piece, replace(entry, piece=piece.name))
        if there is None:
            said.append(f"piece {piece.name} installed, {len(new)} entries in its log")
        elif there != piece or new:
            said.append(f"piece {piece.name} as the file says, {len(new)} new entries in its log")
    return said
