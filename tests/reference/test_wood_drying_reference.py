"""Wood that dries after water, against Crank's solutions and a finite-difference scheme."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finplan.air.board_drying import (
    ACTIVATION_J_PER_MOL,
    FIBRE_SATURATION_PERCENT,
    Board,
    BoardDrying,
    layer_weights,
    time_constants_s,
)
from finplan.air.series import AirSeries
from finplan.air.sorption import emc_percent

BOARD = Board(20.0, 1e-10)
HALF_M = 0.01


def hourly(celsius, percent):
    count = len(celsius)
    return AirSeries(
        np.arange(count) * 3600.0, np.array(celsius), np.array(percent), np.zeros(count, np.uint8)
    )


def left(board, depth_mm, seconds):
    """Share of the moisture to be lost that is left in the outer layer, by the modes."""
    decay = np.exp(-seconds / time_constants_s(board))
    return float(layer_weights(board, depth_mm) @ decay)


@pytest.mark.parametrize(("share", "number"), [(0.5, 0.196), (0.9, 0.848)])
def test_times_to_half_and_nine_tenths_of_the_whole_board(share, number):
    """Crank, The Mathematics of Diffusion (2nd ed. 1975), plane sheet, equation 4.18: half is
    lost at D t / l² = 0.196, nine tenths at 0.848."""
    seconds = number * HALF_M**2 / BOARD.diffusion_m2_per_s
    assert 1.0 - left(BOARD, 10.0, seconds) == pytest.approx(share, abs=0.001)


@pytest.mark.parametrize("number", [0.01, 0.02, 0.05, 0.1, 0.2])
def test_short_times_follow_the_root_of_time(number):
    """Crank, equation 4.20: the share lost is 2 (D t / l²)^½ (π^-½ + 2 Σ (-1)^n ierfc(n l/√(Dt)));
    the sum is below 1e-4 here. The modes are cut at twelve: 0.5 % of the whole at most."""
    seconds = number * HALF_M**2 / BOARD.diffusion_m2_per_s
    assert 1.0 - left(BOARD, 10.0, seconds) == pytest.approx(
        2.0 * math.sqrt(number / math.pi), abs=0.005
    )


@pytest.mark.parametrize("hours", [4.0, 12.0, 48.0])
@pytest.mark.parametrize("depth_mm", [1.0, 2.0, 4.0])
def test_the_outer_layer_as_the_error_function_has_it(hours, depth_mm):
    """Crank, equation 3.13, half space: what is left at depth x is erf(x / 2√(Dt)); its mean over
    the layer, while the middle of the board has not noticed yet."""
    thick = Board(100.0, 1e-10)
    spread_mm = 2000.0 * math.sqrt(1e-10 * hours * 3600.0)
    depths = (np.arange(2000) + 0.5) / 2000 * depth_mm
    theirs = np.mean([math.erf(depth / spread_mm) for depth in depths])
    ours = left(thick, depth_mm, hours * 3600.0)
    if depth_mm == 4.0 and hours >= 12.0:  # twelve modes of 100 mm are too coarse for less
        assert ours == pytest.approx(theirs, abs=0.02)
    assert left(Board(30.0, 1e-10), depth_mm, hours * 3600.0) == pytest.approx(theirs, abs=0.02)


def by_differences(air, board, wet_hours, wetted_hour, until_hour, cells=100, steps=80):
    """Explicit finite differences over the whole board: outer 2 mm, hour by hour."""
    width = board.thickness_mm / 1000.0 / cells
    emc = emc_percent(air.temperature_c, air.humidity_percent)
    moisture = np.full(cells, float(emc[: 14 * 24].mean()))
    outer = round(0.002 / width)
    found = []
    for hour in range(until_hour):
        kelvin = air.temperature_c[hour] + 273.15
        rate = board.diffusion_m2_per_s * math.exp(
            -ACTIVATION_J_PER_MOL.value / 8.314462618 * (1.0 / kelvin - 1.0 / 293.15)
        )
        wet = wetted_hour - wet_hours <= hour < wetted_hour
        surface = FIBRE_SATURATION_PERCENT.value if wet else float(emc[hour])
        found.append(float(moisture[:outer].mean()))
        for _ in range(steps):
            padded = np.concatenate(
                [[2.0 * surface - moisture[0]], moisture, [2.0 * surface - moisture[-1]]]
            )
            moisture = moisture + rate * 3600.0 / steps / width**2 * np.diff(padded, 2)
    return np.array(found)


@pytest.mark.parametrize("board", [Board(20.0, 3e-11), Board(20.0, 1e-10), Board(12.0, 1e-10)])
def test_changing_air_and_a_wetting_as_finite_differences_have_them(board):
    """An explicit scheme of second order, 100 cells, 45 s steps, with no series in it: the hour
    the outer 2 mm come down to a limit is the same, but for the hour it is looked at."""
    hours = np.arange(30 * 24)
    air = hourly(14.0 + 5.0 * np.sin(hours * math.pi / 12), 68.0 + 12.0 * np.cos(hours / 37.0))
    wetted, wet = 16 * 24, 24
    theirs = by_differences(air, board, wet, wetted, wetted + 120)
    drying = BoardDrying(air, board)
    for limit in (16.0, 18.0, 20.0):
        first = wetted + int(np.argmax(theirs[wetted + 1 :] <= limit)) + 1
        ours = drying.dry_at_s(np.array([wetted * 3600.0]), float(wet), limit, 240.0)[0]
        assert ours / 3600.0 == pytest.approx(first, abs=1.01)
    assert drying.moisture_percent(np.array([(wetted - wet) * 3600.0]))[0] == pytest.approx(
        theirs[wetted - wet], abs=0.05
    )


def test_days_of_dry_weather_as_the_trade_has_them():
    """Trade advice, no standard: 24 to 48 hours of dry weather after rain, longer in the cool,
    before a coat that wants 15 %. A hardwood board after a day of rain, at 8 to 20 °C and 65 to
    72 %, comes to half a day to two days."""
    for celsius, percent in ((20.0, 65.0), (15.0, 70.0), (8.0, 72.0)):
        air = hourly(np.full(60 * 24, celsius), np.full(60 * 24, percent))
        drying = BoardDrying(air, Board(20.0, 0.3e-10))
        start = 20 * 86400.0
        hours = (drying.dry_at_s(np.array([start]), 24.0, 15.0, 336.0)[0] - start) / 3600.0
        assert 12.0 <= hours <= 60.0


def test_wood_that_the_air_keeps_damp_is_never_dry():
    air = hourly(np.full(40 * 24, 5.0), np.full(40 * 24, 88.0))
    drying = BoardDrying(air, BOARD)
    assert math.isinf(drying.dry_at_s(np.array([20 * 86400.0]), 24.0, 15.0, 336.0)[0])


def test_the_same_air_in_finer_steps_is_the_same_drying():
    """Each step is solved in closed form: where the air does not change, steps change nothing."""
    hours = np.arange(30 * 24)
    coarse = hourly(14.0 + 5.0 * np.sin(hours * math.pi / 12), 68.0 + 12.0 * np.cos(hours / 37.0))
    fine = AirSeries(
        np.arange(4 * len(hours)) * 900.0,
        np.repeat(coarse.temperature_c, 4),
        np.repeat(coarse.humidity_percent, 4),
        np.repeat(coarse.source, 4),
    )
    ours, theirs = BoardDrying(coarse, BOARD), BoardDrying(fine, BOARD)
    instants = 16 * 86400.0 + np.arange(200) * 1234.5
    assert theirs.moisture_percent(instants) == pytest.approx(
        ours.moisture_percent(instants), rel=1e-9
    )
    assert np.array_equal(
        theirs.dry_at_s(instants, 24.0, 18.0, 240.0), ours.dry_at_s(instants, 24.0, 18.0, 240.0)
    )


def test_the_last_hour_looked_at_still_counts():
    air = hourly(np.full(60 * 24, 20.0), np.full(60 * 24, 65.0))
    drying, wetted = BoardDrying(air, BOARD), np.array([20 * 86400.0])
    hours = float((drying.dry_at_s(wetted, 24.0, 15.0, 336.0)[0] - wetted[0]) / 3600.0)
    assert drying.dry_at_s(wetted, 24.0, 15.0, hours)[0] == wetted[0] + hours * 3600.0
    assert math.isinf(drying.dry_at_s(wetted, 24.0, 15.0, hours - 1.0)[0])
