"""Heater, fan, dehumidifier and covers."""

from __future__ import annotations

import numpy as np
import pytest

from finplan.air.adjust import covers, dehumidifier, fan, heater
from finplan.air.psychrometrics import vapour_pressure_pa
from finplan.air.series import AirSeries, constant
from finplan.trade.errors import BadInput

COLD = constant(9, 85)


def water(air) -> float:
    return float(vapour_pressure_pa(air.temperature_c, air.humidity_percent)[0])


def swinging(n: int = 48) -> AirSeries:
    hours = np.arange(n)
    return AirSeries(
        hours * 3600.0,
        12.0 + 6.0 * np.sin(hours * np.pi / 12),
        np.full(n, 60.0),
        np.zeros(n, dtype=np.uint8),
    )


def test_heating_dries_the_air_without_taking_water_out():
    warm = heater(COLD, 18)
    assert warm.temperature_c[0] == 18
    assert water(warm) == pytest.approx(water(COLD))
    assert warm.humidity_percent[0] == pytest.approx(47.3, abs=0.5)


def test_a_heater_has_its_limit_and_never_cools():
    assert heater(COLD, 30, most_rise_c=5).temperature_c[0] == 14
    assert heater(COLD, 5).temperature_c[0] == 9


def test_a_dehumidifier_has_its_limits():
    assert dehumidifier(constant(20, 85), 50).humidity_percent[0] == 50
    assert dehumidifier(constant(20, 85), 10).humidity_percent[0] == 35
    assert dehumidifier(constant(20, 30), 50).humidity_percent[0] == 30
    assert dehumidifier(constant(9.9, 85), 50).humidity_percent[0] == 85
    assert dehumidifier(constant(10, 85), 50).humidity_percent[0] == 50


def test_a_fan_mixes_temperature_and_water():
    mixed = fan(COLD, constant(21, 40), share=0.25)
    assert mixed.temperature_c[0] == pytest.approx(12)
    assert water(mixed) == pytest.approx(0.75 * water(COLD) + 0.25 * water(constant(21, 40)))
    assert fan(COLD, constant(21, 40), share=0).humidity_percent[0] == pytest.approx(85)


def test_a_fan_keeps_the_steps_of_both():
    outside = swinging()
    mixed = fan(constant(10, 50), outside, share=1.0)
    assert mixed.temperature_c == pytest.approx(outside.temperature_c)


def test_a_fan_mixes_from_when_both_are_known():
    later = AirSeries(
        np.array([7200.0]), np.array([20.0]), np.array([40.0]), np.zeros(1, dtype=np.uint8)
    )
    for mixed in (fan(swinging(), later), fan(later, swinging())):
        assert mixed.at_s[0] == 7200.0


def test_covers_damp_the_swing_about_the_same_mean():
    under = covers(swinging(480))
    late = under.temperature_c[240:]
    assert late.max() - late.min() < 9.5
    assert late.mean() == pytest.approx(12, abs=0.1)


@pytest.mark.parametrize(
    "change",
    [
        lambda: heater(COLD, 40.1),
        lambda: heater(COLD, -0.1),
        lambda: heater(COLD, 18, most_rise_c=0),
        lambda: fan(COLD, COLD, share=1.01),
        lambda: fan(COLD, COLD, share=-0.01),
        lambda: dehumidifier(COLD, -0.1),
        lambda: dehumidifier(COLD, 100.1),
        lambda: covers(COLD, lag_hours=0),
    ],
)
def test_senseless_changes_are_refused(change):
    with pytest.raises(BadInput):
        change()


def test_changes_at_their_very_limits_are_taken():
    assert heater(COLD, 0).temperature_c[0] == 9
    assert heater(COLD, 40, most_rise_c=0.5).temperature_c[0] == 9.5
    assert heater(COLD, 40, most_rise_c=40).temperature_c[0] == 40
    assert fan(COLD, constant(21, 40), share=1).temperature_c[0] == 21
    assert dehumidifier(COLD, 0).humidity_percent[0] == COLD.humidity_percent[0]
    assert dehumidifier(COLD, 100).humidity_percent[0] == COLD.humidity_percent[0]
