"""When the wood of a piece is dry enough for a renewal coat."""

from __future__ import annotations

import functools

import numpy as np

from finplan.air.board_drying import Board, BoardDrying
from finplan.air.series import constant
from finplan.drying.arrhenius import REFERENCE_C, REFERENCE_PERCENT
from finplan.tracking.upkeep.pieces import InstalledPiece
from finplan.trade.finishes import Finish
from finplan.trade.numbers import Number
from finplan.trade.upkeep import Exposure
from finplan.trade.woods import Wood, diffusion_m2_per_s

WASHED_HOURS = Number(1.0, "assumption: water stands on it for an hour while it is washed")
RAINED_ON_HOURS = Number(24.0, "assumption: a day of rain before, where it stands in the weather")
WET_DAILY_HOURS = Number(72.0, "assumption: water every day counts as three days on end")
"""For how long water stood on the wood before it begins to dry."""

USUAL_LIMIT_PERCENT = Number(
    15.0, "Iowa State University Extension, Finishing New Wood Surfaces: 12 to 15 % outdoors"
)
"""Wood moisture at the coat, where the finish states none."""

LONGEST_DRY_HOURS = 14 * 24.0
"""Wood that takes longer has no dry spell; our own choice."""


def board_of(piece: InstalledPiece, wood: Wood | None) -> Board:
    """Return the board a piece's wood dries as; ``wood`` None is an unknown one."""
    return Board(piece.thickness_mm, diffusion_m2_per_s(wood))


def wet_hours(piece: InstalledPiece) -> float:
    """Return for how long water stood on a piece before it is dried for a coat."""
    if Exposure.WET_OR_TRODDEN in piece.exposures:
        return WET_DAILY_HOURS.value
    sheltered = piece.exposures & {Exposure.INDOORS, Exposure.COVERED}
    return (WASHED_HOURS if sheltered else RAINED_ON_HOURS).value


def dry_enough(finish: Finish) -> Number:
    """Return the most moisture of the outer wood that a coat of a finish bears, %."""
    return finish.dampest_wood_percent or USUAL_LIMIT_PERCENT


def usual_dry_hours(piece: InstalledPiece, wood: Wood | None, finish: Finish) -> float:
    """Return how long a piece's wood takes to dry at 23 °C and 50 %."""
    return _dry_hours(board_of(piece, wood), wet_hours(piece), dry_enough(finish).value)


@functools.lru_cache(maxsize=512)
def _dry_hours(board: Board, wet: float, limit_percent: float) -> float:
    drying = BoardDrying(constant(REFERENCE_C, REFERENCE_PERCENT), board)
    begins_s = np.full(1, 30 * 86400.0)
    dry_s = drying.dry_at_s(begins_s, wet, limit_percent, LONGEST_DRY_HOURS) - begins_s
    return min(LONGEST_DRY_HOURS, float(dry_s[0]) / 3600.0)
