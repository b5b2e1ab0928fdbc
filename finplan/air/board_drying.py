"""How wetted wood dries: diffusion through a board, open to the air on both faces.

Crank, The Mathematics of Diffusion (2nd ed., 1975), section 4.3: in a plane sheet each cosine
mode follows the surface with a time constant of its own, so air that changes is followed exactly
on its own steps. The surface is taken to be in balance with the air; ends and cracks, which wet
and dry quicker, are left out, and so is rain that falls meanwhile.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from finplan.air.psychrometrics import ZERO_C_IN_K, FloatArray
from finplan.air.series import AirSeries, steps_at
from finplan.air.sorption import SETTLED_HOURS, emc_percent, follow, mean_of_first
from finplan.trade.numbers import Number

FIBRE_SATURATION_PERCENT = Number(
    30.0, "Wood Handbook FPL-GTR-190 (2010), ch. 4: fibre saturation lies at about 30 %"
)
"""Moisture of wood that water stands on."""

OUTER_MM = Number(2.0, "assumption: what a coat meets and a day of rain wets, the outer 2 mm")

ACTIVATION_J_PER_MOL = Number(
    38500.0 - 290.0 * 16.0, "from memory, unverified: Siau, bound water across the grain, at 16 %"
)
"""How the warmth of the wood speeds diffusion up (Arrhenius), against 20 °C."""

_GAS_J_PER_MOL_K = 8.314462618
_REFERENCE_K = 293.15
_MODES = 12
_HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Board:
    """A board: thickness in mm, diffusion across the grain in m²/s at 20 °C."""

    thickness_mm: float
    diffusion_m2_per_s: float


def time_constants_s(board: Board) -> FloatArray:
    """Return the modes' time constants at 20 °C, slowest first, seconds."""
    odd = 2.0 * np.arange(_MODES) + 1.0
    half_m = board.thickness_mm / 2000.0
    constants: FloatArray = np.asarray(
        4.0 * half_m**2 / (odd**2 * np.pi**2 * board.diffusion_m2_per_s), np.float64
    )
    return constants


def layer_weights(board: Board, depth_mm: float) -> FloatArray:
    """Return each mode's share in the mean moisture of the outer ``depth_mm``.

    What is missing to 1 is the share of quicker modes, which stand at the surface's moisture.
    """
    number = np.arange(_MODES)
    half, depth = board.thickness_mm / 2.0, min(depth_mm, board.thickness_mm / 2.0)
    wave = (2.0 * number + 1.0) * np.pi / (2.0 * half)
    sign = np.where(number % 2 == 0, 1.0, -1.0)
    mean = (sign - np.sin(wave * (half - depth))) / (wave * depth)
    weights: FloatArray = 4.0 * sign / ((2.0 * number + 1.0) * np.pi) * mean
    return weights


class BoardDrying:
    """A board in one stretch of air: its outer moisture, and when it is dry after a wetting.

    Instants are seconds since 1970-01-01 UTC; before the air's first step that step counts.
    """

    def __init__(self, air: AirSeries, board: Board, depth_mm: float = OUTER_MM.value) -> None:
        kelvin = air.temperature_c + ZERO_C_IN_K
        energy = ACTIVATION_J_PER_MOL.value / _GAS_J_PER_MOL_K
        self._air = air
        self._speed = np.exp(-energy * (1.0 / kelvin - 1.0 / _REFERENCE_K))
        self._aged_s = np.concatenate([[0.0], np.cumsum(np.diff(air.at_s) * self._speed[:-1])])
        self._emc = emc_percent(air.temperature_c, air.humidity_percent)
        self._tau_s = time_constants_s(board)
        self._weights = layer_weights(board, depth_mm)
        self._rest = 1.0 - float(self._weights.sum())
        steps_h = np.diff(self._aged_s) / _HOUR_S
        begin = mean_of_first(self._emc, np.diff(air.at_s) / _HOUR_S, SETTLED_HOURS)
        self._modes = np.stack(
            [follow(self._emc, steps_h, tau / _HOUR_S, begin) for tau in self._tau_s.tolist()], 1
        )

    def moisture_percent(self, at_s: FloatArray) -> FloatArray:
        """Return the outer moisture of a board that was never wetted, shape (n,)."""
        modes, emc, _ = self._state(at_s)
        moisture: FloatArray = modes @ self._weights + self._rest * emc
        return moisture

    def dry_at_s(
        self, wetted_s: FloatArray, wet_hours: float, limit_percent: float, longest_hours: float
    ) -> FloatArray:
        """Return when the outer wood is down to a limit, to the hour; infinite where it is not.

        Args:
            wetted_s: when the water was off, shape (n,).
            wet_hours: for how long it stood on the wood before.
            limit_percent: the moisture to come down to.
            longest_hours: how long to look.
        """
        saturated = FIBRE_SATURATION_PERCENT.value
        before, _, aged_before = self._state(wetted_s - wet_hours * _HOUR_S)
        base, _, aged = self._state(wetted_s)
        keep = np.exp(-(aged - aged_before)[:, None] / self._tau_s)
        excess = saturated + (before - saturated) * keep - base
        dry = np.full(wetted_s.shape, np.inf)
        wet = np.arange(len(wetted_s))
        for hour in range(1, int(longest_hours) + 1):
            at_s = wetted_s[wet] + hour * _HOUR_S
            modes, emc, now = self._state(at_s)
            left = excess[wet] * np.exp(-(now - aged[wet])[:, None] / self._tau_s)
            fit = (modes + left) @ self._weights + self._rest * emc <= limit_percent
            dry[wet[fit]] = at_s[fit]
            wet = wet[~fit]
            if not wet.size:
                break
        return dry

    def _state(self, at_s: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Modes (n, modes), balance and age at instants; age is in seconds at 20 °C."""
        index = steps_at(self._air, at_s)
        since = np.maximum(at_s - self._air.at_s[index], 0.0) * self._speed[index]
        emc = self._emc[index]
        keep = np.exp(-since[:, None] / self._tau_s)
        modes = emc[:, None] + (self._modes[index] - emc[:, None]) * keep
        return modes, emc, self._aged_s[index] + since
