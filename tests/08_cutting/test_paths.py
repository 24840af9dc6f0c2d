"""Paths that are really laid: their discs cover what is claimed, never touch a wall, and make the minutes."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cut_faces import clover, disc, plan_of
from stampwright.catalogue import CUTTERS
from stampwright.cutting.engagement import rim_in_metal, samples_along
from stampwright.cutting.front import grow_front

COVERED = 0.999  # of the ground an operation claims, by the union of its discs
GOUGE_MM = 0.005
EDGE_MM = 0.003  # a finished wall may stand this far out: paths keep 0.002 mm off, arcs are flattened
CLEARING = {"rough", "rest_rough", "slot", "wall", "bore"}


def cuts_of(plan):
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    return [cut for cut in zip(on_face, plan.cleared, plan.paths, strict=True) if cut[0].kind in CLEARING]


def uncovered_mm2(operation, ground, path):
    discs = shapely.buffer(path, CUTTERS[operation.cutter].diameter_mm / 2 + EDGE_MM, quad_segs=64)
    return shapely.area(shapely.difference(ground, discs))


def gouge_mm(face, operation, path):
    """Radius less distance from the path to the nearest wall: exact for straight pieces of path."""
    nearest = min(shapely.distance(line, face.ink) for line in path.geoms)
    return CUTTERS[operation.cutter].diameter_mm / 2 - nearest


def assert_covered_and_unharmed(face, plan):
    for operation, ground, path in cuts_of(plan):
        assert uncovered_mm2(operation, ground, path) <= max((1 - COVERED) * ground.area, 0.02), operation.kind
        assert gouge_mm(face, operation, path) < GOUGE_MM, operation.kind


@pytest.fixture(scope="module")
def planned():
    return plan_of(clover())


def test_discs_along_the_paths_cover_what_is_claimed_and_cut_into_no_wall(planned):
    assert_covered_and_unharmed(*planned)


tenths = st.integers(-140, 140), st.integers(-90, 90), st.integers(6, 40)
blobs = st.lists(st.tuples(*tenths), min_size=1, max_size=7)


@settings(max_examples=20, deadline=None)
@given(blobs)
def test_they_do_so_whatever_the_mark(discs):
    assert_covered_and_unharmed(
        *plan_of(shapely.union_all([disc(x / 10, y / 10, radius / 10) for x, y, radius in discs]))
    )


@pytest.mark.parametrize("gap_mm", [0.7942, 0.80, 0.9, 1.05, 1.06])
def test_a_gap_hardly_wider_than_the_cutter_is_cut_through(gap_mm):
    pair = [shapely.box(-6, -8, -gap_mm / 2, 8), shapely.box(gap_mm / 2, -8, 6, 8)]
    face, plan = plan_of(shapely.union_all(pair))
    assert plan.left_uncut_mm2 < 1e-3
    assert_covered_and_unharmed(face, plan)


def test_a_gap_narrower_than_the_cutter_is_said_to_stay():
    pair = [shapely.box(-6, -8, -0.39, 8), shapely.box(0.39, -8, 6, 8)]
    _, plan = plan_of(shapely.union_all(pair))
    assert plan.left_uncut_mm2 == pytest.approx(0.78 * 16, rel=0.05)  # all of it but the ends, which are rounded


def test_roughing_leaves_the_stock_on_every_wall(planned):
    face, plan = planned
    for operation, _, path in cuts_of(plan):
        if operation.kind in {"rough", "rest_rough"}:
            assert gouge_mm(face, operation, path) <= -operation.stock_to_leave_mm + 0.002


def test_no_path_is_shorter_than_its_lines_and_no_time_than_path_over_feed(planned):
    _, plan = planned
    for operation, _, path in cuts_of(plan):
        assert operation.path_mm >= 0.999 * shapely.length(path) * operation.passes
        assert operation.time_min >= operation.path_mm / operation.feed_mm_per_min * (1 - 1e-9)


def test_the_open_field_is_roughed_at_about_its_area_over_the_stepover(planned):
    """Area over stepover is the least a path of bounded engagement can be; walls and corners add some."""
    _, plan = planned
    rough, ground, path = next(cut for cut in cuts_of(plan) if cut[0].kind == "rough")
    least_mm = ground.area / rough.radial_engagement_mm
    assert 0.9 * least_mm < shapely.length(path) < 1.5 * least_mm


def test_a_straight_side_cut_has_the_arc_of_its_stepover():
    """acos(1 − 2 ae/D): the engagement of a side cut (Dietrich, Tschätsch)."""
    line = shapely.LineString([(-5, 0), (5, 0)])
    metal = shapely.box(-20, -20, 20, -1 + 0.6)  # a cutter of radius 1 bites 0.6 mm deep, on its right
    middles, headings, lengths = samples_along(np.array([line]), 2.0)
    arc, chip = rim_in_metal(middles, headings, radius_mm=1.0, metal=metal, swept=[])
    assert lengths.sum() == pytest.approx(10)
    assert arc == pytest.approx(np.full(len(arc), math.acos(1 - 0.6)), abs=math.pi / 24)
    assert chip == pytest.approx(np.full(len(arc), math.sin(math.acos(1 - 0.6))), abs=0.06)


def test_a_cutter_in_solid_metal_cuts_all_round():
    middles, headings, _ = samples_along(np.array([shapely.LineString([(0, 0), (3, 4)])]), 2.0)
    arc, chip = rim_in_metal(middles, headings, radius_mm=1.0, metal=disc(0, 0, 9), swept=[])
    assert arc == pytest.approx(np.full(len(arc), math.pi))
    assert chip == pytest.approx(np.ones(len(arc)), abs=0.01)


def test_a_field_open_at_its_edge_needs_no_entry_and_a_closed_one_gets_a_helix():
    field = shapely.MultiPolygon([shapely.box(0, 0, 20, 10)])
    beside = shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)])
    ways = {"touching": None, "radius_mm": 1.0, "stepover_mm": 0.6}
    assert grow_front(beside, shapely.union(field, beside), **ways)[1] == []
    (entry,) = grow_front(shapely.MultiPolygon(), field, **ways)[1]
    assert shapely.covers(field, entry.disc())
    assert entry.radius_mm <= 0.4  # a bore of at most 1.4 D


def test_successive_passes_are_a_stepover_apart():
    field = shapely.MultiPolygon([shapely.box(-1, 0, 20, 10)])
    levels, _ = grow_front(
        shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)]), field, touching=None, radius_mm=1.0, stepover_mm=0.6
    )
    first, second = (level.pieces[0] for level in levels[:2])
    assert shapely.hausdorff_distance(first, second) == pytest.approx(0.6, abs=0.005)


def test_free_ground_lies_on_the_left_of_every_piece():
    """Metal on the right: climb milling with a right-hand cutter."""
    field = shapely.MultiPolygon([shapely.box(-1, 0, 20, 10)])
    levels, _ = grow_front(
        shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)]), field, touching=None, radius_mm=1.0, stepover_mm=0.6
    )
    start, *_, end = shapely.get_coordinates(levels[0].pieces[0])
    assert end[1] > start[1]  # metal lies to the east: northwards it is on the right
