"""What each place in a line of work asks for, worked out once for a search over all orders."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.planning.lines import COAT, DUSTY, Lines, Spot, Step, latest_lasts

FAR = 1 << 40
ANY_GAP = 1 << 30
"""So many slots or more until a coat is wiped are never too many."""


@dataclass(frozen=True, slots=True)
class Closing:
    """The last slot the next coat may start in: by last slot, where it is kept, when it must be."""

    index: int
    table: Sequence[int]
    due: int


@dataclass(frozen=True, slots=True)
class Place:
    """A step of a line with so many slots of it left to do.

    What holds up the steps ahead is kept in one row a line, in their order; it drops off in front,
    so places in it are counted from the end. ``release``, ``closing``: where the first and the
    last slot it may start in are kept. ``limit``: the last slot it may start in at all. ``keeps``:
    how much of the row is left after it. ``reads``, ``writes``: numbers of the air, -1 for none.
    ``coat``: the place of the coat that has to be in its session. ``puts_off``: whether a later
    start may be better. ``wiped``: as of the step; ``wipe``: where the last slot its wiping may
    start in is kept, if it has to be soon. ``promised``: it is such a coat itself. ``comes_on``:
    the number of the small rack its load comes to lie on; ``leaves``: by last slot, when it may
    leave.
    """

    at: int
    step: int
    left: int
    split: bool
    optional: bool
    runs: tuple[tuple[int, int], ...]
    limit: int
    needs: tuple[tuple[int, int], ...]
    release: int | None
    closing: int | None
    keeps: int
    reads: int
    writes: int
    busy: Sequence[int]
    delays: tuple[tuple[int, int, Sequence[int], int], ...]
    closes: tuple[Closing, ...]
    frees: tuple[int, ...]
    coat: Place | None
    puts_off: bool
    wiped: tuple[int, int, int] | None
    wipe: int | None
    promised: bool
    comes_on: int | None
    leaves: Sequence[int] | None


class Places:
    """All places, and whether what is left fits the hours that are left.

    ``wiped``: whether any coat has to be wiped soon. ``one_air``: whether all coats have the same
    dust to fear. ``possible``: whether each step alone can be in time. ``rows``: by line, step and
    slots left of each place. ``choices``: by line and place, what may come next there: the step or,
    if it is optional, the one after it; ``asks``: whether it matters how the air is, and what lies
    on a rack; ``needs``: what must be over, None at the end. ``held``, ``air``, ``lie``, ``need``:
    at the beginning.
    """

    def __init__(self, lines: Lines, ready_s: int) -> None:
        self._lines = lines
        self._latest = latest_lasts(lines, ready_s)
        self.wiped = any(
            step.wiped is not None and step.wiped[1] < ANY_GAP
            for row in lines.lines
            for step in row
        )
        self.one_air = all(
            step.air == 0 for row in lines.lines for step in row if step.kind == COAT
        )
        self.possible = self._latest is not None
        self.rows = [
            [
                (number, left)
                for number, step in enumerate(row)
                for left in (
                    range(step.task.slots, 0, -1) if step.task.split else [step.task.slots]
                )
            ]
            for row in lines.lines
        ]
        self._first = [
            {number: at for at, (number, _) in reversed(list(enumerate(row)))} for row in self.rows
        ]
        self._sessions = lines.network.axis.sessions
        self._kept = _kept(lines)
        self.air = (0,) * (2 * lines.airs)
        self._there: dict[int, NDArray[np.int64]] = {}
        self._takes: dict[tuple[int, int, int], NDArray[np.int64]] = {}
        if self._latest is None:
            return
        self.held = tuple(
            tuple(
                FAR - limit if last and (limit := row[number].limit) is not None else 0
                for number, last in self._kept[line]
            )
            for line, row in enumerate(lines.lines)
        )
        self.lie = tuple(FAR if line in lines.lying else 0 for line in range(len(self.rows)))
        self._lasts = sorted({last for own in self._latest for last in own if last >= 0})
        self._until = lines.hours[np.array(self._lasts, np.intp) + 1]
        self._left = [self._left_of(line) for line in range(len(self.rows))]
        self.need = np.sum([left[0] for left in self._left], axis=0)
        self.choices = [self._choices(line) for line in range(len(self.rows))]
        self.asks = [
            [(any(map(_asks_air, row)), any(map(_asks_rack, row))) for row in choices]
            for choices in self.choices
        ]
        self.needs = [
            [_all_need(row) if row else None for row in choices] for choices in self.choices
        ]

    def in_time(self, need: NDArray[np.int64], slot: int) -> bool:
        """Whether the hours from a slot on do for all that is left."""
        there = self._there.get(slot)
        if there is None:
            there = self._there[slot] = np.maximum(self._until - self._lines.hours[slot], 0)
        return not (need > there).any()

    def spare(self, need: NDArray[np.int64], slot: int) -> int:
        """How many slots may go by idle before the hours no longer do."""
        there = self._until - self._lines.hours[slot]
        return int((there - need)[need > 0].min(initial=len(self._lines.hours)))

    def takes(self, line: int, at: int, to: int) -> NDArray[np.int64]:
        """By deadline: the slots of work between two places of a line."""
        key = line, at, to
        if key not in self._takes:
            self._takes[key] = self._left[line][at] - self._left[line][to]
        return self._takes[key]

    def session_after(self, slot: int) -> int:
        """The first slot of the session after the one a slot is in."""
        return bisect_right(self._sessions, self._sessions[slot])

    def closing_later(self, place: Place, start: int) -> int:
        """The first start of a coat from which on a window closes later than from another."""
        last = start + place.left - 1
        return min(
            bisect_right(closing.table, closing.table[last]) - place.left + 1
            for closing in place.closes
            if closing.table[last] < closing.due
        )

    def _left_of(self, line: int) -> NDArray[np.int64]:
        row, steps = self.rows[line], self._lines.lines[line]
        number_of = {last: number for number, last in enumerate(self._lasts)}
        left = np.zeros((len(row) + 1, len(self._lasts)), np.int64)
        for at in range(len(row) - 1, -1, -1):
            left[at] = left[at + 1]
            task = steps[row[at][0]].task
            if not task.optional:
                last = (self._latest or [])[line][row[at][0]]
                left[at, number_of[last] :] += 1 if task.split else task.slots
        return left

    def _choices(self, line: int) -> list[tuple[Place, ...]]:
        row, steps = self.rows[line], self._lines.lines[line]
        places = [self._place(line, at) for at in range(len(row))]
        choices: list[tuple[Place, ...]] = [()] * (len(row) + 1)
        for at in range(len(row) - 1, -1, -1):
            step, own = steps[row[at][0]], places[at]
            if step.task.optional and own.left == step.task.slots:
                choices[at] = (own, *choices[at + step.task.slots if own.split else at + 1])
            else:
                choices[at] = (own,)
        return choices

    def _place(self, line: int, at: int) -> Place:
        latest = self._latest or []
        number, left = self.rows[line][at]
        step = self._lines.lines[line][number]
        kept = self._index(line)
        closes = tuple(
            Closing(
                kept[to, True],
                closing.table,
                latest[line][to] - self._lines.lines[line][to].task.slots + 1,
            )
            for closing in step.closes
            for to in [closing.to[1]]
        )
        coat = self._place(line, self._first[line][number + 1]) if step.fresh else None
        return Place(
            at=at,
            step=number,
            left=left,
            split=step.task.split,
            optional=step.task.optional,
            runs=tuple((slots, step.runs[slots]) for slots in _lengths(step, left)),
            limit=latest[line][number] - left + 1,
            needs=tuple(self._over(spot) for spot in step.needs),
            release=kept.get((number, False)),
            closing=kept.get((number, True)),
            keeps=sum(target > number for target, _ in self._kept[line]),
            reads=-1 if step.air < 0 else 2 * step.air + (step.kind == COAT),
            writes=-1 if step.air < 0 else 2 * step.air + (step.kind == DUSTY),
            busy=step.busy,
            delays=tuple(self._delays(step)),
            closes=closes,
            frees=tuple(kept[spot[1], True] for spot in step.frees),
            coat=coat,
            puts_off=coat is not None or bool(closes),
            wiped=step.wiped,
            wipe=kept.get((number + 1, True)) if step.wiped is not None else None,
            promised=number > 0 and self._lines.lines[line][number - 1].fresh,
            comes_on=self._rack_of(line) if step.rack is not None and step.rack.comes else None,
            leaves=step.rack.leaves if step.rack is not None else None,
        )

    def _rack_of(self, line: int) -> int:
        return next(at for at, rack in enumerate(self._lines.racks) if rack.areas[line])

    def _delays(self, step: Step) -> Iterator[tuple[int, int, Sequence[int], int]]:
        for delay in step.delays:
            line, number = delay.to
            target = self._lines.lines[line][number].task
            due = FAR if target.optional else (self._latest or [])[line][number] - target.slots + 1
            yield line, self._index(line)[number, False], delay.table, due

    def _index(self, line: int) -> dict[tuple[int, bool], int]:
        """Where what holds up a step is kept: counted from the end, as it drops off in front."""
        kept = self._kept[line]
        return {key: number - len(kept) for number, key in enumerate(kept)}

    def _over(self, spot: Spot) -> tuple[int, int]:
        """The line of a step and the place at which it is over."""
        line, number = spot
        return line, self._first[line].get(number + 1, len(self.rows[line]))


def _kept(lines: Lines) -> list[list[tuple[int, bool]]]:
    """By line the steps whose first slot, or (True) last slot to start in is to be kept in mind."""
    kept: list[set[tuple[int, bool]]] = [set() for _ in lines.lines]
    for line, row in enumerate(lines.lines):
        for number, step in enumerate(row):
            for delay in step.delays:
                kept[delay.to[0]].add((delay.to[1], False))
            kept[line].update((closing.to[1], True) for closing in step.closes)
            if step.wiped is not None and step.wiped[1] < ANY_GAP:
                kept[line].add((number + 1, True))
            if step.fresh:
                kept[line].add((number + 1, True))
            if step.limit is not None:
                kept[line].add((number, True))
            kept[line].update((coat, True) for _, coat in step.frees)
    return [sorted(own) for own in kept]


def _asks_air(place: Place) -> bool:
    return place.reads >= 0 or (place.coat is not None and place.coat.reads >= 0)


def _asks_rack(place: Place) -> bool:
    coat = place.coat or place
    return coat.comes_on is not None


def _all_need(places: tuple[Place, ...]) -> tuple[tuple[int, int], ...]:
    """What all of some places need."""
    return tuple(need for need in places[0].needs if all(need in one.needs for one in places))


def _lengths(step: Step, left: int) -> list[int]:
    """How many slots of what is left may be done at once, so that no piece is too short."""
    least = min(step.runs)
    return [slots for slots in step.runs if slots == left or least <= slots <= left - least]
