"""The best time to renew a piece: dry wood, fit air, work hours, and the shortest time out of use.

Every start within the work hours is tried: the piece is lifted and washed, dries, is sanded,
coated when the air allows it, and goes back when the coat is dry-through, safe. What is best
weighs the hours out of use against the days from when it is due.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.air.board_drying import BoardDrying
from finplan.air.psychrometrics import FloatArray
from finplan.air.series import AirSeries, AirSource
from finplan.drying.bands import Band
from finplan.drying.clock import clock_for
from finplan.drying.limits import may_coat
from finplan.planning.hours import SLOT_S, Axis, axis_of
from finplan.planning.walk import slots_for
from finplan.tracking.upkeep.days import LATE_WEIGHS, days_between
from finplan.tracking.upkeep.pieces import InstalledPiece
from finplan.tracking.upkeep.wood_dry import LONGEST_DRY_HOURS, board_of, dry_enough, wet_hours
from finplan.trade.finishes import Finish, Stage
from finplan.trade.moments import find_zone, say_moment
from finplan.trade.steps import StepKind
from finplan.trade.upkeep import Exposure
from finplan.trade.woods import Wood
from finplan.trade.workshop import Person, Workshop

EARLY_DAY_HOURS = 0.5
"""A day early is worth so many hours out of use, one late LATE_WEIGHS times as many; our choice."""

NEAR_DAYS = 60
"""Days around the due one that are searched first; our own choice."""

_KINDS = frozenset({StepKind.CLEAN, StepKind.SAND, StepKind.COAT, StepKind.INSTALL})

Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Tasks:
    """Minutes of work in a renewal; ``wipe`` begins as the coat ends, its wait included."""

    lift: float
    sand: float
    dust_off: float
    coat: float
    wipe: float
    back: float


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch to renew a piece in, instants UTC, all safe.

    ``start``: it is lifted. ``dry``: the wood is dry enough. ``coat``: the coat goes on.
    ``end``: it is back in use. ``known_from``: where the air of the stretch is known from.
    ``too_long``: it is out of use for longer than it may be.
    """

    start: dt.datetime
    dry: dt.datetime
    coat: dt.datetime
    end: dt.datetime
    known_from: tuple[AirSource, ...]
    too_long: bool = False

    @property
    def out_hours(self) -> float:
        """How long the piece is out of use."""
        return (self.end - self.start).total_seconds() / 3600.0

    @property
    def dry_hours(self) -> float:
        """How long the wood dries after washing, counted from the start."""
        return (self.dry - self.start).total_seconds() / 3600.0


@dataclass(frozen=True, slots=True)
class NoWindow:
    """There is no good time: one sentence that says why."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a window is searched for; nothing begins before ``earliest``."""

    piece: InstalledPiece
    finish: Finish
    wood: Wood | None
    tasks: Tasks
    due: dt.date
    earliest: dt.datetime


@dataclass(frozen=True, slots=True)
class _Tried:
    """Every start tried (slot numbers), and what follows from each, in seconds."""

    starts: Indices
    begins: FloatArray
    dry: FloatArray
    coat: FloatArray
    end: FloatArray


Taken = tuple[str, dt.datetime, dt.datetime]
"""A stretch in which other work is planned: whose, from, to."""


class Ground:
    """The hours and the air of one space, laid out once for all pieces worked on there.

    Hours ``taken`` by other planned work are no hours for this.
    """

    def __init__(
        self,
        workshop: Workshop,
        space: str,
        air: AirSeries,
        stretch: tuple[dt.datetime, dt.datetime],
        bands: Mapping[tuple[str, str], Band],
        taken: Sequence[Taken] = (),
    ) -> None:
        able = [one for one in workshop.people if one.can is None or one.can >= _KINDS]
        self.zone = find_zone(workshop.zone)
        self.air = air
        self._quantile = workshop.safe_quantile
        apart = next(one.dust_apart for one in workshop.spaces if one.name == space)
        self._settle_s = 0.0 if apart else workshop.dust_settles_minutes * 60.0
        self._space, self._bands = space, bands
        axis = axis_of(able, self.zone, *stretch)
        self._free = _free_slots(axis)
        self._take(able, taken, np.asarray(axis.starts, np.float64))
        self._joined = _bits(axis.joined, len(axis))
        self.starts_s = np.append(np.asarray(axis.starts, np.float64), np.inf)
        self.days = np.array(
            [dt.datetime.fromtimestamp(at_s, self.zone).toordinal() for at_s in axis.starts],
            np.int64,
        )
        self._next: dict[int, Indices] = {}
        self._boards: dict[tuple[float, float], BoardDrying] = {}
        self._coats: dict[str, tuple[NDArray[np.bool_], FloatArray]] = {}

    def _take(self, able: Sequence[Person], taken: Sequence[Taken], starts_s: FloatArray) -> None:
        masks = {one.name: free for one, free in zip(able, self._free, strict=True)}
        for person, begin, end in taken:
            if person in masks:
                first = starts_s.searchsorted(begin.timestamp() - SLOT_S, side="right")
                masks[person][first : starts_s.searchsorted(end.timestamp())] = False

    def slots(self) -> int:
        """How many quarter hours of work there are."""
        return len(self.starts_s) - 1

    def board(self, piece: InstalledPiece, wood: Wood | None) -> BoardDrying:
        """Return the drying of a piece's wood in this air."""
        board = board_of(piece, wood)
        key = (board.thickness_mm, board.diffusion_m2_per_s)
        if key not in self._boards:
            self._boards[key] = BoardDrying(self.air, board)
        return self._boards[key]

    def first_run(self, at_s: FloatArray, slots: int) -> Indices:
        """Return the first slot from each instant on where so much work fits without a break."""
        if slots not in self._next:
            fit = np.append(self.fits(slots), True)
            self._next[slots] = _next_true(fit)
        found: Indices = self._next[slots][self.starts_s.searchsorted(at_s)]
        return found

    def fits(self, slots: int) -> NDArray[np.bool_]:
        """Say of each slot whether somebody is free from it on for so many, without a break."""
        count = self.slots()
        fit = np.zeros(count, np.bool_)
        if slots > count:
            return fit
        for free in self._free:
            good = free.copy()
            for step in range(1, slots):
                good[:-step] &= free[step:] & self._joined[step - 1 : count - 1]
                good[count - step :] = False
            fit |= good
        return fit

    def coats(self, finish: Finish) -> tuple[NDArray[np.bool_], FloatArray]:
        """Say of each slot whether a coat may start there, and when one that ends there is dry."""
        if finish.name not in self._coats:
            at_s = self.starts_s[:-1]
            band = self._bands.get((finish.name, self._space))
            clock = clock_for(finish, self.air, band, self._quantile)
            ready = np.ceil(clock.ready(at_s + SLOT_S, Stage.DRY_THROUGH))
            self._coats[finish.name] = (may_coat(finish, self.air, at_s), ready)
        return self._coats[finish.name]

    def coat_from(self, sanded_s: FloatArray, finish: Finish, tasks: Tasks) -> Indices:
        """Return the first slot after sanding from which dust is wiped off and the coat put on."""
        before, count = slots_for(tasks.dust_off), self.slots()
        wipe = slots_for(tasks.wipe) if tasks.wipe else 0
        good = self.fits(before + slots_for(tasks.coat) + wipe)
        may, _ = self.coats(finish)
        good[: count - before] &= may[before:]
        follows = _next_true(np.append(good, True))
        earliest = sanded_s + max(0.0, self._settle_s - before * SLOT_S)
        found: Indices = follows[self.starts_s.searchsorted(earliest)]
        return found


def best_window(ground: Ground, wanted: Wanted) -> Window | NoWindow:
    """Return the best time to renew a piece.

    Args:
        ground: the hours and the air where it is worked on; nothing before or after them.
        wanted: the piece, what the renewal takes, and when it is due.
    """
    piece, tasks = wanted.piece, wanted.tasks
    lifts = np.flatnonzero(ground.fits(slots_for(tasks.lift)))
    begins = ground.starts_s[lifts]
    lifts = lifts[(begins % 3600.0 == 0.0) & (begins >= wanted.earliest.timestamp())]
    allowed = _on_wished_days(ground, piece, lifts)
    if not allowed.size:
        return NoWindow("no wished day in the time ahead has hours to work on it")
    off = _days_off(ground, allowed, wanted.due)
    near = np.abs(off) <= NEAR_DAYS
    fault = NoWindow("")
    for starts in (allowed[near], allowed):
        if not starts.size:
            continue
        tried = _try(ground, wanted, starts)
        found = _best(ground, wanted, tried)
        if isinstance(found, Window):
            return found
        fault = found
    return fault


def say_window(window: Window, title: str, zone: str) -> str:
    """Return the downtime as a sentence, in local time."""
    start, end = say_moment(window.start, zone), say_moment(window.end, zone)
    return f"{title}: out of use from {start} to {end}, safe"


def why_window(window: Window, zone: str) -> str:
    """Return how a window comes about: drying, coat, and what the air is known from."""
    sources = " and ".join(_SOURCES[one] for one in window.known_from)
    return (
        f"the wood is dry about {window.dry_hours:.0f} h after it is taken up and washed, the "
        f"coat goes on {say_moment(window.coat, zone)}; by {sources}"
    )


_SOURCES = {
    AirSource.READING: "readings",
    AirSource.FORECAST: "the forecast",
    AirSource.NORMALS: "monthly normals",
    AirSource.CONSTANT: "air that stays as it is",
}


def rain_words(piece: InstalledPiece) -> str:
    """Return what to mind of rain before a piece is lifted; empty where none falls on it."""
    if piece.exposures & {Exposure.INDOORS, Exposure.COVERED}:
        return ""
    return "No rain is known: look at a forecast before it is lifted."


def _try(ground: Ground, wanted: Wanted, starts: Indices) -> _Tried:
    """Follow the work from every start: lift, dry, sand, coat, dry through, put back."""
    piece, finish, tasks = wanted.piece, wanted.finish, wanted.tasks
    begins = ground.starts_s[starts]
    washed = begins + slots_for(tasks.lift) * SLOT_S
    dry = ground.board(piece, wanted.wood).dry_at_s(
        washed, wet_hours(piece), dry_enough(finish).value, LONGEST_DRY_HOURS
    )
    sand_slots, back_slots = slots_for(tasks.sand), slots_for(tasks.back)
    sanded = ground.starts_s[ground.first_run(dry, sand_slots)] + sand_slots * SLOT_S
    clean = ground.coat_from(sanded, finish, tasks)
    last = clean + slots_for(tasks.dust_off) + slots_for(tasks.coat) - 1
    _, ready = ground.coats(finish)
    through = np.append(ready, np.inf)[np.minimum(last, len(ready))]
    coat = ground.starts_s[np.minimum(clean + slots_for(tasks.dust_off), len(ready))]
    back = ground.starts_s[ground.first_run(through, back_slots)]
    return _Tried(starts, begins, dry, coat, back + back_slots * SLOT_S)


def _best(ground: Ground, wanted: Wanted, tried: _Tried) -> Window | NoWindow:
    piece, finish = wanted.piece, wanted.finish
    if not np.isfinite(tried.dry).any():
        return NoWindow(
            f"the wood does not come down to {dry_enough(finish).value:g} % moisture in the air "
            "to be expected"
        )
    done = np.isfinite(tried.end)
    if not done.any():
        return NoWindow("no work hours ahead have air and time enough for the coat and its drying")
    for stretch in piece.blocked:
        low, high = _days_s(ground, stretch.first, stretch.last)
        done &= (tried.begins >= high) | (tried.end <= low)
    if not done.any():
        return NoWindow("every stretch long enough runs into blocked days")
    hours = (tried.end - tried.begins) / 3600.0
    most = piece.may_be_out_hours or math.inf
    short = done & (hours <= most)
    off = _days_off(ground, tried.starts, wanted.due)
    cost = hours + EARLY_DAY_HOURS * np.where(off > 0, LATE_WEIGHS * off, -off)
    best = int(np.argmin(np.where(short if short.any() else done, cost, np.inf)))
    instants = (tried.begins, tried.dry, tried.coat, tried.end)
    begin, dry, coat, end = (
        dt.datetime.fromtimestamp(float(one[best]), dt.UTC) for one in instants
    )
    known = known_from(ground.air, begin, end)
    return Window(begin, dry, coat, end, known, too_long=not short.any())


def _on_wished_days(ground: Ground, piece: InstalledPiece, lifts: Indices) -> Indices:
    if not lifts.size:
        return lifts
    days = ground.days[lifts]
    first, last = (dt.date.fromordinal(int(days[at])) for at in (0, -1))
    wished = [day.toordinal() for day in days_between(piece, first, last)]
    on_them: Indices = lifts[np.isin(days, wished)]
    return on_them


def _days_off(ground: Ground, starts: Indices, due: dt.date) -> FloatArray:
    """Days after the due one, below zero before it."""
    noon = dt.datetime.combine(due, dt.time(12), ground.zone).timestamp()
    off: FloatArray = np.round((ground.starts_s[starts] - noon) / 86400.0)
    return off


def _days_s(ground: Ground, first: dt.date, last: dt.date) -> tuple[float, float]:
    after = last + dt.timedelta(days=1)
    low, high = (dt.datetime.combine(day, dt.time(), ground.zone) for day in (first, after))
    return low.timestamp(), high.timestamp()


def known_from(air: AirSeries, begin: dt.datetime, end: dt.datetime) -> tuple[AirSource, ...]:
    """Return where the air of a stretch is known from, most trusted first."""
    low = max(0, int(air.at_s.searchsorted(begin.timestamp(), side="right")) - 1)
    high = int(air.at_s.searchsorted(end.timestamp()))
    return tuple(tuple(AirSource)[code] for code in np.unique(air.source[low:high]).tolist())


def _free_slots(axis: Axis) -> tuple[NDArray[np.bool_], ...]:
    return tuple(_bits(mask, len(axis)) for mask in axis.free)


def _bits(mask: int, count: int) -> NDArray[np.bool_]:
    packed = np.frombuffer(mask.to_bytes(count // 8 + 1, "little"), np.uint8)
    return np.unpackbits(packed, bitorder="little")[:count].astype(np.bool_)


def _next_true(fit: NDArray[np.bool_]) -> Indices:
    """Return for each place the first one from it on that is true; the last one is."""
    places = np.where(fit, np.arange(len(fit)), len(fit))
    found: Indices = np.minimum.accumulate(places[::-1])[::-1]
    return found
