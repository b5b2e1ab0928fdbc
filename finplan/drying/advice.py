"""Go, wait or no: whether to put a coat on now, why not, and when it would be good."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from finplan.air.psychrometrics import FloatArray, dew_point_c
from finplan.air.series import AirSeries
from finplan.drying.limits import (
    DEW_MARGIN_C,
    DEW_MARGIN_SOURCE,
    LOOK_AHEAD_SOURCE,
    BoolArray,
    Conditions,
    Limit,
    broken_limits,
    conditions_at,
)
from finplan.drying.rates import activation_energy_kj
from finplan.drying.two_component import pot_life_hours
from finplan.drying.wood_temperature import USUAL_THICKNESS_MM
from finplan.trade.finishes import Chemistry, Finish
from finplan.trade.numbers import COMMON_PRACTICE, Number
from finplan.trade.quantities import Units, format_degrees_apart, format_temperature

AHEAD_HOURS = 72.0
_STEP_S = 900.0
_TOO_DRY_PERCENT, _TOO_WARM_TO_LEVEL_C = 30.0, 32.0


class Verdict(StrEnum):
    """What to do: coat, wait for better hours ahead, or not within the hours looked at."""

    GO = "go"
    WAIT = "wait"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence and its source; ``limit`` is None for a mere caution."""

    limit: Limit | None
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class GoodHours:
    """A stretch in which a coat may go on, seconds since 1970-01-01 UTC, end not included."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Advice:
    """``reasons`` forbid, ``cautions`` only warn; ``good_hours`` are the next ones ahead."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    good_hours: tuple[GoodHours, ...]


def advice(
    finish: Finish,
    air: AirSeries,
    at_s: float,
    thickness_mm: float = USUAL_THICKNESS_MM,
    wood_percent: float | None = None,
    *,
    ahead_hours: float = AHEAD_HOURS,
    units: Units = Units.METRIC,
) -> Advice:
    """Say whether a coat may go on at an instant, and the good hours after it.

    Args:
        finish: what is to be put on.
        air: the air of the space.
        at_s: the instant, seconds since 1970-01-01 UTC.
        thickness_mm: of the boards.
        wood_percent: a moisture meter's reading; None estimates from the air.
        ahead_hours: how far to look for good hours, in quarter hours.
        units: of the sentences.
    """
    grid = at_s + np.arange(0.0, ahead_hours * 3600.0, _STEP_S)
    ahead = conditions_at(air, grid, thickness_mm, wood_percent)
    broken = broken_limits(finish, ahead)
    reasons = tuple(
        _reason(finish, limit, ahead, wood_percent is not None, units)
        for limit, forbidden in broken.items()
        if forbidden[0] and not (limit is Limit.TOO_COLD_AHEAD and broken[Limit.TOO_COLD][0])
    )
    good = _stretches(grid, ~np.any(np.stack(list(broken.values())), axis=0))
    verdict = Verdict.GO if not reasons else Verdict.WAIT if good else Verdict.NO
    return Advice(verdict, reasons, _cautions(finish, ahead, units), good)


def _stretches(grid: FloatArray, allowed: BoolArray) -> tuple[GoodHours, ...]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], allowed, [False]])))
    return tuple(
        GoodHours(float(grid[first]), float(grid[after - 1]) + _STEP_S)
        for first, after in zip(edges[::2], edges[1::2], strict=True)
    )


def _reason(finish: Finish, limit: Limit, now: Conditions, measured: bool, units: Units) -> Reason:
    """Why a limit forbids the first instant of the conditions."""
    celsius, percent = float(now.temperature_c[0]), float(now.humidity_percent[0])
    coldest, warmest = finish.refuse_below_c, finish.warmest_c
    warmth = format_temperature(celsius, units)
    least = format_temperature(coldest.value, units)
    if limit is Limit.TOO_COLD:
        return Reason(
            limit,
            f"at {warmth} it is too cold: {finish.title} needs {least}",
            coldest.source,
        )
    if limit is Limit.TOO_COLD_AHEAD:
        return Reason(
            limit,
            f"it falls to {format_temperature(float(now.coldest_ahead_c[0]), units)} within 24 "
            f"hours: {finish.title} must stay at {least} or above while it sets",
            f"{coldest.source}; {LOOK_AHEAD_SOURCE}",
        )
    if limit is Limit.TOO_WARM:
        return Reason(
            limit,
            f"at {warmth} it is too warm: {finish.title} goes on up to "
            f"{format_temperature(warmest.value, units)}",
            warmest.source,
        )
    if limit is Limit.DEW:
        dew = format_temperature(float(dew_point_c(celsius, percent)), units)
        return Reason(
            limit,
            f"the wood at {format_temperature(float(now.surface_c[0]), units)} is only "
            f"{format_degrees_apart(max(0.0, float(now.margin_c[0])), units)} above the dew point "
            f"of {dew}: it takes {format_degrees_apart(DEW_MARGIN_C, units)}",
            DEW_MARGIN_SOURCE,
        )
    if limit is Limit.DAMP_AIR:
        return _too_damp(finish.dampest_air_percent, limit, f"the air has {percent:.0f} % humidity")
    told = "by the meter" if measured else "by the air of the days before"
    wood = float(now.wood_percent[0])
    return _too_damp(
        finish.dampest_wood_percent, limit, f"the wood has about {wood:.0f} % moisture {told}"
    )


def _too_damp(bound: Number | None, limit: Limit, what: str) -> Reason:
    value, source = (bound.value, bound.source) if bound else (100.0, COMMON_PRACTICE)
    return Reason(limit, f"{what}: this finish goes on up to {value:g} %", source)


def _cautions(finish: Finish, ahead: Conditions, units: Units) -> tuple[Reason, ...]:
    celsius, percent = float(ahead.temperature_c[0]), float(ahead.humidity_percent[0])
    night = float(ahead.coldest_ahead_c[0])
    coldest = format_temperature(finish.coldest_c.value, units)
    found = []
    if finish.refuse_below_c.value <= celsius < finish.coldest_c.value:
        found.append(
            Reason(
                None,
                f"below {coldest} {finish.title} dries slowly and unevenly",
                finish.coldest_c.source,
            )
        )
    if celsius >= finish.refuse_below_c.value > night and finish.chemistry is Chemistry.OXIDATIVE:
        found.append(
            Reason(
                None,
                f"it falls to {format_temperature(night, units)} within 24 hours: drying stands "
                f"still while it is below {format_temperature(finish.refuse_below_c.value, units)}",
                finish.refuse_below_c.source,
            )
        )
    hasty = percent < _TOO_DRY_PERCENT or celsius > _TOO_WARM_TO_LEVEL_C
    if finish.chemistry is Chemistry.WATERBORNE and hasty:
        found.append(
            Reason(
                None,
                f"at {format_temperature(round(celsius), units)} and {percent:.0f} % it may dry "
                "before it has levelled: work in small areas",
                COMMON_PRACTICE,
            )
        )
    return (*found, *_pot_life(finish, celsius, units))


def _pot_life(finish: Finish, celsius: float, units: Units) -> tuple[Reason, ...]:
    if finish.pot_life_hours is None:
        return ()
    energy, _ = activation_energy_kj(finish)
    hours = pot_life_hours(finish.pot_life_hours.value, celsius, energy)
    return (
        Reason(
            None,
            f"once mixed, it can be used for about {hours:.1f} h at "
            f"{format_temperature(round(celsius), units)}: mix no more than goes on in that time",
            finish.pot_life_hours.source,
        ),
    )
