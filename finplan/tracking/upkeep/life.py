"""How long a finish lasts on one piece: the default interval, bent by what inspections find.

The life of a coat is lognormal around the piece's own median life; the median is not known, and
begins as the default interval says. An inspection does not measure a life: it says only that it
is longer or shorter than something, so each coat's life is known between two bounds.

A coat is renewed when the chance that it is gone comes to what is accepted of such a piece. That
follows from what a renewal is worth in months with the finish gone: a renewal of a piece that
lasts long buys more months, so it is renewed in better time than one that lasts short.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finplan.drying.normal import normal_below
from finplan.tracking.upkeep.pieces import Finding
from finplan.trade.numbers import Number, Span

COAT_SPREAD = Number(0.2, "assumption: one coat's life against the piece's median, no source")
"""Standard deviation of the logarithm of a life, from coat to coat on one piece."""

LEAST_SPREAD = Number(0.3, "assumption: a stated interval may well be 30 % off, no source")
"""Least standard deviation of the logarithm of a piece's median life before anything is known."""

SLOW_FROM = Number(0.75, "assumption: drops stop beading over the last quarter of a life")
"""Share of a coat's life at which drops begin to be taken up slowly."""

RENEWAL_IS_WORTH = Number(0.28, "our own choice, measured by simulation")
"""What one renewal is worth, in default intervals with the finish gone."""

MOST_CHANCE = Number(0.95, "our own choice: a coat most likely gone is renewed in any case")

SURPRISE = Number(1e-9, "assumption: a life far outside all that is believed is a wrong record")
"""Least likelihood of a coat's bounds, so that one contradiction does not undo the others."""

_SPAN_QUANTILE = 1.2815515655446004
"""A stated range is taken as the middle 80 %."""

_SOONEST = 1e-3

_STEPS = np.linspace(-4.0, 4.0, 81)
_BOOK = np.exp(-0.5 * _STEPS**2) / np.exp(-0.5 * _STEPS**2).sum()
"""Where medians are laid out, in standard deviations, and what the default believes of them."""

_GONE = frozenset({Finding.SOAKS_IN, Finding.GREYING, Finding.BARE})


@dataclass(frozen=True, slots=True)
class Bounds:
    """What is known of one coat's life: longer than, and at most, so many months."""

    longer_than: float = 0.0
    at_most: float = math.inf


@dataclass(frozen=True, slots=True)
class Look:
    """An inspection, so many months after the coat was new."""

    age_months: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class LifeBelief:
    """What is believed of a piece's median life: logarithms of months, and their weights.

    ``spread``: standard deviation of the logarithm before anything was seen.
    """

    log_medians: NDArray[np.float64]
    weights: NDArray[np.float64]
    spread: float


def bounds_of(looks: Iterable[Look]) -> Bounds:
    """Return what inspections of one coat say of its life; a later one outweighs an earlier."""
    longer, most = 0.0, math.inf
    for look in sorted(looks, key=lambda one: one.age_months):
        found = set(look.findings)
        if found & _GONE:
            most = min(most, max(look.age_months, 0.01))
        elif Finding.SLOW in found:
            longer, most = max(longer, look.age_months), look.age_months / SLOW_FROM.value
        elif Finding.BEADS in found:
            longer, most = max(longer, look.age_months / SLOW_FROM.value), math.inf
        if longer >= most:
            longer = 0.0
    return Bounds(longer, most)


def learn(
    default_months: Span, coats: Sequence[Bounds], before: NDArray[np.float64] | None = None
) -> LifeBelief:
    """Return the belief about a piece's median life.

    Args:
        default_months: the interval before anything was seen.
        coats: the bounds of the lives of its coats; those that say nothing change nothing.
        before: weights to begin from in place of the default's, where other pieces teach.
    """
    spread = _spread(default_months)
    log_medians = math.log(default_months.middle) + spread * _STEPS
    weights = _BOOK if before is None else before
    told = [one for one in coats if one.longer_than > 0.0 or one.at_most < math.inf]
    if told:
        low = _log([max(one.longer_than, _SOONEST) for one in told])
        high = _log([one.at_most for one in told])
        likely = _chance(log_medians, high) - _chance(log_medians, low)
        weights = weights * np.maximum(likely, SURPRISE.value).prod(axis=0)
        weights = weights / weights.sum()
    return LifeBelief(log_medians, weights, spread)


def price_months(default_months: Span, need: float = 1.0) -> float:
    """Return what one renewal is worth, in months with the finish gone.

    Args:
        default_months: the interval before anything was seen.
        need: how far the price is raised or lowered (``together.Taught.dearer``).
    """
    return RENEWAL_IS_WORTH.value * need * default_months.middle


def renewal_age(belief: LifeBelief, bounds: Bounds, price: float) -> float:
    """Return the age in months at which the standing coat is to be renewed.

    That is when the chance that it is gone comes to what is accepted of such a piece.

    Args:
        belief: about the piece's median life, from earlier coats.
        bounds: what was seen of the standing coat.
        price: what one renewal is worth, in months with the finish gone.
    """
    seen = _seen_since(belief, bounds)
    if seen is None:
        return max(bounds.longer_than, _SOONEST)
    log_ages, gone, weights = seen
    accepted = float(weights @ accepted_chance(np.exp(belief.log_medians), price))
    at = int(np.argmax(gone >= accepted))
    low, high = gone[max(at - 1, 0)], gone[at]
    share = (accepted - low) / (high - low) if high > low else 0.0
    log_age = log_ages[max(at - 1, 0)] + share * (log_ages[at] - log_ages[max(at - 1, 0)])
    return max(float(math.exp(log_age)), bounds.longer_than, _SOONEST)


def accepted_chance(medians: NDArray[np.float64], price: float) -> NDArray[np.float64]:
    """Return the chance of being gone at which coats of known median lives are best renewed.

    Age replacement: renewing at age t costs the price and the months the coat is gone by then,
    P + E(t - L; L < t), for t months. The mean cost is least where the chance F(t) of being gone
    is that mean cost itself, so P = t F(t) - E(t - L; L < t) = E(L; L < t), which for a lognormal
    life of median m and spread s is m exp(s²/2) Phi(z - s), with F(t) = Phi(z).

    Args:
        medians: of the lives, months.
        price: what one renewal is worth, in months with the finish gone.
    """
    share = price / medians * math.exp(-0.5 * COAT_SPREAD.value**2)
    chance: NDArray[np.float64] = np.interp(share, *_chance_by_price())
    return np.minimum(MOST_CHANCE.value, chance)


@functools.cache
def _chance_by_price() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    z = np.linspace(-4.0, 4.0, 801)
    return normal_below(z - COAT_SPREAD.value), normal_below(z)


def chance_gone(
    belief: LifeBelief, bounds: Bounds
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return rising logarithms of ages in months, and the chance that the coat is gone by each.

    Both are empty where what was seen contradicts all that is believed.

    Args:
        belief: about the piece's median life, from earlier coats.
        bounds: what was seen of the standing coat.
    """
    seen = _seen_since(belief, bounds)
    return (np.empty(0), np.empty(0)) if seen is None else seen[:2]


def _seen_since(
    belief: LifeBelief, bounds: Bounds
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]] | None:
    """Return ages, chances and the piece's belief, all given what the standing coat shows."""
    low, high = _log([max(bounds.longer_than, _SOONEST)]), _log([bounds.at_most])
    below = _chance(belief.log_medians, low)[0]
    share = _chance(belief.log_medians, high)[0] - below
    whole = float(belief.weights @ share)
    if whole < 1e-12:
        return None
    ages, gone_by = _gone_table(belief.spread)
    gone = np.clip(belief.weights @ gone_by - belief.weights @ below, 0.0, whole) / whole
    centre = belief.log_medians[len(belief.log_medians) // 2]
    return centre + ages, gone, belief.weights * share / whole


@functools.lru_cache(maxsize=64)
def _gone_table(spread: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return logarithms of ages over the middle interval, and the chance of each median by each."""
    reach = 4.0 * spread + 5.0 * COAT_SPREAD.value
    ages = np.linspace(-reach, reach, 481)
    return ages, normal_below((ages[None, :] - spread * _STEPS[:, None]) / COAT_SPREAD.value)


def _spread(default_months: Span) -> float:
    stated = math.log(default_months.high / default_months.low) / (2.0 * _SPAN_QUANTILE)
    return max(LEAST_SPREAD.value, stated)


def _log(months: Sequence[float]) -> NDArray[np.float64]:
    return np.array([math.log(one) if one < math.inf else math.inf for one in months])


def _chance(
    log_medians: NDArray[np.float64], log_months: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the chance of being gone by some ages (rows) at each median (columns)."""
    return normal_below((log_months[:, None] - log_medians[None, :]) / COAT_SPREAD.value)
