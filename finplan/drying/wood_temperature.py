"""A board follows the air slowly: on a warming morning its face may be below the dew point.

The board is taken as one temperature (its Biot number is about 1 or less for 20 mm, so this is
fair for boards up to about 40 mm): time constant = density × heat capacity × thickness, over the
number of airy faces and the heat transfer coefficient. Density 650 kg/m³ and 1700 J/(kg K) for
a hardwood at 12 % moisture, 9 W/(m² K) for a face in still indoor air by convection and
radiation (all from memory, unverified). A 20 mm board open on both sides then has 0.34 h.
"""

from __future__ import annotations

from finplan.air.psychrometrics import FloatArray
from finplan.air.series import AirSeries
from finplan.air.sorption import follow_air

DENSITY_KG_PER_M3 = 650.0
HEAT_CAPACITY_J_PER_KG_K = 1700.0
TRANSFER_W_PER_M2_K = 9.0
USUAL_THICKNESS_MM = 20.0


def time_constant_hours(thickness_mm: float, airy_faces: int = 2) -> float:
    """Time a board takes to make up 63 % of a step of the air, hours.

    Args:
        thickness_mm: of the board.
        airy_faces: 2 on points or in a rack, 1 lying flat on something.
    """
    stored = DENSITY_KG_PER_M3 * HEAT_CAPACITY_J_PER_KG_K * thickness_mm / 1000.0
    return stored / (airy_faces * TRANSFER_W_PER_M2_K) / 3600.0


def board_c(
    air: AirSeries,
    thickness_mm: float = USUAL_THICKNESS_MM,
    airy_faces: int = 2,
    begin_c: float | None = None,
    at_s: FloatArray | None = None,
) -> FloatArray:
    """Temperature of a board at instants, or at the start of each step of the air, °C.

    ``begin_c`` is the board's own temperature at the first step; None takes the air's. Within a
    step the board nears the air, so the start of a step that warms is its coldest moment.
    ``at_s``: the instants, seconds since 1970-01-01 UTC; None for the starts of the steps.
    """
    begin = float(air.temperature_c[0]) if begin_c is None else begin_c
    lag = time_constant_hours(thickness_mm, airy_faces)
    return follow_air(air, air.temperature_c, lag, begin, at_s)
