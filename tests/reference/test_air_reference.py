"""Moist air and wood against tables and a reference library of psychrometry."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from finplan.air.psychrometrics import (
    dew_point_c,
    saturation_pressure_pa,
    vapour_pressure_deficit_pa,
    wet_bulb_c,
)
from finplan.air.sorption import emc_percent

GRID = [(float(t), float(rh)) for t in range(10, 36) for rh in range(20, 96, 5)]

# Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190, 2010), Table 4-2: humidity, then
# the moisture content at 40, 60, 70 and 90 °F.
EMC_TABLE = [
    (20, 4.6, 4.6, 4.5, 4.3),
    (30, 6.3, 6.2, 6.2, 5.9),
    (40, 7.9, 7.8, 7.7, 7.4),
    (50, 9.5, 9.4, 9.2, 8.9),
    (65, 12.3, 12.1, 12.0, 11.5),
    (70, 13.5, 13.3, 13.1, 12.6),
    (80, 16.5, 16.2, 16.0, 15.4),
    (85, 18.5, 18.2, 17.9, 17.3),
]
EMC_CELLS = [
    (fahrenheit, row[0], cell)
    for row in EMC_TABLE
    for fahrenheit, cell in zip((40, 60, 70, 90), row[1:], strict=True)
]

# Computed with psychrolib 2.5.0 (ASHRAE Handbook of Fundamentals), 101 325 Pa: °C, %, dew
# point, wet bulb, saturation pressure, vapour-pressure deficit.
PSYCHROLIB_TABLE = [
    (5, 85, 2.69, 3.95, 872.5, 130.9),
    (10, 70, 4.79, 7.40, 1228.0, 368.4),
    (15, 60, 7.31, 10.82, 1705.4, 682.2),
    (20, 50, 9.27, 13.78, 2338.8, 1169.4),
    (20, 65, 13.23, 15.80, 2338.8, 818.6),
    (20, 85, 17.40, 18.28, 2338.8, 350.8),
    (23, 50, 12.03, 16.25, 2810.4, 1405.2),
    (25, 60, 16.70, 19.47, 3169.2, 1267.7),
    (25, 80, 21.31, 22.38, 3169.2, 633.8),
    (30, 40, 14.94, 20.06, 4246.0, 2547.6),
    (30, 75, 25.08, 26.31, 4246.0, 1061.5),
    (35, 60, 26.07, 28.17, 5627.8, 2251.1),
]
MORE_DEW_POINTS = [
    (12, 75, 7.71),
    (18, 65, 11.33),
    (22, 45, 9.53),
    (24, 70, 18.19),
    (26, 55, 16.27),
    (28, 85, 25.24),
]


@pytest.mark.parametrize(("fahrenheit", "percent", "cell"), EMC_CELLS)
def test_moisture_content_of_wood_against_the_wood_handbook(fahrenheit, percent, cell):
    assert emc_percent((fahrenheit - 32) / 1.8, float(percent)) == pytest.approx(cell, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "percent", "moisture"),
    [  # equation 4-5 of the Wood Handbook, computed independently in numpy
        (20, 65, 12.00),
        (23, 50, 9.19),
        (25, 40, 7.61),
        (15, 75, 14.63),
        (10, 80, 16.38),
        (30, 80, 15.55),
        (5, 85, 18.47),
        (60, 55, 8.37),  # 140 °F
    ],
)
def test_moisture_content_of_wood_against_the_equation(celsius, percent, moisture):
    assert emc_percent(float(celsius), float(percent)) == pytest.approx(moisture, abs=0.006)


@pytest.mark.parametrize(("t", "rh", "dew", "wet", "saturated", "deficit"), PSYCHROLIB_TABLE)
def test_moist_air_against_the_ashrae_table(t, rh, dew, wet, saturated, deficit):
    t, rh = float(t), float(rh)
    assert dew_point_c(t, rh) == pytest.approx(dew, abs=0.05)
    assert wet_bulb_c(t, rh) == pytest.approx(wet, abs=0.2)
    assert saturation_pressure_pa(t) == pytest.approx(saturated, abs=0.06)
    assert vapour_pressure_deficit_pa(t, rh) == pytest.approx(deficit, abs=0.06)


@pytest.mark.parametrize(("t", "rh", "dew"), MORE_DEW_POINTS)
def test_more_dew_points_of_psychrolib(t, rh, dew):
    assert dew_point_c(float(t), float(rh)) == pytest.approx(dew, abs=0.05)


def test_dew_point_and_deficit_against_psychrolib_on_a_grid():
    psychrolib.SetUnitSystem(psychrolib.SI)
    compared = 0
    for t, rh in GRID:
        deficit = psychrolib.GetSatVapPres(t) - psychrolib.GetVapPresFromRelHum(t, rh / 100)
        assert vapour_pressure_deficit_pa(t, rh) == pytest.approx(deficit, rel=0.01)
        dew = psychrolib.GetTDewPointFromRelHum(t, rh / 100)
        if dew >= 0.0:  # below, psychrolib gives the frost point over ice
            assert dew_point_c(t, rh) == pytest.approx(dew, abs=0.1)
            compared += 1
    assert compared > 350


def test_whole_arrays_give_the_same_as_single_numbers():
    t, rh = np.array(GRID).T
    for function in (dew_point_c, wet_bulb_c, vapour_pressure_deficit_pa, emc_percent):
        assert function(t, rh) == pytest.approx([function(*pair) for pair in GRID], rel=1e-12)


@pytest.mark.parametrize(
    ("celsius", "three_degrees", "five_fahrenheit"),
    [(10, 81.6, 82.8), (20, 82.9, 84.0), (25, 83.5, 84.6), (30, 84.0, 85.1)],
)
def test_humidity_at_which_the_dew_point_margin_fails(celsius, three_degrees, five_fahrenheit):
    # Computed with psychrolib 2.5.0 for the rules of ISO 8502-4 and MIL-HDBK-1110, 9.6.6.
    for percent, margin in ((three_degrees, 3.0), (five_fahrenheit, 5 / 1.8)):
        found = float(celsius) - dew_point_c(float(celsius), percent)
        assert found == pytest.approx(margin, abs=0.02)
