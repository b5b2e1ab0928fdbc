"""What moved, summed up: a step that moved with all the steps that only follow it in one line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from finplan.planning.changes import Change
from finplan.trade.names import counted

_FEWEST = 2
"""Fewer steps that follow are told one by one."""
_HOUR_S, _DAY_S = 3600.0, 86400.0
_NEARLY_A_DAY_S = 20 * _HOUR_S


def summed_up(told: Sequence[Change]) -> tuple[Change, ...]:
    """Chains of steps that moved one because of the other as one change each, in their order.

    Steps that moved the other way than the first of their chain stand by themselves.
    """
    moved = {one.step: one for one in told if one.step and one.was and one.now}
    follow: dict[str, list[Change]] = {}
    for one in moved.values():
        first = _first(one, moved)
        if first is not one:
            follow.setdefault(first.step, []).append(one)
    chains = {step: own for step, own in follow.items() if len(own) >= _FEWEST}
    gone = {one.step for own in chains.values() for one in own}
    return tuple(
        _with_what_follows(one, chains[one.step]) if one.step in chains else one
        for one in told
        if one.step not in gone
    )


def _first(one: Change, moved: dict[str, Change]) -> Change:
    """The change at the head of the chain a step moved in, as far as all moved the same way."""
    first, seen = one, {one.step}
    while (before := moved.get(first.after)) is not None:
        if (_by(before) > 0) != (_by(first) > 0):
            break
        if before.step in seen:
            return one  # they name each other: none comes first
        seen.add(before.step)
        first = before
    return first


def _with_what_follows(one: Change, following: list[Change]) -> Change:
    by = [abs(_by(other)) for other in following]
    more = f", and {counted(len(following), 'step')} after it by {_range(min(by), max(by))}"
    return replace(one, sentence=f"{one.what}{more}{one.sentence.removeprefix(one.what)}")


def _by(one: Change) -> float:
    """How much later a step moved, seconds; below 0 sooner."""
    assert one.was is not None
    assert one.now is not None
    return (one.now - one.was) / dt.timedelta(seconds=1)


def _range(least_s: float, most_s: float) -> str:
    """Lengths of time in round figures: ``2 days``, ``1 to 3 days``, ``5 h to 2 days``."""
    least, most = _round(least_s), _round(most_s)
    if least == most:
        return least
    number, unit = least.split(" ")
    same = unit.rstrip("s") == most.split(" ")[1].rstrip("s")
    return f"{number if same else least} to {most}"


def _round(seconds: float) -> str:
    if seconds >= _NEARLY_A_DAY_S:
        return counted(round(seconds / _DAY_S), "day")
    if seconds >= _HOUR_S:
        return f"{round(seconds / _HOUR_S)} h"
    return f"{max(1, round(seconds / 60))} min"
