"""The work of each load as a line of steps, for a search over all orders of one person's work."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from finplan.planning.flat import FlatLag, FlatWindow, Task, Tasks
from finplan.planning.hours import SLOT_S
from finplan.planning.network import Network, Table

NEUTRAL, DUSTY, COAT = 0, 1, 2

Spot = tuple[int, int]
"""Number of a line, and of a step in it."""

Known = dict[tuple[int, int], list[int]]
"""Tables by last slot, by what they are made of: a drying table (its id) and seconds more."""


@dataclass(frozen=True, slots=True)
class Delay:
    """By the last slot of one step: the first slot another may start in."""

    to: Spot
    table: Sequence[int]


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work in a line.

    ``runs``: by how many slots are done at once, the mask of slots to start in. ``air``: the
    number of the air its dust or wet surface is in; -1 where it does not matter. ``busy``: by last
    slot, the first slot for a coat again (dusty work) or for dust again (a coat). ``needs``:
    steps of other lines that must be over. ``delays``: what its end holds up. ``closes``: by last
    slot, the last slot the coat of its window may start in. ``frees``: the coats that have no such
    window any more once this optional step is done. ``fresh``: it has to be in the session of the
    step after it. ``limit``: the last slot it may start in, if no optional step comes before.
    ``wiped``: slots from its end until its wiping begins, the least and the most, and those of it.
    """

    task: Task
    kind: int
    runs: dict[int, int]
    air: int
    busy: Sequence[int]
    needs: tuple[Spot, ...]
    delays: tuple[Delay, ...]
    closes: tuple[Delay, ...]
    frees: tuple[Spot, ...]
    fresh: bool
    rack: OnRack | None
    limit: int | None
    wiped: tuple[int, int, int] | None


@dataclass(frozen=True, slots=True)
class OnRack:
    """What a coat does on the rack: whether its load comes to lie there, and when it may leave.

    ``leaves``: by last slot, the first slot it is off the rack in; None if more coats are to come.
    """

    comes: bool
    leaves: Sequence[int] | None


@dataclass(frozen=True, slots=True)
class Rack:
    """A rack too small for all: the area there is and, of what is on it now, area and until when.

    ``areas``: by line, 0 for those in another space.
    """

    room_m2: float
    areas: tuple[float, ...]
    fixed: tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class Lines:
    """All lines.

    ``finals``: by step, the lags from its last slot to when all is ready. ``ready_s``: when all is
    ready at the earliest, whatever is done. ``hours``: slots of work there are before each slot.
    ``airs``: how many spaces have dust and wet surfaces together.
    ``lying``: the lines that are on a rack at the beginning until a coat is on.
    """

    network: Network
    lines: tuple[tuple[Step, ...], ...]
    finals: dict[Spot, list[FlatLag]]
    ready_s: int
    hours: NDArray[np.int64]
    airs: int
    racks: tuple[Rack, ...]
    lying: frozenset[int]


def lines_of(tasks: Tasks, known: Known | None = None) -> Lines | None:
    """The lines of a flattened network.

    Args:
        tasks: the network, flattened.
        known: tables of the same network made before; those that are made are noted there.

    Returns:
        None where it is not all one person's work, or a load's steps do not follow one another.
    """
    crews = {task.people for task in tasks.tasks}
    if len(crews) != 1 or len(crew := crews.pop()) != 1:
        return None
    rows = [
        [task for task in tasks.tasks if task.chain == chain]
        for chain in sorted({task.chain for task in tasks.tasks})
    ]
    if not all(_follows(row) and _follows([t for t in row if not t.optional]) for row in rows):
        return None
    return _Maker(tasks, crew[0], rows, {} if known is None else known).lines()


def _follows(row: Sequence[Task]) -> bool:
    """Whether every step of a load waits for the one before it."""
    return all(
        task.glued_to == before.node or any(lag.before == before.node for lag in task.after)
        for before, task in pairwise(row)
    )


class _Maker:
    """Makes the steps; tables that are the same are made once."""

    def __init__(
        self, tasks: Tasks, person: int, rows: Sequence[Sequence[Task]], known: Known
    ) -> None:
        self._tasks = tasks
        self._person = person
        self._rows = rows
        self._at = {
            task.node: (line, step)
            for line, row in enumerate(rows)
            for step, task in enumerate(row)
        }
        self._starts = np.asarray(tasks.network.axis.starts, np.int64)
        self._ends = self._starts + SLOT_S
        self._tables = known
        self._delays: dict[int, list[Delay]] = {node: [] for node in self._at}
        self._needs: dict[int, set[Spot]] = {node: set() for node in self._at}
        self._rack = self._on_rack()
        self._wipes = {
            task.glued_to: task for row in rows for task in row if task.glued is not None
        }

    def lines(self) -> Lines:
        """All lines."""
        network, axis = self._tasks.network, self._tasks.network.axis
        for row in self._rows:
            for task in row:
                self._hold_up(task)
        windows = {window.node: window for window in self._tasks.windows}
        fresh = {clean for clean, _ in self._tasks.together}
        lines = tuple(
            tuple(self._step(task, task.node in fresh, windows.get(task.node)) for task in row)
            for row in self._rows
        )
        finals: dict[Spot, list[FlatLag]] = {}
        ready_s = 0
        for lag in (lag for each in self._tasks.finals for lag in each):
            if lag.before < 0:
                ready_s = max(ready_s, lag.fixed_s)
            elif lag.before in self._at:
                finals.setdefault(self._at[lag.before], []).append(lag)
        hours = axis.work_before([self._person])
        lying = frozenset(
            self._at[stay.coats[0]][0] for stay in self._tasks.stays if stay.held and stay.coats
        )
        racks = tuple(self._racks())
        return Lines(network, lines, finals, ready_s, hours, len(self._airs()), racks, lying)

    def _on_rack(self) -> dict[int, OnRack]:
        """By coat: what it does on a rack that is too small for all."""
        small = {space for space, _ in self._small_racks()}
        found = {}
        for stay in self._tasks.stays:
            if self._tasks.network.chains[stay.chain].space in small:
                for coat in stay.coats:
                    wet, leaves = self._tasks.by_node[coat].wet, None
                    if coat == stay.coats[-1] and wet is not None:
                        leaves = self._table(wet.handle, 0)
                    found[coat] = OnRack(coat == stay.coats[0] and not stay.held, leaves)
        return found

    def _small_racks(self) -> list[tuple[int, float]]:
        """The spaces whose racks cannot take all loads at once, with their room."""
        network, small = self._tasks.network, []
        for space, room_m2 in enumerate(network.rack_m2):
            chains = {stay.chain for stay in self._tasks.stays}
            area_m2 = sum(
                network.chains[chain].area_m2
                for chain in chains
                if network.chains[chain].space == space
            )
            area_m2 += sum(own.area_m2 for own in self._tasks.fixed_stays if own.space == space)
            if area_m2 > room_m2:
                small.append((space, room_m2))
        return small

    def _racks(self) -> Iterator[Rack]:
        chains = [self._tasks.network.chains[row[0].chain] for row in self._rows]
        for space, room_m2 in self._small_racks():
            fixed = tuple(
                (stay.area_m2, stay.until)
                for stay in self._tasks.fixed_stays
                if stay.space == space and not stay.first
            )
            areas = tuple(chain.area_m2 if chain.space == space else 0.0 for chain in chains)
            yield Rack(room_m2 * (1 + 1e-9), areas, fixed)

    def _airs(self) -> list[int]:
        apart = self._tasks.network.dust_apart
        return [space for space in range(len(apart)) if not apart[space]]

    def _hold_up(self, task: Task) -> None:
        """Note what a task waits for at the steps it waits for."""
        spot = self._at[task.node]
        if task.glued is not None and task.glued[0]:
            first = 1 + task.glued[0]
            table = range(first, first + len(self._starts))
            self._delays[task.glued_to].append(Delay(spot, table))
        for lag in task.after:
            if lag.before not in self._at:
                continue
            elsewhere = self._at[lag.before][0] != spot[0]
            if elsewhere:
                self._needs[task.node].add(self._at[lag.before])
            if lag.ready is not None or lag.plus_s or elsewhere:
                self._delays[lag.before].append(Delay(spot, self._table(lag.ready, lag.plus_s)))

    def _step(self, task: Task, fresh: bool, window: FlatWindow | None) -> Step:
        kind, busy = NEUTRAL, list[int]()
        if task.wet is not None:
            kind, busy = COAT, self._table(task.wet.dust_free, 0)
        elif task.dusty:
            kind, busy = DUSTY, self._table(None, self._tasks.network.settle_s)
        airs = self._airs()
        wipe = self._wipes.get(task.node)
        limit = window.most if window is not None and window.before is None else None
        return Step(
            task=task,
            kind=kind,
            runs=self._runs(task),
            air=airs.index(task.space) if kind and task.space in airs else -1,
            busy=busy,
            needs=tuple(self._needs[task.node]),
            delays=tuple(self._delays[task.node]),
            closes=tuple(self._closes(task)),
            wiped=(*wipe.glued, wipe.slots) if wipe and wipe.glued else None,
            frees=self._frees(task),
            fresh=fresh,
            rack=self._rack.get(task.node),
            limit=limit,
        )

    def _closes(self, task: Task) -> Iterator[Delay]:
        """Until when the coat of the window a coat opens has to be on."""
        for window in self._tasks.windows:
            if window.before == task.node and window.closes is not None:
                closes = [window.closes[slot] for slot in range(len(self._starts))]
                table = (np.searchsorted(self._starts, closes, side="right") - 1).tolist()
                yield Delay(self._at[window.node], table)

    def _frees(self, task: Task) -> tuple[Spot, ...]:
        """The coats whose windows an optional step makes up for."""
        windows = self._tasks.windows
        return tuple(self._at[window.node] for window in windows if task.node in window.optional)

    def _table(self, ready: Table | None, plus_s: int) -> list[int]:
        """By last slot: the first slot at or after an instant and so much more."""
        key = (0 if ready is None else id(ready), plus_s)
        if key not in self._tables:
            at_s = self._ends
            if ready is not None:
                at_s = np.array([ready[slot] for slot in range(len(self._starts))], np.int64)
            self._tables[key] = np.searchsorted(self._starts, at_s + plus_s).tolist()
        return self._tables[key]

    def _runs(self, task: Task) -> dict[int, int]:
        """By how many slots are done at once: where that can start."""
        network = self._tasks.network
        mask = _mask(task.starts[self._person])
        if task.pinned is not None and not task.split:
            mask &= 1 << task.pinned
        if task.node in self._wipes:
            mask &= _mask(sorted({s for _, own in self._wipes[task.node].gaps for s in own}))
        if not task.split:
            return {task.slots: mask}
        runs, run, least = {}, mask, min(network.least_slots, task.slots)
        for length in range(1, task.slots + 1):
            if length > 1:
                run &= (mask >> (length - 1)) & (network.axis.joined >> (length - 2))
            if length >= least:
                runs[length] = run
        return runs


def _mask(slots: Sequence[int]) -> int:
    if not slots:
        return 0
    bits = np.zeros(slots[-1] + 1, np.uint8)
    bits[slots] = 1
    return int.from_bytes(np.packbits(bits, bitorder="little").tobytes(), "little")


def latest_lasts(lines: Lines, ready_s: int) -> list[list[int]] | None:
    """By line and step: the last slot it may end with if all is to be ready by an instant.

    None where a step that must be finds no slot at all.
    """
    if ready_s < lines.ready_s:
        return None
    latest = [[len(lines.hours) - 2] * len(line) for line in lines.lines]
    changed = True
    while changed:  # once for each line that others wait for, and once more to see it
        changed = False
        for line, row in reversed(list(enumerate(lines.lines))):
            for number in range(len(row) - 1, -1, -1):
                last = _latest_last(lines, latest, (line, number), ready_s)
                if last is None and not row[number].task.optional:
                    return None
                if (last := -1 if last is None else last) < latest[line][number]:
                    latest[line][number], changed = last, True
    return latest


def _latest_last(lines: Lines, latest: list[list[int]], spot: Spot, ready_s: int) -> int | None:
    line, number = spot
    row = lines.lines[line]
    step, last = row[number], latest[line][number]
    after = next((at for at in range(number + 1, len(row)) if not row[at].task.optional), None)
    if after is not None:
        last = min(last, latest[line][after] - row[after].task.slots)
    for delay in step.delays:
        target = lines.lines[delay.to[0]][delay.to[1]]
        if not target.task.optional:
            until = latest[delay.to[0]][delay.to[1]] - target.task.slots + 1
            last = min(last, bisect_right(delay.table, until) - 1)
    for lag in lines.finals.get(spot, ()):
        if lag.ready is not None:
            due_s, slots = ready_s - lag.plus_s, range(len(lines.network.axis))
            last = min(last, bisect_right(slots, due_s, key=lag.ready.__getitem__) - 1)
        else:
            starts = lines.network.axis.starts
            last = min(last, bisect_right(starts, ready_s - lag.plus_s - SLOT_S) - 1)
    length, run = min(step.runs.items())
    run &= (1 << max(0, last - length + 2)) - 1
    return run.bit_length() + length - 2 if run else None
