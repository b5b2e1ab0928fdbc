"""What a heater, open windows, a dehumidifier or covers would do to the air of a space.

Rough changes for 'what if' questions, each with its limits. Moving air over the film is not
credited with any faster drying: studies of waterborne finishes disagree about it.
"""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import (
    FloatArray,
    humidity_of_vapour_percent,
    vapour_pressure_pa,
)
from finplan.air.series import AirSeries, steps_at
from finplan.air.sorption import follow
from finplan.trade.arrays import rising
from finplan.trade.errors import BadInput

DRIEST_REACHED_PERCENT = 35.0
"""Room dehumidifiers hardly get below this (common practice, no source)."""

COLDEST_DEHUMIDIFIED_C = 10.0
"""Below this the cooling kind ices up and takes out little (from memory, unverified)."""

USUAL_MOST_RISE_C = 15.0
"""What a shop heater holds over a poorly insulated room at most (an assumption: enter your own)."""

FAN_SHARE = 0.5
"""How much of a room's air a fan that blows from the next one keeps exchanged (an assumption)."""

COVER_LAG_HOURS = 4.0
"""How slowly air under a loose cover follows the space (an assumption)."""


def heater(air: AirSeries, target_c: float, most_rise_c: float = USUAL_MOST_RISE_C) -> AirSeries:
    """Heat to a temperature by day and night.

    The water in the air stays the same (an electric heater; an open gas flame adds water and
    is no good near solvents), so the relative humidity falls.

    Args:
        air: the air without it.
        target_c: what the thermostat is set to, °C.
        most_rise_c: the most it can hold above the unheated space, °C.

    Raises:
        BadInput: a target outside 0 to 40 °C or no rise.
    """
    if not 0.0 <= target_c <= 40.0:
        raise BadInput(f"heating to {target_c:g} °C: give a temperature from 0 to 40 °C")
    if not most_rise_c > 0.0:
        raise BadInput(f"a heater that adds {most_rise_c:g} °C: give a number above zero")
    reached = np.minimum(target_c, air.temperature_c + most_rise_c)
    return _with_the_same_water(air, np.maximum(air.temperature_c, reached))


def warmer(air: AirSeries, by_c: float) -> AirSeries:
    """The same air and water, warmer throughout by ``by_c``, whatever does it."""
    return _with_the_same_water(air, air.temperature_c + by_c)


def fan(air: AirSeries, other: AirSeries, share: float = FAN_SHARE) -> AirSeries:
    """Blow in air from another room or from outside.

    Temperature and water of the two mix in proportion (the mixing of moist air, ASHRAE Handbook
    Fundamentals, from memory, unverified); the result has the steps of both. That the air also
    moves over the film is left out.

    Args:
        air: the air of the space without it.
        other: the air blown in.
        share: how much of the space's air is then the other's, 0 to 1.

    Raises:
        BadInput: a share outside 0 to 1.
    """
    if not 0.0 <= share <= 1.0:
        raise BadInput(f"a share of {share:g} other air: give one from 0 to 1")
    first = max(air.at_s[0], other.at_s[0])
    at_s = rising(np.concatenate([[first], air.at_s, other.at_s]))
    at_s = at_s[at_s >= first]
    own, blown = _on_steps(air, at_s), _on_steps(other, at_s)
    temperature = (1.0 - share) * own.temperature_c + share * blown.temperature_c
    water = (1.0 - share) * _water(own) + share * _water(blown)
    humidity = humidity_of_vapour_percent(temperature, water)
    return AirSeries(at_s, temperature, humidity, own.source)


def dehumidifier(air: AirSeries, target_percent: float) -> AirSeries:
    """Keep the air no damper than a target, closed doors taken for granted.

    Nothing happens below 10 °C, and 35 % is the driest reached. The warmth it gives off is
    left out.

    Raises:
        BadInput: a target outside 0 to 100 %.
    """
    if not 0.0 <= target_percent <= 100.0:
        raise BadInput(f"drying the air to {target_percent:g} %: give 0 to 100 %")
    reached = np.minimum(air.humidity_percent, max(target_percent, DRIEST_REACHED_PERCENT))
    works = air.temperature_c >= COLDEST_DEHUMIDIFIED_C
    humidity = np.where(works, reached, air.humidity_percent)
    return AirSeries(air.at_s, air.temperature_c, humidity, air.source)


def covers(air: AirSeries, lag_hours: float = COVER_LAG_HOURS) -> AirSeries:
    """Cover the work loosely: its air follows the space slowly, swings less.

    The water in the air is that of the space, as a loose cover lets it through. Solvent vapour
    is held back too, so this is for the hours after the film is dust-free.

    Raises:
        BadInput: a lag that is not above zero.
    """
    if not lag_hours > 0.0:
        raise BadInput(f"a cover with a lag of {lag_hours:g} h: give a number above zero")
    hours = np.diff(air.at_s) / 3600.0
    under = follow(air.temperature_c, hours, lag_hours, float(air.temperature_c[0]))
    return _with_the_same_water(air, under)


def _on_steps(air: AirSeries, at_s: FloatArray) -> AirSeries:
    """The same air on other steps, shape (m,); a step takes the value at its start."""
    index = steps_at(air, at_s)
    return AirSeries(at_s, air.temperature_c[index], air.humidity_percent[index], air.source[index])


def _water(air: AirSeries) -> FloatArray:
    return vapour_pressure_pa(air.temperature_c, air.humidity_percent)


def _with_the_same_water(air: AirSeries, temperature_c: FloatArray) -> AirSeries:
    humidity = humidity_of_vapour_percent(temperature_c, _water(air))
    return AirSeries(air.at_s, temperature_c, humidity, air.source)
