"""Learning from dryness checks how long a finish takes in this shop.

A check says that a coat had, or had not yet, reached a stage at an instant: it fences the coat's
own time, relative to the book's, from one side. The logarithm of that relative time is taken as

    finish + space + coat + tilt × (how cold it was),

independent doubts: the can and its label, the room (its air against the air known), one coat
against the next, and how strongly the temperature works on this finish. The spaces of one finish
share the first and the last, so what is learned in one moves the other part of the way. All is
Bayes' rule on a grid of two dimensions; nothing is sampled.

Beliefs are wider-tailed than the book's band, so that a shop far off is believed in time, and a
share of coats may say anything (a wrong stage, a wrong clock), so that one outlier does not move
much. Old checks, and those of an earlier can, count less.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from functools import lru_cache

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.bands import BOOK_QUANTILE, Band, normal_quantile, prior
from finplan.drying.clock import DryingClock
from finplan.drying.normal import normal_below
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

Key = tuple[str, str]
"""A finish's name and a space's name."""

COAT_SIGMA = 0.15
"""Coat against coat, and eye against eye, in the logarithm (an assumption)."""

COAT_SHARE_MOST = 0.5
"""Of a narrow band, at most this share of its variance is between coats (an assumption)."""

SPACE_SHARE = 0.4
"""Share of the remaining variance that is the room's rather than the finish's (an assumption)."""

TAIL_SHARE, TAIL_WIDTH = 0.08, 2.5
"""How much of the belief lies in a second bell, how many times as wide (an assumption)."""

OUTLIER_SHARE = 0.03
"""How many coats are expected to tell nothing or the wrong thing (an assumption)."""

HALF_LIFE_DAYS = 730.0
"""After two years a check counts half (an assumption)."""

OTHER_CAN_WEIGHT = 0.3
"""What a check on an earlier can counts (an assumption)."""

_GRID = np.linspace(-3.0, 3.0, 301)
_TILTS = np.linspace(-2.4, 2.4, 13)
_MOST_TILT = 1.5


@dataclass(frozen=True, slots=True)
class Observation:
    """A dryness check: had the coat that ended at ``end_s`` reached ``stage`` at ``at_s``?

    Instants in seconds since 1970-01-01 UTC. ``can`` tells one can from the next; empty where
    nobody noted it.
    """

    finish: str
    space: str
    end_s: float
    stage: Stage
    at_s: float
    reached: bool
    can: str = ""


@dataclass(frozen=True, slots=True)
class Belief:
    """What checks say of a finish in a space.

    ``band``: for ``clock.clock_for``, as times the book's likely time. ``times_here``: the
    median at the temperatures the checks were made at. ``checks`` counts those made in this
    space, ``checks_elsewhere`` the finish's others.
    """

    finish: str
    space: str
    checks: int
    checks_elsewhere: int
    band: Band
    times_here: float

    def say(self, title: str) -> str:
        """One sentence for people, e.g. 'in your shop this oil takes 1.3 times the book …'."""
        if not self.checks + self.checks_elsewhere:
            return f"nothing learned of {title} yet: the book's times hold"
        times = f"{self.times_here:.1f}"
        pace = "as long as the book says" if times == "1.0" else f"{times} times the book"
        count = f"{self.checks} check{'s' * (self.checks != 1)}"
        beside = f" and {self.checks_elsewhere} in other spaces" if self.checks_elsewhere else ""
        return f"in your shop {title} takes {pace}, from {count}{beside}"

    def as_plain(self) -> dict[str, object]:
        """Plain values for an export or a look inside."""
        return {
            "finish": self.finish,
            "space": self.space,
            "times_the_book": round(self.times_here, 4),
            "checks": self.checks,
            "checks_elsewhere": self.checks_elsewhere,
            "band": {key: round(value, 4) for key, value in asdict(self.band).items()},
        }


@dataclass(frozen=True, slots=True)
class _Told:
    """What the checks of one space say: log likelihood (tilts, grid), and their mean tilt."""

    log: FloatArray
    mean_tilt: float


def learn(
    observations: Iterable[Observation],
    clocks: Mapping[Key, DryingClock],
    now_s: float,
    cans: Mapping[str, str] | None = None,
    forget_before_s: Mapping[Key, float] | None = None,
) -> dict[Key, Belief]:
    """Learn from all checks at once; the order they come in does not matter.

    Args:
        observations: checks of any finish and space that ``clocks`` has.
        clocks: a clock of each finish and space in the air of the checks; its belief is not
            used.
        now_s: seconds since 1970-01-01 UTC; later checks are left out.
        cans: the can in use by finish; checks on another count less. None or a finish left out
            takes the can of its latest check.
        forget_before_s: start afresh for a finish and space from this instant on.

    Returns:
        A belief for each key of ``clocks``; where nothing was checked it is the book's.

    Raises:
        BadInput: a check of a finish and space without a clock, or before its coat's end.
    """
    fresh = forget_before_s or {}
    by_finish: dict[str, dict[Key, list[Observation]]] = defaultdict(dict)
    for key in clocks:
        by_finish[key[0]][key] = []
    for observation in observations:
        key = (observation.finish, observation.space)
        _check(observation, key, clocks)
        if fresh.get(key, -math.inf) <= observation.at_s <= now_s:
            by_finish[key[0]][key].append(observation)
    beliefs: dict[Key, Belief] = {}
    for finish, by_space in by_finish.items():
        can = (cans or {}).get(finish)
        beliefs |= _learn_finish(by_space, clocks, now_s, can)
    return beliefs


def _check(observation: Observation, key: Key, clocks: Mapping[Key, DryingClock]) -> None:
    if key not in clocks:
        raise BadInput(
            f"a check of {key[0]!r} in {key[1]!r}, of which no air is known: name a finish and "
            "space of the project"
        )
    if observation.at_s < observation.end_s:
        raise BadInput(f"a check of {key[0]!r} before the end of its coat: give a later time")


def _learn_finish(
    by_space: Mapping[Key, list[Observation]],
    clocks: Mapping[Key, DryingClock],
    now_s: float,
    can: str | None,
) -> dict[Key, Belief]:
    """Beliefs of one finish in all its spaces, pooled."""
    checks = [check for found in by_space.values() for check in found]
    book = prior(clocks[next(iter(by_space))].finish)
    if not checks:
        return {key: Belief(*key, 0, 0, book, book.median) for key in by_space}
    if can is None:
        can = max(checks, key=lambda check: check.at_s).can
    coat_sigma, space_sigma, finish_sigma = _shares(book.sigma)
    told = {
        key: _told(found, clocks[key], now_s, can, coat_sigma) for key, found in by_space.items()
    }
    room = _kernel(space_sigma)  # [finish's part, finish's and room's part]
    by_room = {key: np.log(np.exp(one.log) @ room.T) for key, one in told.items()}
    before = np.log(_bell(1.0, _TILTS))[:, None] + np.log(_tailed(finish_sigma))
    pooled = before + sum(by_room.values())
    beliefs = {}
    for key, one in told.items():
        others = _normalised(pooled - by_room[key])
        here = _normalised(np.log(others @ room + 1e-300) + one.log)
        band = _band_of(here, coat_sigma)
        found = len(by_space[key])
        times_here = band.median * math.exp(band.tilt * one.mean_tilt)
        beliefs[key] = Belief(*key, found, len(checks) - found, band, times_here)
    return beliefs


def _band_of(weights: FloatArray, coat_sigma: float) -> Band:
    """The band of the next coat from the weights of tilt and relative time.

    At the pivot, where the two are uncorrelated, median and 80 % quantile are the weights' own.
    """
    by_tilt, by_time = weights.sum(axis=1), weights.sum(axis=0)
    tilt, time = float(by_tilt @ _TILTS), float(by_time @ _GRID)
    variance = float(by_tilt @ (_TILTS - tilt) ** 2)
    covariance = float((_TILTS - tilt) @ weights @ (_GRID - time))
    pivot = -covariance / variance
    step = _GRID[1] - _GRID[0]
    turned = np.zeros_like(_GRID)
    for row, value in zip(weights, _TILTS.tolist(), strict=True):
        turned += np.interp(_GRID, _GRID + (value - tilt) * pivot, row, left=0.0, right=0.0)
    coats = turned @ _kernel(coat_sigma)
    middle = _quantile(_GRID, coats, 0.5, step)
    safe = _quantile(_GRID, coats, BOOK_QUANTILE, step)
    return Band(
        median=math.exp(middle),
        sigma=(safe - middle) / normal_quantile(BOOK_QUANTILE),
        tilt=min(_MOST_TILT, max(-_MOST_TILT, tilt)),
        tilt_sigma=math.sqrt(variance),
        pivot=pivot,
    )


def _shares(sigma: float) -> tuple[float, float, float]:
    """Standard deviations of coat, space and finish; their squares add up to the book's."""
    coat_variance = min(COAT_SIGMA**2, COAT_SHARE_MOST * sigma**2)
    rest = sigma**2 - coat_variance
    return (
        math.sqrt(coat_variance),
        math.sqrt(SPACE_SHARE * rest),
        math.sqrt((1.0 - SPACE_SHARE) * rest),
    )


def _told(
    checks: list[Observation], clock: DryingClock, now_s: float, can: str, coat_sigma: float
) -> _Told:
    """Logarithm of the chance of the checks for each tilt and time of the grids, coat by coat."""
    total: FloatArray = np.zeros((_TILTS.size, _GRID.size))
    tilts = []
    by_coat: dict[float, list[Observation]] = defaultdict(list)
    for check in checks:
        by_coat[check.end_s].append(check)
    for coat in by_coat.values():
        fences = _fences(coat, clock)
        sigma = math.hypot(coat_sigma, fences.spread)
        expected = _GRID + _TILTS[:, None] * fences.tilt
        inside = normal_below((fences.high - expected) / sigma) - normal_below(
            (fences.low - expected) / sigma
        )
        # A coat that tells nothing gives each check's answer by the toss of a coin.
        tossed = OUTLIER_SHARE * 0.5 ** len(coat)
        chance = (1.0 - OUTLIER_SHARE) * np.maximum(inside, 0.0) + tossed
        latest = max(coat, key=lambda check: check.at_s)
        weight = 0.5 ** ((now_s - latest.at_s) / 86400.0 / HALF_LIFE_DAYS)
        if latest.can != can:
            weight *= OTHER_CAN_WEIGHT
        total = total + weight * np.log(chance)
        tilts.append(fences.tilt)
    # Only ratios count; taking off the highest keeps hundreds of checks from vanishing.
    return _Told(total - total.max(), sum(tilts) / len(tilts) if tilts else 0.0)


@dataclass(frozen=True, slots=True)
class _Fences:
    """Between which logarithms a coat's relative time lies; tilt and spread of its air."""

    low: float
    high: float
    tilt: float
    spread: float


def _fences(coat: list[Observation], clock: DryingClock) -> _Fences:
    low, high, tilts, spreads = -math.inf, math.inf, [], []
    for check in coat:
        times, tilt, spread = clock.times_the_book(check.end_s, check.at_s, check.stage)
        log = math.log(times) if times > 0.0 else -math.inf
        if check.reached:
            high = min(high, log)
        else:
            low = max(low, log)
        tilts.append(tilt)
        spreads.append(spread)
    return _Fences(low, high, sum(tilts) / len(tilts), max(spreads))


@lru_cache(maxsize=64)
def _kernel(sigma: float) -> FloatArray:
    """Row i: the bell about grid value i, adding up to 1."""
    bell = np.exp(-0.5 * ((_GRID[None, :] - _GRID[:, None]) / sigma) ** 2)
    rows: FloatArray = bell / bell.sum(axis=1, keepdims=True)
    return rows


def _bell(sigma: float, values: FloatArray = _GRID) -> FloatArray:
    bell = np.exp(-0.5 * (values / sigma) ** 2)
    weights: FloatArray = bell / bell.sum()
    return weights


def _tailed(sigma: float) -> FloatArray:
    wide = _bell(sigma * TAIL_WIDTH)
    return (1.0 - TAIL_SHARE) * _bell(sigma) + TAIL_SHARE * wide + 1e-300


def _normalised(log: FloatArray) -> FloatArray:
    weights = np.exp(log - log.max())
    normal: FloatArray = weights / weights.sum()
    return normal


def _quantile(values: FloatArray, weights: FloatArray, share: float, step: float) -> float:
    """Quantile of a distribution given on an even grid, between the grid's values."""
    edges = np.append(values, values[-1] + step) - step / 2.0
    below = np.concatenate([[0.0], np.cumsum(weights)])
    return float(np.interp(share, below / below[-1], edges))
