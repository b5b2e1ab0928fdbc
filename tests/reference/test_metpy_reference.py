"""Moist air against MetPy, a second library with formulas of its own."""

from __future__ import annotations

import numpy as np

from finplan.air.psychrometrics import dew_point_c, vapour_pressure_deficit_pa


def test_dew_point_and_deficit_against_metpy_on_a_grid():
    from metpy import calc
    from metpy.units import units

    t, rh = np.meshgrid(np.arange(10.0, 35.5, 0.5), np.arange(20.0, 96.0, 1.0))
    dew = calc.dewpoint_from_relative_humidity(t * units.degC, rh * units.percent)
    saturated = calc.saturation_vapor_pressure(t * units.degC).m_as("Pa")
    assert np.abs(dew_point_c(t, rh) - dew.m_as("degC")).max() < 0.1
    deficit = saturated * (1 - rh / 100)
    assert np.abs(vapour_pressure_deficit_pa(t, rh) / deficit - 1).max() < 0.01
