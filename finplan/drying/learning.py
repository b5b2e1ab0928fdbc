"""Learning from dryness checks how long a finish takes in this shop.

A check says that a coat had, or had not yet, reached a stage at an instant: it fences the coat's
own time, relative to the book's, from one side. The logarithm of that relative time is taken as

    finish + space + coat,

three independent doubts: the can and its label, the room (its air against the air known), and
one coat against the next. The two spaces of one finish share the first, so what is learned in
one moves the other part of the way. All is Bayes' rule on a grid; nothing is sampled.

Beliefs are wider-tailed than the book's band, so that a shop far off is believed in time, and a
share of coats may say anything (a wrong stage, a wrong clock), so that one outlier does not move
much. Old checks, and those of an earlier can, count less.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from finplan.air.psychrometrics import FloatArray
from finplan.drying.bands import BOOK_QUANTILE, Band, normal_quantile, prior
from finplan.drying.clock import DryingClock
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Stage

Key = tuple[str, str]
"""A finish's name and a space's name."""

COAT_SIGMA = 0.15
"""Coat against coat, and eye against eye, in the logarithm (an assumption)."""

COAT_SHARE_MOST = 0.5
"""Of a narrow band, at most this share of its variance is between coats."""

SPACE_SHARE = 0.4
"""Share of the remaining variance that is the room's rather than the finish's (an assumption)."""

TAIL_SHARE, TAIL_WIDTH = 0.15, 2.5
"""How much of the belief lies in a second bell, and how many times as wide that is."""

OUTLIER_SHARE = 0.05
"""How many coats are expected to tell nothing or the wrong thing (an assumption)."""

HALF_LIFE_DAYS = 180.0
"""After half a year, so in the other season, a check counts half."""

OTHER_CAN_WEIGHT = 0.3
"""What a check on an earlier can counts (an assumption)."""

_GRID = np.linspace(-3.0, 3.0, 301)


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


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What checks say of a finish in a space, as times the book's likely time.

    ``weights`` are the probabilities on ``log_times`` of the next coat's relative time.
    ``checks`` counts those made in this space, ``checks_elsewhere`` the finish's others. ``book``
    is what was believed before.
    """

    finish: str
    space: str
    checks: int
    checks_elsewhere: int
    log_times: FloatArray
    weights: FloatArray
    book: Band

    def quantile(self, share: float) -> float:
        """Relative time that the given share of coats stays under."""
        return math.exp(_quantile(self.log_times, self.weights, share))

    def to_band(self) -> Band:
        """The lognormal with this belief's median and 80 % quantile, for the clock."""
        if not self.checks + self.checks_elsewhere:
            return self.book
        middle = _quantile(self.log_times, self.weights, 0.5)
        safe = _quantile(self.log_times, self.weights, BOOK_QUANTILE)
        return Band(math.exp(middle), (safe - middle) / normal_quantile(BOOK_QUANTILE))

    def say(self, title: str) -> str:
        """One sentence for people, e.g. 'in your shop this oil takes 1.3 times the book …'."""
        if not self.checks + self.checks_elsewhere:
            return f"nothing learned of {title} yet: the book's times hold"
        times = f"{self.quantile(0.5):.1f}"
        pace = "as long as the book says" if times == "1.0" else f"{times} times the book"
        count = f"{self.checks} check{'s' * (self.checks != 1)}"
        beside = f" and {self.checks_elsewhere} in other spaces" if self.checks_elsewhere else ""
        return f"in your shop {title} takes {pace}, from {count}{beside}"

    def as_plain(self) -> dict[str, object]:
        """Plain values for an export or a look inside."""
        band = self.to_band()
        return {
            "finish": self.finish,
            "space": self.space,
            "times_the_book": round(band.median, 4),
            "sigma": round(band.sigma, 4),
            "checks": self.checks,
            "checks_elsewhere": self.checks_elsewhere,
        }


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
        weights = _bell(book.sigma)
        return {key: Belief(*key, 0, 0, _GRID, weights, book) for key in by_space}
    if can is None:
        can = max(checks, key=lambda check: check.at_s).can
    coat_sigma, space_sigma, finish_sigma = _shares(book.sigma)
    told = {
        key: _log_likelihood(found, clocks[key], now_s, can, coat_sigma)
        for key, found in by_space.items()
    }
    room = _kernel(space_sigma)  # [finish's part, finish's and room's part]
    by_room = {key: np.log(room @ np.exp(log)) for key, log in told.items()}
    finish_log = np.log(_tailed(finish_sigma)) + sum(by_room.values())
    beliefs = {}
    for key, log in told.items():
        others = _normalised(finish_log - by_room[key])
        here = _normalised(np.log(others @ room + 1e-300) + log)
        coat = here @ _kernel(coat_sigma)
        found = len(by_space[key])
        beliefs[key] = Belief(*key, found, len(checks) - found, _GRID, coat / coat.sum(), book)
    return beliefs


def _shares(sigma: float) -> tuple[float, float, float]:
    """Standard deviations of coat, space and finish; their squares add up to the book's."""
    coat_variance = min(COAT_SIGMA**2, COAT_SHARE_MOST * sigma**2)
    rest = sigma**2 - coat_variance
    return (
        math.sqrt(coat_variance),
        math.sqrt(SPACE_SHARE * rest),
        math.sqrt((1.0 - SPACE_SHARE) * rest),
    )


def _log_likelihood(
    checks: list[Observation], clock: DryingClock, now_s: float, can: str, coat_sigma: float
) -> FloatArray:
    """Logarithm of the chance of the checks for each value of the grid, coat by coat."""
    total: FloatArray = np.zeros_like(_GRID)
    by_coat: dict[float, list[Observation]] = defaultdict(list)
    for check in checks:
        by_coat[check.end_s].append(check)
    for coat in by_coat.values():
        low, high, doubt = _fences(coat, clock)
        sigma = math.hypot(coat_sigma, doubt)
        inside = _below((high - _GRID) / sigma) - _below((low - _GRID) / sigma)
        chance = (1.0 - OUTLIER_SHARE) * np.maximum(inside, 0.0) + OUTLIER_SHARE
        latest = max(coat, key=lambda check: check.at_s)
        weight = 0.5 ** ((now_s - latest.at_s) / 86400.0 / HALF_LIFE_DAYS)
        if latest.can != can:
            weight *= OTHER_CAN_WEIGHT
        total = total + weight * np.log(chance)
    return total


def _fences(coat: list[Observation], clock: DryingClock) -> tuple[float, float, float]:
    """Between which logarithms the coat's relative time lies, and the air's doubt about them."""
    low, high, doubts = -math.inf, math.inf, []
    for check in coat:
        times, doubt = clock.times_the_book(check.end_s, check.at_s, check.stage)
        log = math.log(times) if times > 0.0 else -math.inf
        if check.reached:
            high = min(high, log)
        else:
            low = max(low, log)
        doubts.append(doubt)
    return low, high, max(doubts)


@lru_cache(maxsize=64)
def _kernel(sigma: float) -> FloatArray:
    """Row i: the bell about grid value i, adding up to 1."""
    bell = np.exp(-0.5 * ((_GRID[None, :] - _GRID[:, None]) / sigma) ** 2)
    rows: FloatArray = bell / bell.sum(axis=1, keepdims=True)
    return rows


def _bell(sigma: float) -> FloatArray:
    bell = np.exp(-0.5 * (_GRID / sigma) ** 2)
    weights: FloatArray = bell / bell.sum()
    return weights


def _tailed(sigma: float) -> FloatArray:
    wide = _bell(sigma * TAIL_WIDTH)
    return (1.0 - TAIL_SHARE) * _bell(sigma) + TAIL_SHARE * wide


def _normalised(log: FloatArray) -> FloatArray:
    weights = np.exp(log - log.max())
    normal: FloatArray = weights / weights.sum()
    return normal


def _below(z: FloatArray) -> FloatArray:
    """Standard normal distribution function."""
    values: FloatArray = 0.5 * (1.0 + _ERF(z / math.sqrt(2.0)))
    return values


_ERF = np.vectorize(math.erf, otypes=[np.float64])


def _quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    """Quantile of a distribution given on a fine grid, between the grid's values."""
    step = values[1] - values[0]
    edges = np.append(values, values[-1] + step) - step / 2.0
    below = np.concatenate([[0.0], np.cumsum(weights)])
    return float(np.interp(share, below / below[-1], edges))
