"""A user's own finish from what its label says, brought to 23 °C and 50 %.

A label gives a few times in words at some temperature and humidity. They become reference hours
by the chemistry's own pace, and the stages it does not mention keep their proportion to the
generic class the finish was started from.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Mapping

import numpy as np

from finplan.drying.arrhenius import REFERENCE_C, REFERENCE_PERCENT
from finplan.drying.rates import pace
from finplan.trade.errors import BadInput
from finplan.trade.finishes import Finish, Stage
from finplan.trade.numbers import Number, Span
from finplan.trade.quantities import Units, fahrenheit_to_c, format_temperature

LABEL_SOURCE = "label, as entered"

_HOURS: dict[str, float] = {
    "m": 1 / 60, "min": 1 / 60, "mins": 1 / 60, "minute": 1 / 60, "minutes": 1 / 60,
    "h": 1, "hr": 1, "hrs": 1, "hour": 1, "hours": 1,
    "d": 24, "day": 24, "days": 24,
    "w": 168, "wk": 168, "week": 168, "weeks": 168,
}  # fmt: skip
_NUMBER = r"(\d+(?:[.,]\d+)?)"
_TIME = re.compile(
    rf"^(?:(?:about|approx\.?|ca\.?|after|max\.?|min\.?|within|up to|~|≈|≤|<)\s*)?{_NUMBER}"
    rf"(?:\s*([a-z]+)?\s*(?:-|–|to|\.\.)\s*{_NUMBER})?\s*([a-z]+)\.?$"
)
_TEMPERATURE = re.compile(
    rf"(-?{_NUMBER})\s*(?:(?:-|–|to)\s*{_NUMBER}\s*)?(?:°|º|deg\.?)?\s*([cf])\b"
)
_HUMIDITY = re.compile(rf"{_NUMBER}\s*(?:(?:-|–|to)\s*{_NUMBER}\s*)?%")
_LONGEST_TEXT = 100
_LONGEST_HOURS = 24.0 * 366


def parse_time(text: str, where: str = "") -> Span:
    """Read a label's time, e.g. ``4-6 h``, ``45 min``, ``1,5 to 2 days``, as hours.

    Raises:
        BadInput: not such a time, an end before its start, or more than a year.
    """
    match = _TIME.match(text.strip().lower()) if len(text) <= _LONGEST_TEXT else None
    unit = _HOURS.get(match[4]) if match else None
    first_unit = _HOURS.get(match[2]) if match and match[2] else unit
    if match is None or unit is None or first_unit is None:
        raise BadInput(f"{text[:40]!r} is no time: write it like 4-6 h, 45 min or 7 days", where)
    low = _to_float(match[1]) * first_unit
    high = _to_float(match[3]) * unit if match[3] else low
    if not 0.0 < low <= high <= _LONGEST_HOURS:
        raise BadInput(
            f"{text[:40]!r}: give a time above zero, the shorter first, of a year at most", where
        )
    return Span(low, high, LABEL_SOURCE)


def parse_conditions(text: str, where: str = "") -> tuple[float, float]:
    """Read what a label's times hold at, e.g. ``20 °C, 65 %`` or ``70 °F / 50 % RH``.

    A range takes its middle. A label that names none means 23 °C or 50 %.

    Returns:
        Temperature in °C and relative humidity in %.

    Raises:
        BadInput: text without either, or values outside 0 to 45 °C and 10 to 95 %.
    """
    lower = text[:_LONGEST_TEXT].strip().lower()
    if not lower:
        return REFERENCE_C, REFERENCE_PERCENT
    temperature, humidity = _TEMPERATURE.search(lower), _HUMIDITY.search(lower)
    if temperature is None and humidity is None:
        raise BadInput(f"{text[:40]!r} names no conditions: write them like 20 °C, 65 %", where)
    celsius, percent = REFERENCE_C, REFERENCE_PERCENT
    if temperature:
        celsius = _middle(temperature[1], temperature[3])
        if temperature[4] == "f":
            celsius = fahrenheit_to_c(celsius)
    if humidity:
        percent = _middle(humidity[1], humidity[2])
    if not (0.0 <= celsius <= 45.0 and 10.0 <= percent <= 95.0):
        raise BadInput(
            f"label times at {celsius:.0f} °C and {percent:.0f} %: give 0 to 45 °C and 10 to 95 %",
            where,
        )
    return celsius, percent


def finish_from_label(
    like: Finish,
    name: str,
    title: str,
    times: Mapping[Stage, str],
    conditions: str = "",
    window_closes: str = "",
) -> Finish:
    """Make a user's own finish from a generic class and a label's words.

    Args:
        like: the generic class it belongs to; whatever the label leaves out comes from it.
        name: the new finish's name for commands.
        title: the new finish's name for people.
        times: the label's time to each stage it mentions.
        conditions: what these hold at (``parse_conditions``).
        window_closes: the longest time to recoat without scuffing, empty where not stated.

    Raises:
        BadInput: no time at all, one that cannot be read, or conditions under which the finish
            does not dry at all.
    """
    if not times:
        raise BadInput("no time from the label: give at least the time to recoat", name)
    celsius, percent = parse_conditions(conditions, f"{name}, conditions")
    shorter = 1.0 / _multiplier(like, celsius, percent, name)
    warmth = format_temperature(celsius, Units.METRIC)
    source = f"{LABEL_SOURCE}, at {warmth} and {percent:.0f} %"
    stated = {
        stage: _scaled(parse_time(text, f"{name}, {stage}"), shorter, source)
        for stage, text in times.items()
    }
    _check_order(stated, name)
    window = like.window_closes_hours
    ratio = _ratio(like.stages, stated)
    if window_closes:
        hours = parse_time(window_closes, f"{name}, recoat window").low
        window = Number(hours * shorter, source)
    elif window is not None:
        window = Number(window.value * ratio, _in_proportion(like, window.source))
    rest = {
        stage: _scaled(span, ratio, _in_proportion(like, span.source))
        for stage, span in like.stages.items()
    }
    stages = _in_stage_order(rest, stated)
    return dataclasses.replace(
        like, name=name, title=title, stages=stages, window_closes_hours=window, own=True
    )


def _check_order(stated: Mapping[Stage, Span], name: str) -> None:
    ordered = [stage for stage in Stage if stage in stated]
    for earlier, later in itertools.pairwise(ordered):
        if stated[later].high < stated[earlier].high:
            raise BadInput(f"{later} is given sooner than {earlier}: check the label", name)


def _multiplier(like: Finish, celsius: float, percent: float, name: str) -> float:
    """How many times as long as at 23 °C and 50 % the finish takes under the label's conditions."""
    log_time = float(pace(like, np.array([celsius]), np.array([percent])).log_time[0])
    if not math.isfinite(log_time):
        raise BadInput(
            f"{like.title} does not dry at {celsius:.0f} °C and {percent:.0f} %: check the "
            "label's conditions",
            name,
        )
    return math.exp(log_time)


def _ratio(generic: Mapping[Stage, Span], stated: Mapping[Stage, Span]) -> float:
    """How the label's times compare with the class's, in the geometric mean of those in both."""
    logs = [
        math.log(span.high / generic[stage].high)
        for stage, span in stated.items()
        if stage in generic and 0.0 < generic[stage].high < math.inf
    ]
    return math.exp(sum(logs) / len(logs)) if logs else 1.0


def _in_stage_order(rest: Mapping[Stage, Span], stated: Mapping[Stage, Span]) -> dict[Stage, Span]:
    """All stages; scaled ones are kept between the stated ones before and after them."""
    stages: dict[Stage, Span] = {}
    ordered = [stage for stage in Stage if stage in rest or stage in stated]
    for place, stage in enumerate(ordered):
        if stage in stated:
            stages[stage] = stated[stage]
            continue
        before = [stated[s] for s in ordered[:place] if s in stated]
        after = [stated[s] for s in ordered[place:] if s in stated]
        low = max([rest[stage].low, *(span.low for span in before)])
        high = max([rest[stage].high, *(span.high for span in before)])
        low = min([low, *(span.low for span in after)])
        high = min([high, *(span.high for span in after)])
        stages[stage] = Span(min(low, high), high, rest[stage].source)
    return stages


def _scaled(span: Span, factor: float, source: str) -> Span:
    return Span(span.low * factor, span.high * factor, source)


def _in_proportion(like: Finish, source: str) -> str:
    return f"{like.title} ({source}), in proportion to the label's times"


def _middle(first: str, second: str | None) -> float:
    low = _to_float(first)
    return (low + _to_float(second)) / 2.0 if second else low


def _to_float(text: str) -> float:
    return float(text.replace(",", "."))
