"""What some air means for wood and finish."""

from __future__ import annotations

from dataclasses import dataclass

from finplan.trade.quantities import Units, format_degrees_apart


@dataclass(frozen=True, slots=True)
class MoistAir:
    """Air with what follows from it; ``margin_c`` is its distance above the dew point."""

    temperature_c: float
    humidity_percent: float
    dew_point_c: float
    margin_c: float
    vapour_pressure_deficit_pa: float
    emc_percent: float
    warnings: tuple[str, ...]


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
    from finplan.air.psychrometrics import dew_point_c, vapour_pressure_deficit_pa
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
        float(vapour_pressure_deficit_pa(temperature_c, humidity_percent)),
        float(emc_percent(temperature_c, humidity_percent)),
        tuple(warnings),
    )
