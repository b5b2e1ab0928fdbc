"""Curves in the terminal: dots of braille, eight to a cell, with a scale at the left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from finplan.tui.models.paint import Line, Role, Run

DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
SCALE = 6
FLAT = 3.0
"""A scale shorter than that is told to the tenth, lest two of its labels be the same."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Values over the columns of dots, two to a cell; ``every`` leaves gaps between dots."""

    values: Sequence[float]
    role: Role
    every: int = 1


@dataclass(frozen=True, slots=True)
class Level:
    """A level line, such as the coldest a finish bears."""

    value: float
    role: Role


def plot(
    curves: Sequence[Curve],
    levels: Sequence[Level],
    cells: int,
    height: int,
    unit: str,
    most: float = math.inf,
) -> tuple[Line, ...]:
    """Return a plot ``height`` lines high: a scale of ``SCALE`` cells, then ``cells`` of dots.

    ``most``: no value can lie above it, so that the scale ends there.
    """
    low, high = bounds(curves, levels)
    high = min(high, most)
    bits = [[0] * cells for _ in range(height)]
    roles = [[Role.QUIET] * cells for _ in range(height)]
    rows = height * 4

    def row_of(value: float) -> int:
        share = (value - low) / (high - low)
        return min(max(round((1 - share) * (rows - 1)), 0), rows - 1)

    for level in levels:
        if low <= level.value <= high:
            row = row_of(level.value)
            for column in range(0, cells * 2, 4):
                _dot(bits, roles, row, column, level.role)
    for curve in curves:
        before: int | None = None
        for column, value in enumerate(curve.values[: cells * 2]):
            row = row_of(value)
            if column % curve.every == 0:
                steps = (
                    range(min(row, before), max(row, before) + 1) if before is not None else [row]
                )
                for between in steps if curve.every == 1 else [row]:
                    _dot(bits, roles, between, column, curve.role)
            before = row
    return tuple(
        (Run(_label(index, height, low, high, unit), Role.QUIET), *_runs(bits[index], roles[index]))
        for index in range(height)
    )


def bounds(curves: Sequence[Curve], levels: Sequence[Level]) -> tuple[float, float]:
    """Return low and high of the scale: all curves, and levels near them."""
    values = [value for curve in curves for value in curve.values]
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    spread = max(high - low, 1.0)
    for level in levels:
        if low - spread <= level.value <= high + spread:
            low, high = min(low, level.value), max(high, level.value)
    room = max((high - low) * 0.05, 0.5)
    return low - room, high + room


def _dot(bits: list[list[int]], roles: list[list[Role]], row: int, column: int, role: Role) -> None:
    bits[row // 4][column // 2] |= DOTS[row % 4][column % 2]
    roles[row // 4][column // 2] = role


def _label(index: int, height: int, low: float, high: float, unit: str) -> str:
    """Return the scale's label at the top, the middle and the bottom."""
    if index not in (0, height // 2, height - 1):
        return " " * SCALE
    value = high - (high - low) * index / max(height - 1, 1)
    fine = f"{value:.1f}{unit}"
    text = fine if high - low < FLAT and len(fine) < SCALE else f"{value:.0f}{unit}"
    return text.rjust(SCALE - 1) + " "


def _runs(bits: list[int], roles: list[Role]) -> Line:
    grouped = groupby(range(len(bits)), key=lambda index: roles[index])
    return tuple(
        Run("".join(chr(0x2800 + bits[i]) if bits[i] else " " for i in group), role)
        for role, group in grouped
    )
