"""Reads ``.sch`` files, the format the published RCPSP/max sets come in."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from finplan.planning.lags import NO_LAG, LagNetwork


def read_sch(path: Path) -> LagNetwork:
    """One instance: ``n m 0 0``; successors with lags; durations and demands; capacities."""
    lines = [line.split() for line in path.read_text().splitlines() if line.strip()]
    activities, resources = int(lines[0][0]) + 2, int(lines[0][1])
    lags = np.full((activities, activities), NO_LAG, np.int64)
    for words in lines[1 : activities + 1]:
        before, count = int(words[0]), int(words[2])
        successors = [int(word) for word in words[3 : 3 + count]]
        numbers = re.findall(r"-?\d+", " ".join(words[3 + count :]))
        for after, lag in zip(successors, numbers, strict=True):
            lags[before, after] = max(lags[before, after], int(lag))
    rows = np.array(
        [[int(word) for word in words] for words in lines[activities + 1 : 2 * activities + 1]]
    )
    capacities = np.array([int(word) for word in lines[2 * activities + 1]], np.int64)
    if len(capacities) != resources:
        raise ValueError(f"{path}: {resources} capacities expected")
    return LagNetwork(
        durations=rows[:, 2].astype(np.int64),
        lags=lags,
        demands=rows[:, 3:].astype(np.int64),
        capacities=capacities,
    )


def by_number(folder: Path) -> list[Path]:
    """The instances of a folder in the order of their numbers."""

    def number(path: Path) -> tuple[int, str]:
        digits = re.findall(r"\d+", path.stem)
        return (int(digits[-1]) if digits else 0, path.name)

    return sorted(folder.glob("*.sch"), key=number)
