"""Rising tables cut into the few stretches a solver needs to know."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Piece:
    """For arguments from ``low`` up to the next piece: ``value``, or argument plus ``value``."""

    low: int
    value: int
    slope: bool


def pieces_of(arguments: Sequence[int], table: Callable[[int], int]) -> list[Piece]:
    """Cut a rising table over rising arguments into level and unit-slope stretches.

    Each stretch takes as many arguments as it can, so a table that follows work sessions needs
    about two a session.
    """
    values = [table(argument) for argument in arguments]
    pieces = []
    at = 0
    while at < len(arguments):
        level = at
        while level + 1 < len(arguments) and values[level + 1] == values[at]:
            level += 1
        slope = at
        offset = values[at] - arguments[at]
        while slope + 1 < len(arguments) and values[slope + 1] - arguments[slope + 1] == offset:
            slope += 1
        if slope > level:
            pieces.append(Piece(arguments[at], offset, True))
            at = slope + 1
        else:
            pieces.append(Piece(arguments[at], values[at], False))
            at = level + 1
    return pieces
