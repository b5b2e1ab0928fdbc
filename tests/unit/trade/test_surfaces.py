"""Areas by kind of face."""

import dataclasses

import pytest

from finplan.trade.coverage import worked_area_m2
from finplan.trade.parts import ALL_FACES, Face, Hole, Part, SurfaceAreas
from finplan.trade.steps import Side, Step, StepKind
from finplan.trade.surfaces import areas, footprint_m2, largest_face_m2, total_areas, wall_mm2

BOARD = Part("board", 2, 1000, 100, 20, "oak")


def test_kinds_of_face():
    assert areas(BOARD) == SurfaceAreas(
        side_grain_m2=pytest.approx(0.4),
        edges_m2=pytest.approx(0.08),
        end_grain_m2=pytest.approx(0.008),
        holes_m2=0,
    )


def test_only_the_faces_named_count():
    top = dataclasses.replace(BOARD, faces=frozenset({Face.TOP, Face.NEAR_END}))
    assert areas(top).side_grain_m2 == pytest.approx(0.2)
    assert areas(top).edges_m2 == 0
    assert areas(top).end_grain_m2 == pytest.approx(0.004)
    no_bottom = dataclasses.replace(BOARD, faces=ALL_FACES - {Face.BOTTOM})
    assert areas(no_bottom).total_m2 == pytest.approx(areas(BOARD).total_m2 - 0.2)


def test_a_hole_between_unfinished_faces_stays_bare():
    edges = frozenset({Face.LEFT_EDGE, Face.RIGHT_EDGE})
    part = dataclasses.replace(BOARD, holes=(Hole(5),), faces=edges)
    assert areas(part).holes_m2 == 0
    assert areas(part).side_grain_m2 == 0


def test_a_blind_hole_has_a_bottom_and_one_opening():
    blind = dataclasses.replace(BOARD, holes=(Hole(10, 3, depth_mm=15),))
    plain = areas(BOARD).side_grain_m2
    assert plain - areas(blind).side_grain_m2 == pytest.approx(6 * 78.54e-6, rel=1e-4)
    assert areas(blind).holes_m2 == pytest.approx(6 * (471.24 + 78.54) * 1e-6, rel=1e-4)


def test_a_depth_of_the_whole_thickness_is_a_through_hole():
    assert wall_mm2(Hole(10, depth_mm=20), 20) == wall_mm2(Hole(10), 20)


def test_rack():
    assert largest_face_m2(BOARD) == pytest.approx(0.1)
    assert footprint_m2(BOARD, 1.3) == pytest.approx(0.26)


def test_together():
    assert total_areas([BOARD, BOARD]).total_m2 == pytest.approx(2 * areas(BOARD).total_m2)
    assert total_areas([]) == SurfaceAreas()


def test_area_worked_on():
    found = areas(dataclasses.replace(BOARD, holes=(Hole(5),)))
    coat = Step("coat-1-first", StepKind.COAT, "Coat", 1, Side.FIRST)
    seal = Step("seal", StepKind.SEAL, "Seal")
    sand = Step("sand", StepKind.SAND, "Sand")
    assert worked_area_m2(coat, found) == pytest.approx(found.total_m2 / 2)
    assert worked_area_m2(seal, found) == pytest.approx(found.end_grain_m2 + found.holes_m2)
    assert worked_area_m2(sand, found) == pytest.approx(found.total_m2)
