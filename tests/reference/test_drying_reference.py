"""Drying times against specifications, tables and hand computation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finplan.air.psychrometrics import saturation_pressure_pa, vapour_pressure_pa, wet_bulb_c
from finplan.air.series import AirSeries, constant
from finplan.drying import two_component, waterborne
from finplan.drying.arrhenius import time_multiplier
from finplan.drying.clock import clock_for
from finplan.drying.oxidative import humidity_multiplier
from finplan.drying.solvent import ENERGY_KJ as ETHANOL_KJ
from finplan.library.load import finishes
from finplan.trade.finishes import Chemistry, Stage
from tests.finishes_for_tests import make, number, span

HOUR = 3600.0
RECOAT = Stage.DRY_TO_RECOAT

# Time relative to 23 °C by activation energy, exp(Ea/R (1/T - 1/296.15)), computed with numpy.
ARRHENIUS_TABLE = {
    50: {5: 3.72, 10: 2.54, 15: 1.76, 20: 1.23, 25: 0.87, 30: 0.63, 35: 0.45},
    60: {5: 4.84, 10: 3.06, 15: 1.97, 20: 1.28, 25: 0.85, 30: 0.57, 35: 0.39},
    66: {5: 5.67, 10: 3.42, 15: 2.10, 20: 1.32, 25: 0.84, 30: 0.54, 35: 0.35},
    80: {5: 8.19, 10: 4.44, 15: 2.46, 20: 1.39, 25: 0.80, 30: 0.47, 35: 0.28},
}
# Ratio of the speeds at 25 and 15 °C, computed with numpy.
Q10_TABLE = {30: 1.52, 40: 1.75, 50: 2.01, 60: 2.32, 66: 2.52, 80: 3.06, 104: 4.29}

# Vapour-pressure deficit at 23 °C and 50 % over that at °C and %, psychrolib 2.5.0.
WATER_TABLE = {
    10: (1.63, 2.29, 2.86, 3.81, 5.72, 7.63, 11.4),
    15: (1.18, 1.65, 2.06, 2.75, 4.12, 5.49, 8.24),
    20: (0.86, 1.20, 1.50, 2.00, 3.00, 4.01, 6.01),
    23: (0.71, 1.00, 1.25, 1.67, 2.50, 3.33, 5.00),
    25: (0.63, 0.89, 1.11, 1.48, 2.22, 2.96, 4.43),
    30: (0.47, 0.66, 0.83, 1.10, 1.65, 2.21, 3.31),
}
WATER_HUMIDITIES = (30, 50, 60, 70, 80, 85, 90)

# The same for a film at the wet bulb, psychrolib 2.5.0.
WET_BULB_WATER_TABLE = {
    10: (1.05, 1.52, 1.92, 2.60, 3.95, 5.31, 8.02),
    30: (0.56, 0.85, 1.09, 1.51, 2.33, 3.16, 4.81),
}

# UFGS-09971, longest hours before a tack coat of a two-component polyurethane is due, in the
# same six bands of surface temperature (the header stands on the page before: an assumption).
UFGS_TACK_COAT = [(60, 70, 96), (71, 80, 72), (81, 90, 48), (91, 100, 36), (101, 110, 24)]

WARM_DAYS_COLD_NIGHTS = AirSeries(
    np.arange(0, 40) * 12 * HOUR,
    np.tile([22.0, 10.0], 20),
    np.full(40, 50.0),
    np.zeros(40, dtype=np.uint8),
)

# Unified Facilities Guide Specification 09971, recoat windows of a two-component polyurethane
# over itself: surface in °F from and to, shortest hours. The last band (111 to 120 °F, 1 h) is
# beyond any workshop and rounded to the hour, so it is left out.
UFGS_RECOAT = [(60, 70, 8), (71, 80, 6), (81, 90, 4), (91, 100, 3), (101, 110, 2)]


@pytest.mark.parametrize("energy", ARRHENIUS_TABLE)
def test_time_multipliers_of_the_arrhenius_law(energy):
    for celsius, multiplier in ARRHENIUS_TABLE[energy].items():
        # The table has two decimals.
        assert time_multiplier(float(celsius), energy) == pytest.approx(multiplier, abs=0.0051)


@pytest.mark.parametrize(("energy", "q10"), Q10_TABLE.items())
def test_speed_for_ten_degrees(energy, q10):
    ratio = time_multiplier(15.0, energy) / time_multiplier(25.0, energy)
    assert ratio == pytest.approx(q10, abs=0.0051)


@pytest.mark.parametrize(
    ("solvent", "vapour_ratio_10_c"),
    [  # saturated vapour pressure at 23 over 10 °C, CoolProp 8.0.0
        ("ethanol", 2.23),
        ("n-octane", 2.20),
        ("toluene", 2.05),
    ],
)
def test_evaporating_solvents(solvent, vapour_ratio_10_c):
    finish = make(Chemistry.SOLVENT)
    if solvent == "toluene":
        finish = make(Chemistry.SOLVENT, activation_energy_kj_per_mol=span(38, 38))
    clock = clock_for(finish, constant(10, 50))
    multiplier = clock.likely(0.0, RECOAT) / (math.sqrt(12 * 24) * HOUR)
    assert multiplier == pytest.approx(vapour_ratio_10_c, rel=0.03)
    assert ETHANOL_KJ == 43


@pytest.mark.parametrize("celsius", WATER_TABLE)
def test_time_multipliers_of_evaporating_water(celsius):
    t = np.full(len(WATER_HUMIDITIES), float(celsius))
    found = waterborne.time_multiplier(t, np.array(WATER_HUMIDITIES, dtype=float))
    # Three figures are printed.
    assert found == pytest.approx(WATER_TABLE[celsius], rel=0.007)


@pytest.mark.parametrize("celsius", WET_BULB_WATER_TABLE)
def test_the_plain_law_is_cautious_in_the_cold_against_a_film_at_the_wet_bulb(celsius):
    # Speed in proportion to psat(wet bulb) - vapour pressure instead of the air's own deficit.
    t = np.full(len(WATER_HUMIDITIES), float(celsius))
    rh = np.array(WATER_HUMIDITIES, dtype=float)
    deficit = saturation_pressure_pa(wet_bulb_c(t, rh)) - vapour_pressure_pa(t, rh)
    reference = saturation_pressure_pa(wet_bulb_c(23.0, 50.0)) - vapour_pressure_pa(23.0, 50.0)
    cooled = reference / deficit
    assert cooled == pytest.approx(WET_BULB_WATER_TABLE[celsius], rel=0.03)
    plain = waterborne.time_multiplier(t, rh)
    if celsius < 23:
        assert np.all((plain >= cooled) & (plain <= 1.6 * cooled))
    else:
        assert np.all((plain <= cooled) & (plain >= cooled / 1.5))


@pytest.mark.parametrize(("low_f", "high_f", "hours"), UFGS_RECOAT)
def test_two_component_recoat_against_the_specification(low_f, high_f, hours):
    middle = ((low_f + high_f) / 2 - 32) / 1.8
    anchor = ((71 + 80) / 2 - 32) / 1.8
    finish = make(
        Chemistry.TWO_COMPONENT,
        stages={RECOAT: span(6, 6)},
        refuse_below_c=number(10),
        warmest_c=number(45),
    )

    def likely(celsius: float) -> float:
        return clock_for(finish, constant(celsius, 50)).likely(0.0, RECOAT) / HOUR

    assert 6 * likely(middle) / likely(anchor) == pytest.approx(hours, rel=0.15)


@pytest.mark.parametrize(("low_f", "high_f", "hours"), UFGS_TACK_COAT)
def test_two_component_window_against_the_specification(low_f, high_f, hours):
    # Quantile 0.5: the law itself, without the caution of closing early away from 23 °C.
    finish = make(
        Chemistry.TWO_COMPONENT, window_closes_hours=number(72), refuse_below_c=number(10)
    )

    def closes(fahrenheit: float) -> float:
        air = constant((fahrenheit - 32) / 1.8, 50)
        return clock_for(finish, air, quantile=0.5).window_closes(0.0)

    ratio = closes((low_f + high_f) / 2) / closes((71 + 80) / 2)
    assert 72 * ratio == pytest.approx(hours, rel=0.15)


def test_pot_life_of_epoxy_in_the_heat():
    # Army PS Magazine 396: epoxy about 15 h at room temperature (73.5 °F), 6 h at 100 °F.
    ratio = two_component.pot_life_hours(15, (100 - 32) / 1.8) / two_component.pot_life_hours(
        15, (73.5 - 32) / 1.8
    )
    assert 15 * ratio == pytest.approx(6, rel=0.1)


def test_pot_life_halves_for_ten_degrees():
    # Unified Facilities Guide Specifications 09970 and 09971, paragraph 3.7.1.3.
    for celsius in (10.0, 20.0, 25.0):
        shorter = two_component.pot_life_hours(8, celsius + 10) / two_component.pot_life_hours(
            8, celsius
        )
        assert shorter == pytest.approx(0.5, rel=0.06)


@pytest.mark.parametrize(
    ("energy", "hours", "per_day"), [(50, 32.6, 15.9), (60, 33.8, 15.0), (66, 34.4, 14.5)]
)
def test_equivalent_age_of_days_and_cold_nights(energy, hours, per_day):
    # 24 h at 23 °C in air of 12 h at 22 °C and 12 h at 10 °C by turns; computed with numpy.
    # The range 12 to 48 h has 24 h as its geometric middle, the likely time.
    finish = make(activation_energy_kj_per_mol=span(energy, energy), stages={RECOAT: span(12, 48)})
    clock = clock_for(finish, WARM_DAYS_COLD_NIGHTS)
    assert clock.likely(0.0, RECOAT) / HOUR == pytest.approx(hours, abs=0.1)
    a_day = 12 / time_multiplier(22.0, energy) + 12 / time_multiplier(10.0, energy)
    assert a_day == pytest.approx(per_day, abs=0.06)


def test_an_oil_without_an_energy_of_its_own_takes_that_of_60_kj():
    clock = clock_for(make(stages={RECOAT: span(12, 48)}), WARM_DAYS_COLD_NIGHTS)
    assert clock.likely(0.0, RECOAT) / HOUR == pytest.approx(33.8, abs=0.1)


def test_boiled_linseed_oil_is_tack_free_within_the_legal_limit():
    # Ohio Revised Code 3741.09(G): tack-free in not more than 20 h at about 70 °F.
    clock = clock_for(finishes()["boiled linseed oil"], constant((70 - 32) / 1.8, 50))
    safe = clock.ready(0.0, Stage.TACK_FREE) / HOUR
    assert clock.likely(0.0, Stage.TACK_FREE) / HOUR < safe <= 20.0
    assert safe > 19.0  # the law's limit is what the library's number comes from


@pytest.mark.parametrize("name", finishes())
def test_every_shipped_finish_agrees_with_its_own_label_at_room_temperature(name):
    # ASTM D3924 and ISO 3270: 23 °C and 50 %, the conditions that stated times hold at.
    finish = finishes()[name]
    clock = clock_for(finish, constant(23, 50))
    for stage, hours in finish.stages.items():
        assert clock.ready(0.0, stage) == pytest.approx(hours.high * HOUR, abs=0.001)
        assert clock.likely(0.0, stage) <= clock.ready(0.0, stage)
    window = finish.window_closes_hours
    assert clock.window_closes(0.0) == (math.inf if window is None else window.value * HOUR)


@pytest.mark.parametrize(("percent", "multiplier"), [(30, 1), (65, 1), (75, 1.25), (85, 1.5)])
def test_damp_slows_oil(percent, multiplier):
    # An assumption of this program (no published figures were found), so only its own statement.
    assert humidity_multiplier(np.array([percent]))[0] == pytest.approx(multiplier)


def test_four_coats_a_day_apart_at_room_temperature():
    # Common practice, no source: a penetrating oil on wet-area hardwood, 24 h between coats.
    clock = clock_for(make(), constant(23, 50))
    end = 0.0
    for _ in range(3):
        end = clock.ready(end, RECOAT)
    assert end == 72 * HOUR
