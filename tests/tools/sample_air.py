"""Make the invented air logs of the sample projects: no weather station ever measured them.

Run it from the top of the repository (``python tests/tools/sample_air.py``) to write the logs
again. It takes no chance numbers: each day's weather is a sum of slow waves, the day's course a
cosine that is warmest at three in the afternoon, and the water in the air follows the weather of
the last days, so that nights are damp and afternoons dry. A space of mass follows outdoors late
and smoothed; a heater holds a floor.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
ZONE = ZoneInfo("Europe/Berlin")
AS_OF = dt.datetime(2026, 10, 5, 17, 0, tzinfo=ZONE)
HOURS = 24 * 24 + 1


@dataclass(frozen=True)
class Space:
    """How a space follows the air outdoors.

    ``lag_hours``: time constant. ``held_c``: what a heater holds, None without one.
    ``from_people_pa``: water from wet boats, people and wood, on top of the air outdoors.
    """

    file: str
    lag_hours: float
    held_c: float | None
    swing_c: float
    from_people_pa: float


SPACES = (
    Space("locust_bench/shed_air.csv", 3.0, None, 0.0, 0.0),
    Space("beech_worktop/boat_room_air.csv", 10.0, 16.6, 1.1, 60.0),
    Space("oak_door/loft_air.csv", 7.0, 17.4, 1.6, 10.0),
)


def saturation_pa(temperature_c: float) -> float:
    """Saturated vapour pressure over water, Magnus form, Pa."""
    return 611.2 * math.exp(17.62 * temperature_c / (243.12 + temperature_c))


def day_mean_c(days: float) -> float:
    """The slow weather: a cooling autumn with a warm spell and a cold one, °C."""
    waves = 1.6 * math.sin(2 * math.pi * days / 6.3 + 0.6) + 1.1 * math.sin(
        2 * math.pi * days / 15.7 + 2.2
    )
    return 14.6 - 0.105 * days + waves


def outdoors(days: float, hour: float) -> tuple[float, float]:
    """Return temperature (°C) and vapour pressure (Pa) beside the lake."""
    mean = day_mean_c(days)
    clear = 0.5 + 0.5 * math.sin(2 * math.pi * days / 5.1 + 0.4)
    swing = 3.6 + 3.4 * clear
    temperature = mean + swing * math.cos(2 * math.pi * (hour - 15.0) / 24.0)
    share = 0.735 - 0.09 * clear + 0.03 * math.sin(2 * math.pi * days / 3.7)
    return temperature, min(share * saturation_pa(mean), 0.97 * saturation_pa(temperature))


def rows(space: Space) -> list[tuple[dt.datetime, float, float]]:
    """Return the hourly readings of one space, °C and %."""
    first = AS_OF.astimezone(dt.UTC) - dt.timedelta(hours=HOURS - 1)
    inside_c, water_pa = outdoors(0.0, 17.0)
    found = []
    for hour_number in range(-72, HOURS):
        at = first + dt.timedelta(hours=hour_number)
        local = at.astimezone(ZONE)
        clock = local.hour + local.minute / 60
        outside_c, outside_pa = outdoors(hour_number / 24, clock)
        share = 1 - math.exp(-1 / space.lag_hours)
        inside_c += share * (outside_c - inside_c)
        water_pa += (1 - math.exp(-0.5)) * (outside_pa + space.from_people_pa - water_pa)
        shown_c = inside_c
        if space.held_c is not None:
            course = space.swing_c * math.cos(2 * math.pi * (clock - 17.0) / 24.0)
            shown_c = max(inside_c, space.held_c + course)
        percent = min(98.0, 100 * water_pa / saturation_pa(shown_c))
        if hour_number >= 0:
            found.append((at, shown_c, percent))
    return found


def text_of(space: Space) -> str:
    """Return the log as CSV text, times in UTC."""
    lines = ["time (UTC),temperature (°C),relative humidity (%)"]
    lines += [f"{at:%Y-%m-%d %H:%M},{c:.1f},{percent:.0f}" for at, c, percent in rows(space)]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write all logs."""
    for space in SPACES:
        (SAMPLES / space.file).parent.mkdir(exist_ok=True)
        (SAMPLES / space.file).write_text(text_of(space), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
