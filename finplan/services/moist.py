"""What some air means for wood and finish."""

from __future__ import annotations

from dataclasses import dataclass

from finplan.trade.errors import BadInput
from finplan.trade.names import did_you_mean, shown
from finplan.trade.quantities import Units, format_degrees_apart


@dataclass(frozen=True, slots=True)
class MoistAir:
    """Air with what follows from it; ``margin_c`` is its distance above the dew point.

    ``wet_bulb_c``: what a wet film cools to where air moves over it.
    """

    temperature_c: float
    humidity_percent: float
    dew_point_c: float
    margin_c: float
    wet_bulb_c: float
    vapour_pressure_deficit_pa: float
    emc_percent: float
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AcrossTheGrain:
    """How much wood changes across the grain until it has followed the air.

    Relative change of size from the moisture it was fitted at, above 0 where it swells; flat-sawn
    and quarter-sawn. ``linear``: both moistures lie where the coefficients hold; beyond, the
    change is understated.
    """

    wood: str
    fitted_at_percent: float
    flat_sawn: float
    quarter_sawn: float
    linear: bool
    source: str


def moist_air(
    temperature_c: float, humidity_percent: float, units: Units = Units.METRIC
) -> MoistAir:
    """Return dew point, vapour-pressure deficit and EMC of air.

    Args:
        temperature_c: °C.
        humidity_percent: relative humidity, 0 to 100.
        units: of the warnings.

    Raises:
        BadInput: values that no air has.
    """
    from finplan.air.psychrometrics import dew_point_c, vapour_pressure_deficit_pa, wet_bulb_c
    from finplan.air.series import check_air
    from finplan.air.sorption import DAMPEST_PERCENT, emc_percent
    from finplan.drying.limits import DEW_MARGIN_C, DEW_MARGIN_SOURCE

    check_air(temperature_c, humidity_percent)
    dew_c = float(dew_point_c(temperature_c, humidity_percent))
    margin_c = temperature_c - dew_c
    warnings = []
    if margin_c < DEW_MARGIN_C:
        warnings.append(
            f"only {format_degrees_apart(margin_c, units)} above the dew point: no coat on a "
            f"surface as cold as this air ({DEW_MARGIN_SOURCE})"
        )
    if humidity_percent > DAMPEST_PERCENT:
        warnings.append(f"the EMC is given for {DAMPEST_PERCENT:g} %, beyond which it is not known")
    return MoistAir(
        temperature_c,
        humidity_percent,
        dew_c,
        margin_c,
        float(wet_bulb_c(temperature_c, humidity_percent)),
        float(vapour_pressure_deficit_pa(temperature_c, humidity_percent)),
        float(emc_percent(temperature_c, humidity_percent)),
        tuple(warnings),
    )


def across_the_grain(found: MoistAir, wood: str, fitted_at_percent: float) -> AcrossTheGrain:
    """Return how much a wood changes across the grain in some air.

    Args:
        found: the air.
        wood: the wood's name, or another name it has.
        fitted_at_percent: its moisture when it was sized.

    Raises:
        BadInput: no such wood, or none whose movement is known.
    """
    from finplan.library.load import woods
    from finplan.trade.woods import LINEAR_MC_PERCENT, find_wood, size_change_mm

    known = woods()
    meant = find_wood(wood, known)
    if meant is None:
        near = did_you_mean(wood, known) or f": there are {', '.join(sorted(known))}"
        raise BadInput(f"there is no wood {shown(wood)}{near}", "--moves")
    flat, quarter = meant.change_tangential_per_percent, meant.change_radial_per_percent
    if flat is None or quarter is None:
        raise BadInput(f"how much {meant.name} moves is not known here", "--moves")
    ends = (fitted_at_percent, found.emc_percent)
    return AcrossTheGrain(
        meant.name,
        fitted_at_percent,
        size_change_mm(1.0, *ends, flat.value),
        size_change_mm(1.0, *ends, quarter.value),
        all(LINEAR_MC_PERCENT.low <= one <= LINEAR_MC_PERCENT.high for one in ends),
        flat.source,
    )
