"""Reads ``.sch`` files, the format the published RCPSP/max sets come in."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from finplan.planning.lags import NO_LAG, LagNetwork
from finplan.trade.errors import BadInput

_NUMBER = re.compile(r"-?\d+")
_LINE = re.compile(r"[-\d\s\[\]]*")
_LARGEST = 1_000_000
"""Larger numbers are refused: a plan may take the sum of all of them."""


def read_sch(path: Path) -> LagNetwork:
    """One instance: ``n m 0 0``; successors with lags; durations and demands; capacities.

    Raises:
        BadInput: where the file is not of that form.
    """
    try:
        text = path.read_text(encoding="ascii")
    except (OSError, UnicodeDecodeError) as fault:
        raise BadInput(f"cannot be read as text: {fault}", path.name) from None
    rows = [
        (number, [int(word) for word in _NUMBER.findall(line)])
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip()
    ]
    for number, line in enumerate(text.splitlines(), 1):
        if not _LINE.fullmatch(line):
            raise BadInput(
                "whole numbers are expected, and nothing else", f"{path.name}, line {number}"
            )
    if not rows or len(rows[0][1]) < 2:
        raise BadInput("the first line has to give activities and resources", path.name)
    size, resources = rows[0][1][0] + 2, rows[0][1][1]
    if resources == 0 and len(rows) == 2 * size + 1:
        rows.append((rows[-1][0], []))  # the capacities of none are an empty line
    if size < 2 or resources < 0 or len(rows) != 2 * size + 2:
        raise BadInput(
            f"{max(0, 2 * size + 2)} lines are expected for {size - 2} activities, "
            f"there are {len(rows)}",
            path.name,
        )
    for number, row in rows:
        if any(abs(value) > _LARGEST for value in row):
            raise BadInput(f"a number is beyond {_LARGEST}", f"{path.name}, line {number}")
    capacities = _row(path, rows[-1], resources)
    if np.any(capacities < 0):
        raise BadInput("a capacity is below zero", f"{path.name}, line {rows[-1][0]}")
    works = np.array([_row(path, row, 3 + resources) for row in rows[size + 1 : 2 * size + 1]])
    if np.any(works[:, 2:] < 0):
        raise BadInput("a duration or demand is below zero", path.name)
    return LagNetwork(
        durations=works[:, 2],
        lags=_lags(path, rows[1 : size + 1]),
        demands=works[:, 3:],
        capacities=capacities,
    )


def _lags(path: Path, rows: list[tuple[int, list[int]]]) -> NDArray[np.int64]:
    """The lags from start to start, by activity before and after."""
    lags = np.full((len(rows), len(rows)), NO_LAG, np.int64)
    for at, (number, row) in enumerate(rows):
        count = row[2] if len(row) > 2 else -1
        if count < 0 or len(row) != 3 + 2 * count or row[0] != at:
            raise BadInput(
                f"activity {at}, its mode, a number of successors, so many successors and lags "
                "are expected",
                f"{path.name}, line {number}",
            )
        for after, lag in zip(row[3 : 3 + count], row[3 + count :], strict=True):
            if not 0 <= after < len(rows):
                raise BadInput(f"there is no activity {after}", f"{path.name}, line {number}")
            lags[at, after] = max(lags[at, after], lag)
    return lags


def _row(path: Path, row: tuple[int, list[int]], length: int) -> NDArray[np.int64]:
    if len(row[1]) != length:
        raise BadInput(
            f"{length} numbers are expected, there are {len(row[1])}", f"{path.name}, line {row[0]}"
        )
    return np.array(row[1], np.int64)


def instances(folder: Path, first: int | None = None) -> list[tuple[str, LagNetwork]]:
    """Name and network of each instance of a folder, in the order of their numbers.

    Raises:
        BadInput: if there is no such folder, nothing in it, or a file cannot be read.
    """
    if not folder.is_dir():
        raise BadInput("no such folder: give one with .sch files", str(folder))
    paths = by_number(folder)[:first]
    if not paths:
        raise BadInput("no .sch files in that folder", str(folder))
    return [(path.name, read_sch(path)) for path in paths]


def by_number(folder: Path) -> list[Path]:
    """The instances of a folder in the order of their numbers."""

    def number(path: Path) -> tuple[int, str]:
        digits = re.findall(r"\d+", path.stem)
        return (int(digits[-1]) if digits else 0, path.name)

    return sorted((path for path in folder.iterdir() if path.suffix.lower() == ".sch"), key=number)
