"""Moisture of wood in balance with the air, and how it lags behind.

Hailwood and Horrobin's sorption model with two hydrates in Simpson's fit: USDA Forest Products
Laboratory, Wood Handbook (FPL-GTR-190, 2010), equation 4-5, °C form. Holds for roughly -1 to
55 °C and up to 98 % humidity; differences between woods and between drying and wetting are
left out.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import FloatArray, Values
from finplan.air.series import AirSeries, steps_at

DAMPEST_PERCENT = 98.0
"""The fit is not meant for damper air; damper air counts as this."""


def emc_percent(temperature_c: Values, humidity_percent: Values) -> Values:
    """Equilibrium moisture content of wood, % of its dry mass."""
    t = temperature_c
    h: Values = np.clip(humidity_percent, 0.0, DAMPEST_PERCENT) / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    one = k1 * kh
    two = k1 * k2 * kh * kh
    return 1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))


SURFACE_LAG_HOURS = 48.0
"""Time constant of the outer millimetres: depth² / diffusion coefficient, 4 mm and 1e-10 m²/s.

The gross coefficient across the grain of hardwoods is of the order 0.3e-10 to 3e-10 m²/s (from
memory, unverified), so this is an order of magnitude, not a measurement.
"""


SETTLED_HOURS = 14 * 24.0
"""Wood that has stood there for a while begins at the mean EMC of that time (an assumption)."""

_FADED = 1e-20
"""Shares smaller than that are lost in the rounding."""


def wood_moisture_percent(
    air: AirSeries,
    lag_hours: float = SURFACE_LAG_HOURS,
    begin_percent: float | None = None,
    at_s: FloatArray | None = None,
) -> FloatArray:
    """Moisture of the outer wood, %, following the EMC with a lag.

    Args:
        air: the air the wood stands in.
        lag_hours: time constant of the approach, above zero.
        begin_percent: a meter's reading at the first step; None starts from the mean EMC of
            the first two weeks, as wood that has stood there for a while.
        at_s: instants asked for, seconds since 1970-01-01 UTC; None for the start of each step.

    Returns:
        Shape (n,), a value for each instant or each step.
    """
    emc = emc_percent(air.temperature_c, air.humidity_percent)
    if begin_percent is None:
        begin_percent = mean_of_first(emc, np.diff(air.at_s) / 3600.0, SETTLED_HOURS)
    return follow_air(air, emc, lag_hours, begin_percent, at_s)


def follow_air(
    air: AirSeries,
    target: FloatArray,
    lag_hours: float,
    begin: float,
    at_s: FloatArray | None = None,
) -> FloatArray:
    """A first-order lag behind what the air's steps aim at, exact also within a step.

    After the last step it goes on nearing what that step aims at.

    Args:
        air: whose steps ``target`` goes by.
        target: value aimed at during each step, shape (n,).
        lag_hours: time constant, above zero.
        begin: value at the start of the first step, and before it.
        at_s: instants asked for, seconds since 1970-01-01 UTC; None for the start of each step.

    Returns:
        A value for each instant or each step.
    """
    if at_s is None:
        return follow(target, np.diff(air.at_s) / 3600.0, lag_hours, begin)
    index = steps_at(air, at_s)
    known = int(index.max(initial=0)) + 1  # what comes after the last instant counts for none
    starts = follow(target[:known], np.diff(air.at_s[:known]) / 3600.0, lag_hours, begin)
    hours = np.maximum(at_s - air.at_s[index], 0.0) / 3600.0
    aim: FloatArray = target[index]
    return aim + (starts[index] - aim) * np.exp(-hours / lag_hours)


def follow(target: FloatArray, hours: FloatArray, lag_hours: float, begin: float) -> FloatArray:
    """A first-order lag behind a stepwise target, exact on its steps.

    Args:
        target: value aimed at during each step, shape (n,).
        hours: length of all steps but the last, shape (n - 1,).
        lag_hours: time constant, above zero.
        begin: value at the start of the first step.

    Returns:
        The value at the start of each step, shape (n,).
    """
    steps = hours / lag_hours
    values = np.concatenate([[begin], target[: len(hours)] * -np.expm1(-steps)])
    kept = np.concatenate([[0.0], np.exp(-steps)])
    # Each value takes up what is left of the one before, then of the one 2, 4, 8 … before.
    back = 1
    while back < len(values) and kept.max() > _FADED:
        values[back:] += kept[back:] * values[:-back]
        kept[back:] *= kept[:-back]
        back *= 2
    return values


def mean_of_first(values: FloatArray, hours: FloatArray, span_hours: float) -> float:
    """The mean of stepwise values over the first ``span_hours``, each by how long it holds.

    Args:
        values: during each step, shape (n,).
        hours: length of all steps but the last, shape (n - 1,).
        span_hours: how long to look.
    """
    if not hours.size:
        return float(values[0])
    weights = np.clip(span_hours - (np.cumsum(hours) - hours), 0.0, hours)
    return float(np.average(values[:-1], weights=weights))
