"""Work windows on one axis: every quarter hour in which somebody may work."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from dateutil.rrule import rrulestr
from numpy.typing import NDArray

from finplan.trade.arrays import rising
from finplan.trade.errors import BadInput
from finplan.trade.workshop import Person, WorkWindow

SLOT_S = 900
NEVER_S = 1 << 40
"""An instant no plan reaches (some 35,000 years on)."""

_ANCHOR = dt.date(2024, 1, 1)
_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Axis:
    """The slots of a quarter hour in which at least one person may work, in order.

    ``starts``: seconds since 1970-01-01 UTC at which each slot starts, rising. ``joined``: bit
    ``i`` is set when slot ``i + 1`` begins as slot ``i`` ends. ``free``: per person (in the
    workshop's order) a mask of the slots that person may work in. ``sessions``: by slot, the first
    slot of the unbroken stretch of work hours it lies in.
    """

    starts: Sequence[int]
    joined: int
    free: tuple[int, ...]
    sessions: Sequence[int] = field(init=False, compare=False, repr=False)
    _unbroken: dict[int, int] = field(default_factory=dict, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Work out the sessions once, since every placement asks for them."""
        size = len(self.starts)
        first = np.arange(size)
        first[1:][bits_of(self.joined, size)[: size - 1] == 1] = 0
        object.__setattr__(self, "sessions", np.maximum.accumulate(first).tolist())

    def __len__(self) -> int:
        return len(self.starts)

    def first_at_or_after(self, at_s: float) -> int:
        """The first slot that starts at or after an instant; ``len(self)`` when none does."""
        return bisect_left(self.starts, at_s)

    def anybody(self, people: Iterable[int]) -> int:
        """Mask of the slots at least one of some people may work in."""
        mask = 0
        for person in people:
            mask |= self.free[person]
        return mask

    def work_before(self, people: Iterable[int]) -> NDArray[np.int64]:
        """Slots of work some people have together before each slot, and before the end."""
        work = np.zeros(len(self) + 1, np.int64)
        for person in people:
            work[1:] += np.cumsum(bits_of(self.free[person], len(self)), dtype=np.int64)
        return work

    def end_s(self, slot: int) -> int:
        """When a slot ends, in seconds."""
        return self.starts[slot] + SLOT_S

    def unbroken(self, length: int) -> int:
        """Mask of slots from which the next ``length`` slots are reached without a break."""
        mask = self._unbroken.get(length)
        if mask is None:
            have, mask = 1, self.joined
            while have < length:
                step = min(have, length - have)
                mask &= mask >> step
                have += step
            self._unbroken[length] = mask
        return mask


def axis_of(people: Sequence[Person], zone: ZoneInfo, begin: dt.datetime, end: dt.datetime) -> Axis:
    """Lay everybody's windows between two instants on one axis.

    Raises:
        BadInput: if a rule cannot be read.
    """
    each = [_slots_of(person, zone, begin, end) for person in people]
    union = rising(np.concatenate(each)) if each else np.empty(0, np.int64)
    joined = np.flatnonzero(np.diff(union) == 1)
    free = tuple(mask_of(np.searchsorted(union, slots), len(union)) for slots in each)
    return Axis((union * SLOT_S).tolist(), mask_of(joined, len(union)), free)


def open_stretches(
    people: Sequence[Person], zone: ZoneInfo, begin: dt.datetime, end: dt.datetime
) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    """Return the unbroken stretches (UTC, rising) in which at least one person may work.

    Raises:
        BadInput: if a rule cannot be read.
    """
    merged: list[list[int]] = []
    for start in axis_of(people, zone, begin, end).starts:
        if merged and merged[-1][1] == start:
            merged[-1][1] = start + SLOT_S
        else:
            merged.append([start, start + SLOT_S])
    return tuple(
        (dt.datetime.fromtimestamp(start, dt.UTC), dt.datetime.fromtimestamp(end, dt.UTC))
        for start, end in merged
    )


def mask_of(indices: NDArray[np.intp], size: int) -> int:
    """A mask with the bits at ``indices`` set."""
    bits = np.zeros(size, np.uint8)
    bits[indices] = 1
    return int.from_bytes(np.packbits(bits, bitorder="little").tobytes(), "little")


def bits_of(mask: int, size: int) -> NDArray[np.uint8]:
    """The first ``size`` bits of a mask, one a number."""
    whole = (mask & ((1 << size) - 1)).to_bytes(size // 8 + 1, "little")
    return np.unpackbits(np.frombuffer(whole, np.uint8), bitorder="little")[:size]


def _slots_of(
    person: Person, zone: ZoneInfo, begin: dt.datetime, end: dt.datetime
) -> NDArray[np.int64]:
    """The slots (numbered from 1970) that lie wholly inside a person's hours, rising."""
    slots = _slots_of_windows(person.windows, person.name, zone, begin, end)
    absences = np.array([*_absences(person, zone)], np.int64).reshape(-1, 2)
    first = slots.searchsorted(absences[:, 0] // SLOT_S)
    until = slots.searchsorted(-(-absences[:, 1] // SLOT_S))
    there = np.ones(len(slots), np.bool_)
    for low, high in zip(first.tolist(), until.tolist(), strict=True):
        there[low:high] = False
    return slots[there]


@lru_cache(maxsize=32)  # plans are made by the hundred with the same windows
def _slots_of_windows(
    windows: tuple[WorkWindow, ...], name: str, zone: ZoneInfo, begin: dt.datetime, end: dt.datetime
) -> NDArray[np.int64]:
    """The slots that lie wholly inside somebody's windows, days off or not, rising."""
    open_s = sorted(
        stretch
        for number, window in enumerate(windows, 1)
        for stretch in _window_stretches(window, zone, begin, end, f"{name}, work window {number}")
    )
    low, high = _ceil(begin.timestamp()), int(end.timestamp() // SLOT_S)
    stretches = [
        np.arange(max(low, _ceil(start)), min(high, stop // SLOT_S))
        for start, stop in _merged(open_s)
    ]
    return np.concatenate(stretches) if stretches else np.empty(0, np.int64)


@lru_cache(maxsize=256)
def _window_stretches(
    window: WorkWindow, zone: ZoneInfo, begin: dt.datetime, end: dt.datetime, where: str
) -> tuple[tuple[int, int], ...]:
    """Start and end in seconds of each time a window comes round."""
    if window.minutes <= 0:
        raise BadInput("a work window needs a length above zero", where)
    first = begin.astimezone(zone).date() - _DAY - dt.timedelta(minutes=window.minutes)
    anchor = first if _any_day_will_do(window.rule) else _ANCHOR
    try:
        rule = rrulestr(window.rule, dtstart=dt.datetime.combine(anchor, window.start))
        days = rule.between(
            dt.datetime.combine(first, dt.time.min),
            dt.datetime.combine(end.astimezone(zone).date() + _DAY, dt.time.min),
            inc=True,
        )
    except (ValueError, TypeError, KeyError, AttributeError):
        raise BadInput(
            f"rule {window.rule!r} cannot be read: give one like FREQ=WEEKLY;BYDAY=MO,TU", where
        ) from None
    starts = (int(day.replace(tzinfo=zone).timestamp()) for day in days)
    return tuple((start, start + window.minutes * 60) for start in starts)


def _any_day_will_do(rule: str) -> bool:
    """Whether a rule gives the same days from whichever day it is counted."""
    words = dict(part.split("=", 1) for part in rule.upper().split(";") if "=" in part)
    if "COUNT" in words or words.get("INTERVAL", "1") != "1":
        return False
    return words.get("FREQ") == "DAILY" or (words.get("FREQ") == "WEEKLY" and "BYDAY" in words)


def _absences(person: Person, zone: ZoneInfo) -> Iterable[tuple[int, int]]:
    for day in person.days_off:
        yield _day_s(day, zone)
    for busy in person.busy:
        yield int(busy.start.timestamp()), int(-(-busy.end.timestamp() // 1))


@lru_cache(maxsize=1024)
def _day_s(day: dt.date, zone: ZoneInfo) -> tuple[int, int]:
    """From when to when a day lasts, in seconds."""
    midnight = dt.datetime.combine(day, dt.time.min, zone)
    after = dt.datetime.combine(day + _DAY, dt.time.min, zone)
    return int(midnight.timestamp()), int(after.timestamp())


def _merged(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    whole: list[tuple[int, int]] = []
    for start, stop in stretches:
        if whole and start <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(whole[-1][1], stop))
        else:
            whole.append((start, stop))
    return whole


def _ceil(seconds: float) -> int:
    """The number of the first slot that starts at or after an instant."""
    return int(-(-seconds // SLOT_S))
