"""How long a finish lasts on one piece: the default interval, bent by what inspections find.

The life of a coat is lognormal around the piece's own median life; the median is not known, and
begins as the default interval says. An inspection does not measure a life: it says only that it
is longer or shorter than something, so each coat's life is known between two bounds.
"""

from __future__ import annotations

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

RENEW_AT_CHANCE = Number(0.32, "our own choice, measured by simulation")
"""A coat as old as the default interval is renewed when the chance that it is gone is this."""

OLDER_ACCEPTS_LESS = Number(4.0, "our own choice, measured by simulation")
"""Power of default interval over age: a renewal of an older coat costs less a year."""

MOST_CHANCE = Number(0.95, "our own choice: a coat most likely gone is renewed whatever its age")

_SPAN_QUANTILE = 1.2815515655446004
"""A stated range is taken as the middle 80 %."""

_SOONEST = 1e-3

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
    """What is believed of a piece's median life: logarithms of months, and their weights."""

    log_medians: NDArray[np.float64]
    weights: NDArray[np.float64]


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


def learn(default_months: Span, ended: Sequence[Bounds], points: int = 81) -> LifeBelief:
    """Return the belief about a piece's median life.

    Args:
        default_months: the interval before anything was seen.
        ended: the bounds of the lives of earlier coats; those that say nothing change nothing.
        points: how fine the belief is laid out.
    """
    stated = math.log(default_months.high / default_months.low) / (2.0 * _SPAN_QUANTILE)
    spread = max(LEAST_SPREAD.value, stated)
    steps = np.linspace(-4.0, 4.0, points)
    log_medians = math.log(default_months.middle) + spread * steps
    weights = np.exp(-0.5 * steps**2)
    for bounds in ended:
        likely = weights * _between(log_medians, bounds.longer_than, bounds.at_most)
        if likely.sum() > 1e-12 * weights.sum():
            weights = likely
    return LifeBelief(log_medians, weights / weights.sum())


def renewal_age(belief: LifeBelief, bounds: Bounds, default_months: float) -> float:
    """Return the age in months at which the standing coat is to be renewed.

    That is when the chance that it is gone comes to what is accepted at its age.

    Args:
        belief: about the piece's median life, from earlier coats.
        bounds: what was seen of the standing coat.
        default_months: the middle of the default interval.
    """
    log_ages, gone = chance_gone(belief, bounds)
    if not log_ages.size:
        return max(bounds.longer_than, _SOONEST)
    younger = OLDER_ACCEPTS_LESS.value * (math.log(default_months) - log_ages)
    accepted = np.minimum(MOST_CHANCE.value, RENEW_AT_CHANCE.value * np.exp(younger))
    return float(math.exp(np.interp(0.0, gone - accepted, log_ages)))


def chance_gone(
    belief: LifeBelief, bounds: Bounds
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return rising logarithms of ages in months, and the chance that the coat is gone by each.

    Both are empty where what was seen contradicts all that is believed.

    Args:
        belief: about the piece's median life, from earlier coats.
        bounds: what was seen of the standing coat.
    """
    low = max(bounds.longer_than, _SOONEST)
    whole = belief.weights @ _between(belief.log_medians, bounds.longer_than, bounds.at_most)
    if whole < 1e-12:
        return np.empty(0), np.empty(0)
    centre = float(belief.log_medians @ belief.weights)
    ends = math.isfinite(bounds.at_most)
    high = math.log(bounds.at_most) if ends else max(math.log(low) + 1.0, centre + 3.0)
    log_ages = np.linspace(max(math.log(low), centre - 4.0), high, 241)
    z = (log_ages[None, :] - belief.log_medians[:, None]) / COAT_SPREAD.value
    below = normal_below(_z(belief.log_medians, bounds.longer_than))
    gone = belief.weights @ np.maximum(normal_below(z) - below[:, None], 0.0) / whole
    return log_ages, gone


def _between(log_medians: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    return np.maximum(normal_below(_z(log_medians, high)) - normal_below(_z(log_medians, low)), 0.0)


def _z(log_medians: NDArray[np.float64], months: float) -> NDArray[np.float64]:
    log_months = math.log(months) if 0.0 < months < math.inf else math.inf if months else -math.inf
    return (log_months - log_medians) / COAT_SPREAD.value
