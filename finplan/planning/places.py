"""What each place in a line of work asks for, worked out once for a search over all orders."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.planning.lines import COAT, DUSTY, Lines, Spot, Step, latest_lasts
from finplan.planning.rows import BITS, FAR, ONE, Rows, row_of

ANY_GAP = 1 << 30
"""So many slots or more until a coat is wiped are never too many."""


@dataclass(frozen=True, slots=True)
class Closing:
    """The last slot the next coat may start in: by last slot, where it is kept, when it must be."""

    kept: int
    table: Sequence[int]
    due: int


@dataclass(frozen=True, slots=True)
class Place:
    """A step of a line with so many slots of it left to do.

    What holds up work is kept in one row (``State.held``); where in it is told in bits.
    ``release``, ``closing``: where the first and the last slot it may start in are kept. ``limit``:
    the last slot it may start in at all. ``reads``: where it is kept from when on the air takes it;
    ``writes``: where, from when on it takes the other kind of work, by last slot ``busy``.
    ``past``: all of the row but what no longer counts once it is over. ``coat``: the place of the
    coat that has to be in its session. ``wiped``: as of the step; ``wipe``: where the last slot its
    wiping may start in is kept, if it has to be soon. ``promised``: it is such a coat itself.
    ``lies``: where it is kept when its load is off a small rack; ``comes_on``: the number of that
    rack, if it comes to lie there; ``leaves``: by last slot, when it may leave.
    """

    line: int
    at: int
    step: int
    left: int
    split: bool
    optional: bool
    runs: dict[int, int]
    limit: int
    needs: tuple[tuple[int, int], ...]
    release: int | None
    closing: int | None
    past: int
    reads: int | None
    writes: int | None
    busy: Sequence[int]
    delays: tuple[tuple[int, Sequence[int], int], ...]
    closes: tuple[Closing, ...]
    coat: Place | None
    wiped: tuple[int, int, int] | None
    wipe: int | None
    promised: bool
    lies: int
    comes_on: int | None
    leaves: Sequence[int] | None

    @property
    def mask(self) -> int:
        """The slots that work to be done at once may start in."""
        return self.runs[self.left]


class Places:
    """All places, and whether what is left fits the hours that are left.

    ``one_air``: where it is kept when the air
    takes a coat, if all coats have the same dust to fear. ``possible``: whether each step alone can
    be in time. ``rows``: by line, step and slots left of each place. ``choices``: by line and
    place, what may come next there: the step or, if it is optional, the one after it; ``asks``:
    which part of a row it depends on; ``needs``: what must be over, None at the end. ``lies``: by
    line where it is kept when its load is off the rack. ``held``, ``need``: at the beginning.
    """

    def __init__(self, lines: Lines, ready_s: int) -> None:
        self._lines = lines
        self._latest = latest_lasts(lines, ready_s)
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
        kept = [(line, *key) for line, own in enumerate(_kept(lines)) for key in own]
        self._kept = {key: BITS * at for at, key in enumerate(kept)}
        self._airs = [BITS * (len(kept) + at) for at in range(2 * lines.airs)]
        start = len(kept) + len(self._airs)
        self.lies = [BITS * (start + line) for line in range(len(self.rows))]
        self.held_rows = Rows(start + len(self.rows))
        coats = [step for row in lines.lines for step in row if step.kind == COAT]
        one = bool(coats) and all(step.air == 0 for step in coats)
        self.one_air = self._airs[1] if one else None
        if self._latest is None:
            return
        limits = [lines.lines[line][number].limit for line, number, _ in kept]
        lasts = [
            FAR - limit if last and limit is not None else 0
            for limit, (_, _, last) in zip(limits, kept, strict=True)
        ]
        self.held = row_of(lasts) + sum(FAR << self.lies[line] for line in lines.lying)
        self._lasts = sorted({last for own in self._latest for last in own if last >= 0})
        self._until = lines.hours[np.array(self._lasts, np.intp) + 1]
        self.need_rows = Rows(len(self._lasts))
        self._there: dict[int, int] = {}
        self._left = [self._left_of(line) for line in range(len(self.rows))]
        self.need = row_of(np.sum([own[0] for own in self._left], axis=0))
        self._takes: dict[tuple[int, int, int], int] = {}
        self.choices = [self._choices(line) for line in range(len(self.rows))]
        self.asks = [[self._asks(row) for row in choices] for choices in self.choices]
        self.needs = [
            [_all_need(row) if row else None for row in choices] for choices in self.choices
        ]

    def in_time(self, need: int, slot: int) -> bool:
        """Whether the hours from a slot on do for all that is left."""
        there = self._there.get(slot)
        if there is None:
            hours = np.maximum(self._until - self._lines.hours[slot], 0)
            there = self._there[slot] = row_of(hours)
        return self.need_rows.no_more(need, there)

    def spare(self, need: int, slot: int) -> int:
        """How many slots may go by idle before the hours no longer do."""
        left = self.need_rows.numbers(need)
        there = self._until - self._lines.hours[slot]
        return int((there - left)[left > 0].min(initial=len(self._lines.hours)))

    def takes(self, line: int, at: int, to: int) -> int:
        """By deadline: the slots of work between two places of a line."""
        key = line, at, to
        if key not in self._takes:
            taken = self._left[line][at] - self._left[line][to]
            self._takes[key] = row_of(taken)
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
        step, kept = self._lines.lines[line][number], self._kept
        closes = tuple(
            Closing(
                kept[line, to, True],
                closing.table,
                latest[line][to] - self._lines.lines[line][to].task.slots + 1,
            )
            for closing in step.closes
            for to in [closing.to[1]]
        )
        coat = self._place(line, self._first[line][number + 1]) if step.fresh else None
        return Place(
            line=line,
            at=at,
            step=number,
            left=left,
            split=step.task.split,
            optional=step.task.optional,
            runs={slots: step.runs[slots] for slots in _lengths(step, left)},
            limit=latest[line][number] - left + 1,
            needs=tuple(self._over(spot) for spot in step.needs),
            release=kept.get((line, number, False)),
            closing=kept.get((line, number, True)),
            past=self._past(line, number, step),
            reads=None if step.air < 0 else self._airs[2 * step.air + (step.kind == COAT)],
            writes=None if step.air < 0 else self._airs[2 * step.air + (step.kind == DUSTY)],
            busy=step.busy,
            delays=tuple(self._delays(step)),
            closes=closes,
            coat=coat,
            wiped=step.wiped,
            wipe=kept.get((line, number + 1, True)) if step.wiped is not None else None,
            promised=number > 0 and self._lines.lines[line][number - 1].fresh,
            lies=self.lies[line],
            comes_on=self._rack_of(line) if step.rack is not None and step.rack.comes else None,
            leaves=step.rack.leaves if step.rack is not None else None,
        )

    def _rack_of(self, line: int) -> int:
        return next(at for at, rack in enumerate(self._lines.racks) if rack.areas[line])

    def _delays(self, step: Step) -> Iterator[tuple[int, Sequence[int], int]]:
        for delay in step.delays:
            line, number = delay.to
            target = self._lines.lines[line][number].task
            due = FAR if target.optional else (self._latest or [])[line][number] - target.slots + 1
            yield self._kept[line, number, False], delay.table, due

    def _past(self, line: int, number: int, step: Step) -> int:
        """All of a row but what holds up a step, those before it, and the coats it frees."""
        freed = {(*spot, True) for spot in step.frees}
        gone = [
            shift
            for key, shift in self._kept.items()
            if (key[0] == line and key[1] <= number) or key in freed
        ]
        return ~sum(ONE << shift for shift in gone)

    def _asks(self, places: tuple[Place, ...]) -> int:
        """The part of a row that tells when one of some places may be next."""
        asked = set[int]()
        for place in places:
            for one in (place, place.coat):
                if one is not None:
                    asked.update(
                        shift
                        for shift in (one.release, one.closing, one.reads)
                        if shift is not None
                    )
                    if one.comes_on is not None:
                        asked.update(self.lies)
        return sum(ONE << shift for shift in asked)

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


def _all_need(places: tuple[Place, ...]) -> tuple[tuple[int, int], ...]:
    """What all of some places need."""
    return tuple(need for need in places[0].needs if all(need in one.needs for one in places))


def _lengths(step: Step, left: int) -> list[int]:
    """How many slots of what is left may be done at once, so that no piece is too short."""
    least = min(step.runs)
    return [slots for slots in step.runs if slots == left or least <= slots <= left - least]
