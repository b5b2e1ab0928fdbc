"""Areas, holes, coverage and grits against computed and published values."""

import math

import pytest

from finplan.library.load import finishes, grits, woods
from finplan.trade.coverage import litres_at
from finplan.trade.grits import Verdict, check_progression
from finplan.trade.parts import Face, Hole, Part
from finplan.trade.quantities import parse_spread
from finplan.trade.surfaces import areas, countersink_depth_mm, opening_mm2, wall_mm2
from finplan.trade.woods import size_change_mm

SLATS = Part("slat", 10, 1200, 90, 19, "black locust")


def test_slats():
    # Rectangular solid: A = 2(LW + LT + WT).
    found = areas(SLATS)
    assert found.total_m2 == pytest.approx(2.6502, abs=5e-5)
    assert found.end_grain_m2 / found.total_m2 == pytest.approx(0.0129, abs=5e-5)


def test_slats_in_two_coats():
    # Worked by hand: 2.6502 m² at 8 and 12 m²/L, end grain counted like the rest.
    litres = litres_at(areas(SLATS), 8, 1) + litres_at(areas(SLATS), 12, 1)
    assert litres == pytest.approx(0.5521, abs=5e-5)
    assert litres * 1.1 == pytest.approx(0.6073, abs=5e-5)


def test_end_grain_factor_matters_little_on_slats():
    # Worked by hand: three times the need on 1.29 % of the area is 2.6 % more.
    once, thrice = (litres_at(areas(SLATS), 8, factor) for factor in (1, 3))
    assert thrice / once == pytest.approx(1.026, abs=5e-4)


@pytest.mark.parametrize(
    ("angle", "depth", "cone", "cylinder", "net"),
    [(82, 2.88, 89.8, 253.3, 244.9), (90, 2.50, 83.3, 259.2, 244.3)],
)
def test_countersunk_hole(angle, depth, cone, cylinder, net):
    # Solid geometry: frustum of a cone on a cylinder; d 5, D 10, t 19 mm.
    hole = Hole(5, 1, 10, angle)
    assert countersink_depth_mm(hole) == pytest.approx(depth, abs=0.005)
    assert wall_mm2(hole, 19) == pytest.approx(cone + cylinder, abs=0.1)
    openings = opening_mm2(hole, Face.TOP, 19) + opening_mm2(hole, Face.BOTTOM, 19)
    assert openings == pytest.approx(98.2, abs=0.05)
    assert wall_mm2(hole, 19) - openings == pytest.approx(net, abs=0.1)


def test_the_hole_changes_the_part_by_its_net_area():
    plain = Part("slat", 1, 1200, 90, 19, "oak")
    drilled = Part("slat", 1, 1200, 90, 19, "oak", (Hole(5, 2, 10, 82),))
    gained = (areas(drilled).total_m2 - areas(plain).total_m2) * 1e6
    assert gained == pytest.approx(2 * 244.9, abs=0.2)


@pytest.mark.parametrize(
    ("written", "expected"),
    [(100, 2.45), (200, 4.91), (300, 7.36), (400, 9.82), (500, 12.27), (600, 14.73)],
)
def test_square_feet_per_gallon(written, expected):
    # NIST Handbook 44, appendix C: 1 ft² = 0.09290304 m², 1 gal = 3.785411784 L.
    assert parse_spread(f"{written} ft²/gal") == pytest.approx(expected, abs=0.005)


def test_semitransparent_stain_covers_as_the_wood_handbook_says():
    # Wood Handbook FPL-GTR-190 (2010), ch. 16, p. 375: 200 to 400 ft²/gal on smooth wood.
    spread = finishes()["semitransparent stain"].spread_first_m2_per_l
    assert spread.low == pytest.approx(parse_spread("200 ft²/gal"), abs=0.05)
    assert spread.high == pytest.approx(parse_spread("400 ft²/gal"), abs=0.05)


@pytest.mark.parametrize(
    ("name", "size_um"),
    [  # FEPA P / ISO 6344 and CAMI
        ("P12", 1815), ("P36", 538), ("P80", 201), ("P100", 162), ("P120", 125), ("P150", 100),
        ("P180", 82), ("P220", 68), ("P240", 58.5), ("P320", 46.2), ("P400", 35.0),
        ("P800", 21.8), ("P1200", 15.3), ("P2500", 8.4), ("CAMI 24", 708), ("CAMI 80", 190),
        ("CAMI 120", 115), ("CAMI 320", 36), ("CAMI 400", 23), ("CAMI 600", 16),
        ("CAMI 1000", 10.3),
    ],
)  # fmt: skip
def test_grit_sizes(name, size_um):
    assert grits()[name].mean_um.value == size_um


def test_old_and_new_grits_that_are_nearly_the_same():
    # FEPA and CAMI tables side by side: CAMI 320 is about P400, 400 about P800, 600 about P1200.
    sizes = {name: grit.mean_um.value for name, grit in grits().items()}
    for old, new in (("CAMI 320", "P400"), ("CAMI 400", "P800"), ("CAMI 600", "P1200")):
        assert math.isclose(sizes[old], sizes[new], rel_tol=0.06)


@pytest.mark.parametrize(
    ("names", "ratios", "worst"),
    [
        (("P80", "P120", "P180", "P240"), (1.61, 1.52, 1.40), Verdict.GOOD),
        (("P60", "P100", "P150", "P220"), (1.66, 1.62, 1.47), Verdict.GOOD),
        (("P80", "P150", "P220"), (2.01, 1.47), Verdict.WIDE),
        (("P80", "P180"), (2.45,), Verdict.REFUSED),
    ],
)
def test_progressions(names, ratios, worst):
    # Ratios of the FEPA P mean sizes.
    steps = check_progression([grits()[name] for name in names])
    assert [round(step.ratio, 2) for step in steps] == list(ratios)
    verdicts = list(Verdict)
    assert max((step.verdict for step in steps), key=verdicts.index) is worst


@pytest.mark.parametrize(("name", "expected_mm"), [("white oak", 1.46), ("teak", 0.744)])
def test_a_flat_sawn_board_swells(name, expected_mm):
    # Wood Handbook FPL-GTR-190 (2010), table 13-5: 100 mm, 8 to 12 % moisture content.
    coefficient = woods()[name].change_tangential_per_percent
    assert size_change_mm(100, 8, 12, coefficient.value) == pytest.approx(expected_mm, abs=0.005)
