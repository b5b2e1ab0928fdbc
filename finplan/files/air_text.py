"""Air as a short table inside the project file: instant, °C, % relative humidity."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from finplan.air.series import AirSource, check_air, source_code
from finplan.trade.errors import BadInput

if TYPE_CHECKING:
    from finplan.air.series import AirSeries


def air_to_text(series: AirSeries) -> str:
    """Return one line a step: ``2026-10-05T12:00:00Z, 11.5, 78.0``."""
    return "".join(
        f"{_instant(float(at_s))}, {float(temperature_c)!r}, {float(humidity_percent)!r}\n"
        for at_s, temperature_c, humidity_percent in zip(
            series.at_s, series.temperature_c, series.humidity_percent, strict=True
        )
    )


def air_from_text(text: str, kind: AirSource, where: str) -> AirSeries:
    """Return the air that :func:`air_to_text` wrote.

    Raises:
        BadInput: a row that cannot be read, or instants that do not rise.
    """
    import numpy as np

    from finplan.air.series import AirSeries

    rows = [
        _row(line, f"{where}, row {number}")
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip()
    ]
    if not rows:
        raise BadInput("there is no air in it: add rows like 2026-10-05T12:00:00Z, 11.5, 78", where)
    at_s, temperature_c, humidity_percent = (
        np.array(column, float) for column in zip(*rows, strict=True)
    )
    if (np.diff(at_s) <= 0).any():
        raise BadInput("the instants must rise from row to row: sort them", where)
    source = np.full(len(rows), source_code(kind), np.uint8)
    return AirSeries(at_s, temperature_c, humidity_percent, source)


def _instant(at_s: float) -> str:
    """To the microsecond where ISO text can hold it exactly, else plain seconds."""
    moment = dt.datetime.fromtimestamp(at_s, dt.UTC)
    if moment.timestamp() != at_s:
        return repr(at_s)
    return moment.isoformat().replace("+00:00", "Z")


def _row(line: str, where: str) -> tuple[float, float, float]:
    cells = [cell.strip() for cell in line.split(",")]
    try:
        at_s, temperature_c, humidity_percent = _seconds(cells[0]), *map(float, cells[1:])
    except (ValueError, OverflowError):
        raise BadInput(
            f"{line.strip()[:60]!r} is no air: write it like 2026-10-05T12:00:00Z, 11.5, 78", where
        ) from None
    check_air(temperature_c, humidity_percent, where)
    return at_s, temperature_c, humidity_percent


def _seconds(text: str) -> float:
    if "T" not in text:
        return float(text)
    moment = dt.datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("no zone")
    return moment.timestamp()
