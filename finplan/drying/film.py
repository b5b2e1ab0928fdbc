"""A thicker film takes longer.

Drying limited by evaporation grows with the thickness, by diffusion through the film with its
square; 1.5 is taken between them (an assumption of this program).
"""

from __future__ import annotations

from finplan.trade.errors import BadInput

EXPONENT = 1.5
THINNEST, THICKEST = 0.25, 4.0


def time_multiplier(share: float) -> float:
    """How many times as long a film takes as one of the usual thickness.

    Args:
        share: thickness (or litres per m²) relative to the usual; believed from 0.25 to 4,
            beyond it the nearer end counts.

    Raises:
        BadInput: a share that is not above zero.
    """
    if not share > 0.0:
        raise BadInput(f"a film {share:g} times as thick as usual: give a number above zero")
    believed = min(THICKEST, max(THINNEST, share))
    return float(believed**EXPONENT)
