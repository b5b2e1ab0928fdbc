"""What lies on a rack and when, so that it is seen at once whether there is room for more."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable
from typing import NamedTuple

from finplan.planning.hours import NEVER_S


class Hold(NamedTuple):
    """A load on the rack, in seconds; the first to be taken off sorts first."""

    end_s: int
    start_s: int
    area_m2: float
    chain: int


class Rack:
    """The stays on one rack. It is never changed: with one stay more there is another one.

    ``holds``: the stays, by when they end.
    """

    __slots__ = ("_area_m2", "_from_s", "holds")

    def __init__(self, holds: Iterable[Hold] = ()) -> None:
        self.holds: list[Hold] = sorted(holds)
        self._from_s = [0]  # by stretch in which nothing comes or goes: from when on
        self._area_m2 = [0.0]  # and what is taken in it; nothing in the last
        for hold in self.holds:
            self._take(hold)

    def _take(self, hold: Hold) -> None:
        first, until = self._cut(hold.start_s), self._cut(hold.end_s)
        for at in range(first, until):
            self._area_m2[at] += hold.area_m2

    def _cut(self, at_s: int) -> int:
        """The stretch that begins at an instant."""
        at = bisect_left(self._from_s, at_s)
        if at == len(self._from_s) or self._from_s[at] != at_s:
            self._from_s.insert(at, at_s)
            self._area_m2.insert(at, self._area_m2[at - 1] if at else 0.0)
        return at

    def with_hold(self, hold: Hold) -> Rack:
        """The rack with one stay more."""
        other = object.__new__(Rack)
        other.holds = self.holds.copy()
        other._from_s, other._area_m2 = self._from_s.copy(), self._area_m2.copy()
        insort(other.holds, hold)
        other._take(hold)
        return other

    def without_open(self, chain: int) -> Rack:
        """The rack without the stays of a load that have no known end."""
        return Rack(hold for hold in self.holds if hold.chain != chain or hold.end_s < NEVER_S)

    def open_since_s(self, chain: int) -> int:
        """When the stay of a load that has no known end began; 0 if there is none."""
        mine = (hold for hold in self.holds if hold.chain == chain and hold.end_s >= NEVER_S)
        return next((hold.start_s for hold in mine), 0)

    def others(self, chain: int, from_s: int) -> Rack:
        """The rack from an instant on, without the stays of a load."""
        later = self.holds[bisect_left(self.holds, (from_s + 1,)) :]
        if chain not in [hold.chain for hold in later]:
            return self
        return Rack(hold for hold in later if hold.chain != chain)

    def frees_s(self, room_m2: float, start_s: int, end_s: int) -> int | None:
        """When enough is gone of what first makes a stay too full; None if there is room.

        Args:
            room_m2: the most area that may be taken.
            start_s: when the stay begins.
            end_s: when it ends.
        """
        full_s = self._too_full_s(room_m2, start_s, end_s)
        if full_s is None:
            return None
        later = self.holds[bisect_left(self.holds, (full_s + 1,)) :]
        there = [hold for hold in later if hold.start_s <= full_s]
        area_m2 = sum(hold.area_m2 for hold in there)
        for hold in there:
            area_m2 -= hold.area_m2
            if area_m2 <= room_m2:
                return hold.end_s
        return None

    def _too_full_s(self, room_m2: float, start_s: int, end_s: int) -> int | None:
        """The first instant of a stay at which more is taken than may be; None if there is room."""
        from_s, area_m2 = self._from_s, self._area_m2
        at = max(0, bisect_right(from_s, start_s) - 1)
        while at < len(from_s) and from_s[at] < end_s:
            if area_m2[at] > room_m2:
                return max(start_s, from_s[at])
            at += 1
        return None

    def begins_after_s(self, room_m2: float, start_s: int, end_s: int) -> int | None:
        """Before when no stay can begin that ends no sooner than this one; None if it has room."""
        from_s, area_m2 = self._from_s, self._area_m2
        first = max(0, bisect_right(from_s, start_s) - 1)
        for at in range(bisect_left(from_s, end_s) - 1, first - 1, -1):
            if area_m2[at] > room_m2:
                return from_s[at + 1] if at + 1 < len(from_s) else None
        return None
