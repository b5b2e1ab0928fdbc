"""Drying and limits read off by the slots of the axis."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from finplan.drying.clock import DryingClock, clock_for
from finplan.drying.limits import Conditions, bears, conditions_at
from finplan.planning.hours import NEVER_S, SLOT_S, Axis, mask_of
from finplan.planning.network import Table, Wet
from finplan.planning.request import PlanRequest
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish, Stage
from finplan.trade.project import Project

_MANY = 50
"""About as many slots as take as long one by one as a whole year at once."""


class DryingTable(dict[int, int]):
    """By the slot a coat ends with: when a stage is safely reached, or its window closes.

    Read when it is first asked for, since a plan without a search asks for few of a year's slots;
    all at once where many are asked for.
    """

    def __init__(
        self, clock: DryingClock, stage: Stage | None, ends_s: NDArray[np.float64]
    ) -> None:
        """Take the clock, the stage (None: the window) and the ends of all slots in seconds."""
        super().__init__()
        self._clock, self._ends_s, self._stage = clock, ends_s, stage

    def __missing__(self, slot: int) -> int:
        """Read a slot off the clock."""
        if len(self) >= _MANY:
            self.update(enumerate(self._all()))
            return self[slot]
        found = self[slot] = _at_s(self._clock, self._stage, float(self._ends_s[slot]))
        return found

    def _all(self) -> list[int]:
        clock, ends_s = self._clock, self._ends_s
        if self._stage is None:
            found = np.floor(clock.window_closes(ends_s))
        else:
            found = np.ceil(clock.ready(ends_s, self._stage))
        every: list[int] = np.minimum(found, NEVER_S).astype(np.int64).tolist()
        return every

    def __reduce__(self) -> tuple[type[list[int]], tuple[list[int]]]:
        """As a bare list where a network is handed to another process."""
        return list, (self._all(),)


class Tables:
    """Answers for a finish in a space, in whole seconds; every table is made once."""

    def __init__(self, request: PlanRequest, axis: Axis) -> None:
        self._request = request
        starts = np.asarray(axis.starts, np.float64)
        self._starts_s = starts
        self._ends_s = starts + SLOT_S
        self._clocks: dict[tuple[str, str], DryingClock] = {}
        self._tables: dict[tuple[str, str, Stage | None], DryingTable] = {}
        self._air: dict[str, Conditions] = {}
        self._masks: dict[tuple[str, str], int] = {}
        self._wet: dict[tuple[str, str], Wet] = {}
        self._closed: dict[str, int] = {}

    def finish(self, name: str | None, where: str) -> Finish:
        """The finish of a step.

        Raises:
            BadInput: if it is not known.
        """
        if name is None or name not in self._request.finishes:
            raise BadInput(f"finish {name!r} is not known: name one of the library", where)
        return self._request.finishes[name]

    def clock(self, finish: str, space: str) -> DryingClock:
        """The drying clock of a finish in a space."""
        key = (finish, space)
        if key not in self._clocks:
            self._clocks[key] = clock_for(
                self._request.finishes[finish],
                self._request.air[space],
                self._request.bands.get(key),
                self._request.workshop.safe_quantile,
            )
        return self._clocks[key]

    def ready(self, finish: str, space: str, stage: Stage) -> Table:
        """By the slot a coat ends with: when the stage is safely reached (rounded up)."""
        return self._table(finish, space, stage)

    def closes(self, finish: str, space: str) -> Table | None:
        """By the slot a coat ends with: when its window closes (rounded down), None for never."""
        return self._table(finish, space, None) if self.scuffs(finish) else None

    def wet(self, finish: str, space: str) -> Wet:
        """What a coat leaves behind."""
        key = (finish, space)
        if key not in self._wet:
            self._wet[key] = Wet(
                self.ready(finish, space, Stage.DUST_FREE),
                self.ready(finish, space, Stage.DRY_TO_HANDLE),
                self.closes(finish, space),
            )
        return self._wet[key]

    def scuffs(self, finish: str) -> bool:
        """Whether a surface past its window has to be scuffed."""
        known = self._request.finishes[finish]
        return known.window_closes_hours is not None and known.scuff_past_window

    def ready_s(self, finish: str, space: str, stage: Stage, end_s: float) -> int:
        """When the stage is safely reached after a coat that ended at ``end_s``."""
        return _at_s(self.clock(finish, space), stage, float(end_s))

    def likely_s(self, finish: str, space: str, stage: Stage, end_s: float) -> int:
        """When the stage is likely reached after a coat that ended at ``end_s``."""
        return _whole(math.ceil, self.clock(finish, space).likely(float(end_s), stage))

    def closes_s(self, finish: str, space: str, end_s: float) -> int:
        """When the window closes after a coat that ended at ``end_s``."""
        return _at_s(self.clock(finish, space), None, float(end_s))

    def good_air(self, finish: str, space: str) -> int:
        """Mask of the slots a coat may start in."""
        key = (finish, space)
        if key not in self._masks:
            good = bears(self._request.finishes[finish], self._conditions(space))
            self._masks[key] = mask_of(np.flatnonzero(good), len(good))
        return self._masks[key]

    def _conditions(self, space: str) -> Conditions:
        """Air, surface and wood of a space at the start of every slot."""
        if space not in self._air:
            self._air[space] = conditions_at(self._request.air[space], self._starts_s)
        return self._air[space]

    def closed(self, project: Project) -> int:
        """Mask of the slots that touch a stretch in which no work is done on a project."""
        if project.name not in self._closed:
            mask = 0
            for stretch in project.blocked:
                low = int(self._ends_s.searchsorted(stretch.start.timestamp(), side="right"))
                high = int(self._starts_s.searchsorted(stretch.end.timestamp(), side="left"))
                mask |= (1 << max(low, high)) - (1 << low)
            self._closed[project.name] = mask
        return self._closed[project.name]

    def _table(self, finish: str, space: str, stage: Stage | None) -> Table:
        key = (finish, space, stage)
        if key not in self._tables:
            self._tables[key] = DryingTable(self.clock(finish, space), stage, self._ends_s)
        return self._tables[key]


def _at_s(clock: DryingClock, stage: Stage | None, end_s: float) -> int:
    """When a stage of a coat is safely reached (rounded up), or its window closes (down)."""
    if stage is None:
        return _whole(math.floor, clock.window_closes(end_s))
    return _whole(math.ceil, clock.ready(end_s, stage))


def _whole(rounding: Callable[[float], int], seconds: float) -> int:
    return rounding(seconds) if seconds < NEVER_S else NEVER_S
