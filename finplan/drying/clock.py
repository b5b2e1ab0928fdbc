"""The drying clock: when each stage of a coat is reached in air that changes.

A stage is reached when the speed of drying, relative to 23 °C and 50 %, has added up to the
stage's hours there (equivalent age, the idea of maturity in ASTM C1074). The sum is exact on the
air's own steps and never uses a mean temperature, which would understate progress. Instants are
seconds since 1970-01-01 UTC, so a clock change in between moves nothing.

*Likely* is the median. *Safe* is the quantile the user chose. Away from 23 °C the temperature's
effect is itself uncertain: on every step the safe speed is that of the safe time in constant air
of that step, so the band widens in cold and in warm air.
"""

from __future__ import annotations

import dataclasses
import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from finplan.air.psychrometrics import FloatArray
from finplan.air.series import AirSeries
from finplan.drying.bands import (
    BOOK_QUANTILE,
    LOWEST_QUANTILE,
    Band,
    check_quantile,
    normal_quantile,
    prior,
    stage_band,
)
from finplan.drying.pace import Pace
from finplan.drying.rates import pace_without_stops, stopped
from finplan.trade.finishes import STAGE_ORDER, Finish, Stage

Instants = TypeVar("Instants", float, NDArray[np.float64])

_HOUR_S = 3600.0


class Curve:
    """Drying done since the first step, in seconds at 23 °C and 50 %, and its inverse.

    Before the first step its speed counts, after the last step the last one's.
    """

    def __init__(self, at_s: FloatArray, speed: FloatArray) -> None:
        self._origin_s = float(at_s[0])
        self._steps = at_s - self._origin_s
        self._speed = speed
        gained = np.diff(self._steps) * speed[:-1]
        self._done = np.concatenate([[0.0], np.cumsum(gained)])
        # For one instant: plain numbers without a copy, ten times faster than through numpy.
        self._plain = self._steps.data, self._speed.data, self._done.data

    def done(self, instant_s: Instants) -> Instants:
        """Drying done at an instant, reference seconds; below zero before the first step."""
        if isinstance(instant_s, np.ndarray):
            offset = instant_s - self._origin_s
            index = np.maximum(self._steps.searchsorted(offset, side="right") - 1, 0)
            done: FloatArray = (
                self._done[index] + (offset - self._steps[index]) * self._speed[index]
            )
            return done
        steps, speeds, dones = self._plain
        offset_s = instant_s - self._origin_s
        i = max(0, bisect_right(steps, offset_s) - 1)
        return dones[i] + (offset_s - steps[i]) * speeds[i]

    def ready(self, end_s: Instants, needed_s: float) -> Instants:
        """First instant at which ``needed_s`` more reference seconds are done; inf if never."""
        if isinstance(end_s, np.ndarray):
            return self._ready_array(end_s, needed_s)
        target = self.done(end_s) + needed_s
        steps, speeds, dones = self._plain
        i = max(0, bisect_left(dones, target) - 1)
        if speeds[i] <= 0.0:
            return end_s if needed_s <= 0.0 else math.inf
        offset_s = steps[i] + (target - dones[i]) / speeds[i]
        return max(end_s, _whole_milliseconds(offset_s + self._origin_s))

    def _ready_array(self, end_s: FloatArray, needed_s: float) -> FloatArray:
        target = self.done(end_s) + needed_s
        # The left side: on a plateau, where nothing dries, the instant it was reached counts.
        index = np.maximum(self._done.searchsorted(target, side="left") - 1, 0)
        speed = self._speed[index]
        moving = speed > 0.0
        offset = self._steps[index] + (target - self._done[index]) / np.where(moving, speed, 1.0)
        instant = np.floor((offset + self._origin_s) * 1000.0 + 0.5) / 1000.0
        never = end_s if needed_s <= 0.0 else np.inf
        ready: FloatArray = np.where(moving, np.maximum(end_s, instant), never)
        return ready


@dataclass(frozen=True, slots=True)
class Reached:
    """How far a coat is: shares of the way to a stage, and the last stage reached (or None)."""

    likely_share: float
    safe_share: float
    likely_stage: Stage | None
    safe_stage: Stage | None


class DryingClock:
    """Answers for one finish in one space's air; made by ``clock_for``.

    Methods take the end of the coat in seconds since 1970-01-01 UTC, one number or an array of
    shape (n,), and answer alike; a later coat is never ready earlier.
    """

    def __init__(
        self,
        finish: Finish,
        air: AirSeries,
        belief: Band,
        quantile: float,
        film_multiplier: float,
    ) -> None:
        self.finish = finish
        self.air = air
        self.belief = belief
        self.quantile = quantile
        self.film_multiplier = film_multiplier
        self._prior = prior(finish)
        self._bands: dict[Stage, Band | None] = {}
        self._curves: dict[str | float, Curve] = {}
        self._book: tuple[Curve, ...] = ()

    def ready(self, end_s: Instants, stage: Stage) -> Instants:
        """The *safe* instant a stage is reached at; infinite where it never is."""
        if self.quantile == LOWEST_QUANTILE:  # the median: one curve does for all stages
            return self.likely(end_s, stage)
        band = self._band(stage)
        if band is None:
            return end_s + math.inf
        return self._safe(band).ready(end_s, self._safe_needed_s(stage))

    def likely(self, end_s: Instants, stage: Stage) -> Instants:
        """The *likely* (median) instant a stage is reached at; infinite where it never is."""
        band = self._band(stage)
        if band is None:
            return end_s + math.inf
        return self._likely().ready(end_s, self._needed_s(band.median))

    def window_closes(self, end_s: Instants) -> Instants:
        """The instant to have recoated by, taken cautiously early; infinite where it never is.

        The stated window is read as cautious too: at 23 °C and 50 % it counts as it stands.
        Away from there it closes as early as the fast tail of the band says: by quantile
        ``1 - quantile`` of the pace, and it goes on closing where the cold stops the drying.
        Checks in the shop shift it but never narrow its band.
        """
        window = self.finish.window_closes_hours
        if window is None:
            return end_s + math.inf
        curve = self._curves.get("window")
        if curve is None:
            book = self._prior
            band = Band(self.belief.median, book.sigma, self.belief.tilt)
            z = -normal_quantile(self.quantile)
            stated = -normal_quantile(BOOK_QUANTILE) * book.sigma
            curve = self._curves["window"] = self._curve(z, band, stated, stops=False)
        return curve.ready(end_s, self._needed_s(window.value))

    def progress(self, end_s: float, now_s: float, stage: Stage = Stage.DRY_TO_RECOAT) -> Reached:
        """How far a coat is on its way to a stage, for bars; shares run from 0 to 1."""
        likely = {s: self._share(end_s, now_s, s, safe=False) for s in STAGE_ORDER}
        safe = {s: self._share(end_s, now_s, s, safe=True) for s in STAGE_ORDER}
        return Reached(likely[stage], safe[stage], _last_reached(likely), _last_reached(safe))

    def times_the_book(self, end_s: float, at_s: float, stage: Stage) -> tuple[float, float, float]:
        """Time gone by as times the book's likely time to a stage, whatever is believed.

        Returns:
            The relative time, and the mean tilt and spread of the pace (``pace.Pace``) on the
            way. All are 0 for a stage the book does not state and where nothing has dried.
        """
        band = self._band(stage)
        if not self._book:
            own = self._pace
            speed = np.exp(-own.log_time)
            self._book = tuple(
                Curve(self.air.at_s, speed * weight) for weight in (1.0, own.tilt, own.spread)
            )
        done, tilt, doubt = (curve.done(at_s) - curve.done(end_s) for curve in self._book)
        if band is None or not (done > 0.0 and band.median > 0.0):
            return 0.0, 0.0, 0.0
        return done / (band.median * self.film_multiplier * _HOUR_S), tilt / done, doubt / done

    def _band(self, stage: Stage) -> Band | None:
        if stage not in self._bands:
            self._bands[stage] = stage_band(self.finish, stage)
        return self._bands[stage]

    def _share(self, end_s: float, now_s: float, stage: Stage, safe: bool) -> float:
        band = self._band(stage)
        if band is None or now_s <= end_s:
            return 0.0
        curve = self._safe(band) if safe else self._likely()
        needed = self._safe_needed_s(stage) if safe else self._needed_s(band.median)
        done = curve.done(now_s) - curve.done(end_s)
        return min(1.0, done / needed) if needed > 0.0 else 1.0

    def _safe_needed_s(self, stage: Stage) -> float:
        return self._needed_s(self.finish.stages[stage].high)

    def _needed_s(self, hours: float) -> float:
        return hours * self.belief.median * self.film_multiplier * _HOUR_S

    def _safe(self, band: Band) -> Curve:
        curve = self._curves.get(band.sigma)  # stages of one spread have one curve
        if curve is None:
            sigma = band.sigma * self.belief.sigma / self._prior.sigma
            belief = dataclasses.replace(self.belief, sigma=sigma)
            # The book's safe hours hold the spread at 23 °C and 50 % already: it is taken off.
            stated = normal_quantile(BOOK_QUANTILE) * band.sigma
            z = normal_quantile(self.quantile)
            curve = self._curves[band.sigma] = self._curve(z, belief, stated)
        return curve

    def _likely(self) -> Curve:
        curve = self._curves.get("likely")
        if curve is None:
            curve = self._curves["likely"] = self._curve(0.0, self.belief, 0.0)
        return curve

    @cached_property
    def _pace(self) -> Pace:
        return stopped(self.finish, self.air.temperature_c, self._pace_without_stops)

    @cached_property
    def _pace_without_stops(self) -> Pace:
        return pace_without_stops(self.finish, self.air.temperature_c, self.air.humidity_percent)

    def _curve(self, z: float, band: Band, stated: float, stops: bool = True) -> Curve:
        """Curve at the quantile of ``z`` for hours that already hold ``stated`` of it."""
        found = self._pace if stops else self._pace_without_stops
        turned = band.tilt_sigma * (found.tilt - band.pivot)
        spread = np.sqrt(band.sigma**2 + turned**2 + found.spread**2)
        slower = band.tilt * found.tilt + z * spread - stated
        return Curve(self.air.at_s, np.exp(-(found.log_time + slower)))


def clock_for(
    finish: Finish,
    air: AirSeries,
    belief: Band | None = None,
    quantile: float = BOOK_QUANTILE,
    film_multiplier: float = 1.0,
) -> DryingClock:
    """Make the clock of a finish in a space's air.

    Args:
        finish: what was put on.
        air: air at the film.
        belief: what the shop's checks say, as times the book's likely time; None believes the
            book (``bands.prior``).
        quantile: share of coats that are to be ready by the safe time, 0.5 to 0.99.
        film_multiplier: times as long for a film thicker than usual (``film.time_multiplier``).

    Raises:
        BadInput: a quantile out of range.
    """
    return DryingClock(
        finish, air, belief or prior(finish), check_quantile(quantile), film_multiplier
    )


def _last_reached(shares: dict[Stage, float]) -> Stage | None:
    reached = [stage for stage, share in shares.items() if share >= 1.0]
    return reached[-1] if reached else None


def _whole_milliseconds(instant_s: float) -> float:
    """Rounded, so that sums of float seconds do not push a step into the next quarter hour."""
    return math.floor(instant_s * 1000.0 + 0.5) / 1000.0
