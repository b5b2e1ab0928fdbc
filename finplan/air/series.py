"""Air over time: temperature and humidity on steps of their own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from finplan.air.psychrometrics import FloatArray
    from finplan.trade.workshop import MonthlyNormals

COLDEST_C, WARMEST_C = -60.0, 80.0
"""Air outside this is a broken sensor or a swapped column, not air."""

READING_HOLDS_HOURS = 3.0
"""How long a reading speaks for the air after it, where no newer one follows."""

FORECAST_HOLDS_HOURS = 6.0
"""How long a forecast value holds: the coarsest step forecasts are usually given in."""


class AirSource(StrEnum):
    """Where a stretch of air comes from, most trusted first."""

    READING = "reading"
    FORECAST = "forecast"
    NORMALS = "normals"
    CONSTANT = "constant"


@dataclass(frozen=True, slots=True)
class AirSeries:
    """Air as steps: value ``i`` holds from ``at_s[i]`` until ``at_s[i + 1]``, the last for good.

    ``at_s``: seconds since 1970-01-01 UTC, strictly rising, float64, shape (n,).
    ``temperature_c``, ``humidity_percent``: float64, shape (n,).
    ``source``: index into ``tuple(AirSource)``, uint8, shape (n,).
    """

    at_s: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    humidity_percent: NDArray[np.float64]
    source: NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Reading:
    """The air at one instant (timezone-aware), measured or forecast."""

    at: dt.datetime
    temperature_c: float
    humidity_percent: float


@dataclass(frozen=True, slots=True)
class AirNow:
    """The air of one step: what it is and where that is known from."""

    temperature_c: float
    humidity_percent: float
    source: AirSource


def source_code(source: AirSource) -> int:
    """Return the number that stands for a source in ``AirSeries.source``."""
    return tuple(AirSource).index(source)


def check_air(temperature_c: float, humidity_percent: float, where: str = "") -> None:
    """Refuse values that no air has.

    Raises:
        BadInput: temperature outside -60 to 80 °C or humidity outside 0 to 100 %.
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise BadInput(
            f"{temperature_c:g} °C is no air temperature: give one from {COLDEST_C:g} to "
            f"{WARMEST_C:g} °C",
            where,
        )
    if not 0.0 <= humidity_percent <= 100.0:
        raise BadInput(
            f"{humidity_percent:g} % is no relative humidity: give one from 0 to 100 %", where
        )


def constant(temperature_c: float, humidity_percent: float, start_s: float = 0.0) -> AirSeries:
    """Air that never changes.

    Raises:
        BadInput: values that no air has.
    """
    import numpy as np

    check_air(temperature_c, humidity_percent)
    return AirSeries(
        np.array([start_s], dtype=np.float64),
        np.array([temperature_c], dtype=np.float64),
        np.array([humidity_percent], dtype=np.float64),
        np.array([source_code(AirSource.CONSTANT)], dtype=np.uint8),
    )


def steps_at(air: AirSeries, at_s: FloatArray) -> NDArray[np.intp]:
    """Return which step each instant falls into, shape as ``at_s``; before the first it is 0."""
    import numpy as np

    return np.maximum(air.at_s.searchsorted(at_s, side="right") - 1, 0)


def at(air: AirSeries, instant_s: float) -> AirNow:
    """Look up the air at one instant; before the first step the first one counts."""
    index = max(0, int(air.at_s.searchsorted(instant_s, side="right")) - 1)
    return AirNow(
        float(air.temperature_c[index]),
        float(air.humidity_percent[index]),
        tuple(AirSource)[int(air.source[index])],
    )


def series_of(readings: Iterable[Reading], source: AirSource = AirSource.READING) -> AirSeries:
    """Return readings, in any order, as steps of air; of equal instants the last one counts.

    Raises:
        BadInput: a naive instant, or values that no air has.
    """
    import numpy as np

    by_instant: dict[float, Reading] = {}
    for reading in readings:
        if reading.at.tzinfo is None:
            raise BadInput(f"{reading.at.isoformat()} has no time zone: give one", source.value)
        check_air(reading.temperature_c, reading.humidity_percent, source.value)
        by_instant[reading.at.timestamp()] = reading
    instants = sorted(by_instant)
    return AirSeries(
        np.array(instants, dtype=np.float64),
        np.array([by_instant[i].temperature_c for i in instants], dtype=np.float64),
        np.array([by_instant[i].humidity_percent for i in instants], dtype=np.float64),
        np.full(len(instants), source_code(source), dtype=np.uint8),
    )


def compose(
    readings: AirSeries | None,
    forecast: AirSeries | None,
    normals: MonthlyNormals,
    zone: str,
    start_s: float,
    end_s: float,
) -> AirSeries:
    """Put the air of a space together: readings before forecast before monthly normals.

    A reading holds until the next one, but at most ``READING_HOLDS_HOURS``; a forecast value at
    most ``FORECAST_HOLDS_HOURS``. What neither covers is the normals' daily course, hour by
    hour. Every step says its source.

    Args:
        readings: what was measured; None where nothing was.
        forecast: what was forecast; None where nothing was.
        normals: monthly values of the space.
        zone: IANA name of the place, for the daily course.
        start_s: first instant of the result, seconds since 1970-01-01 UTC.
        end_s: instant the result ends at; after ``start_s``.

    Raises:
        BadInput: an unknown zone, normals that are no climate, or an empty stretch.
    """
    import numpy as np

    from finplan.air.climate import normals_series
    from finplan.trade.arrays import rising

    base = normals_series(normals, zone, start_s, end_s)
    layers = [
        (layer, hold_hours * 3600.0, source_code(kind))
        for layer, hold_hours, kind in (
            (forecast, FORECAST_HOLDS_HOURS, AirSource.FORECAST),
            (readings, READING_HOLDS_HOURS, AirSource.READING),
        )
        if layer is not None
    ]
    knots = [base.at_s]
    for layer, hold_s, _ in layers:
        knots += [layer.at_s, layer.at_s + hold_s]
    grid = rising(np.concatenate(knots))
    grid = grid[(grid >= base.at_s[0]) & (grid < end_s)]
    index = base.at_s.searchsorted(grid, side="right") - 1
    temperature = base.temperature_c[index]
    humidity = base.humidity_percent[index]
    source = base.source[index]
    for layer, hold_s, code in layers:
        index = layer.at_s.searchsorted(grid, side="right") - 1
        covered = (index >= 0) & (grid < layer.at_s[index] + hold_s)
        temperature = np.where(covered, layer.temperature_c[index], temperature)
        humidity = np.where(covered, layer.humidity_percent[index], humidity)
        source = np.where(covered, np.uint8(code), source)
    return AirSeries(grid, temperature, humidity, source)
