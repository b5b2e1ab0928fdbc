"""The strip under a picture: temperature and humidity, and where they are known from."""

from __future__ import annotations

import datetime as dt
from itertools import groupby
from typing import TYPE_CHECKING

from finplan.air.series import AirSource
from finplan.prints.figures import DAMP, PALE_INK, WARM
from finplan.trade.quantities import Units

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from finplan.air.series import AirSeries


def draw_air(
    axes: Axes, air: AirSeries, space: str, start: dt.datetime, end: dt.datetime, units: Units
) -> None:
    """Draw the air of a space between two instants: a line for °C (or °F), a dashed one for %."""
    first = max(0, int(air.at_s.searchsorted(start.timestamp(), side="right")) - 1)
    last = int(air.at_s.searchsorted(end.timestamp(), side="left"))
    at = air.at_s[first:last] / 86400.0
    temperature = air.temperature_c[first:last]
    fahrenheit = units is Units.IMPERIAL
    shown = temperature * 1.8 + 32.0 if fahrenheit else temperature
    axes.plot(at, shown, color=WARM, linewidth=1.0)
    axes.set_ylabel("°F" if fahrenheit else "°C", color=WARM, rotation=0, labelpad=10, fontsize=8)
    axes.margins(y=0.15)
    axes.tick_params(axis="y", labelsize=7)
    damp = axes.twinx()
    damp.plot(
        at, air.humidity_percent[first:last], color=DAMP, linewidth=0.9, linestyle=(0, (3, 2))
    )
    damp.set_ylim(0, 100)
    damp.set_yticks([0, 50, 100])
    damp.tick_params(axis="y", labelsize=7)
    damp.set_ylabel("% RH", color=DAMP, rotation=0, labelpad=12, fontsize=8)
    for side in (axes, damp):
        side.spines["top"].set_visible(False)
    _name_sources(axes, air, first, last, start, end)
    axes.set_title(f"air: {space}", loc="left", fontsize=8, pad=3)


def _name_sources(
    axes: Axes, air: AirSeries, first: int, last: int, start: dt.datetime, end: dt.datetime
) -> None:
    """Say over each stretch whether it was read, forecast or is the month's usual."""
    words = {
        AirSource.READING: "readings",
        AirSource.FORECAST: "forecast",
        AirSource.NORMALS: "monthly normals",
        AirSource.CONSTANT: "constant",
    }
    kinds = tuple(AirSource)
    begins, ends = start.timestamp() / 86400.0, end.timestamp() / 86400.0
    for code, run in groupby(range(first, last), key=lambda i: int(air.source[i])):
        places = list(run)
        left = max(begins, float(air.at_s[places[0]]) / 86400.0)
        after = places[-1] + 1
        right = min(ends, float(air.at_s[after]) / 86400.0 if after < len(air.at_s) else ends)
        if right - left < 0.04 * (ends - begins):
            continue
        axes.axvline(left, color=PALE_INK, linewidth=0.6, linestyle=":")
        axes.text(
            left + 0.004 * (ends - begins),
            0.97,
            words[kinds[code]],
            transform=axes.get_xaxis_transform(),
            fontsize=6.5,
            color=PALE_INK,
            va="top",
        )
