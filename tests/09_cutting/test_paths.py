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
from stampwright.cutting.front import discs_of, grow_front
from stampwright.cutting.middle import fronts_of
from stampwright.job import read_job
from swept import assert_covered_and_unharmed, cuts_of, gouge_mm, uncovered_mm2


@pytest.fixture(scope="module")
def planned():
    return plan_of(clover())


def test_discs_along_the_paths_cover_what_is_claimed_and_cut_into_no_wall(planned):
    assert_covered_and_unharmed(*planned, CUTTERS)


tenths = st.integers(-140, 140), st.integers(-90, 90), st.integers(6, 40)
blobs = st.lists(st.tuples(*tenths), min_size=1, max_size=7)


@settings(max_examples=20, deadline=None)
@given(blobs)
def test_they_do_so_whatever_the_mark(discs):
    assert_covered_and_unharmed(
        *plan_of(shapely.union_all([disc(x / 10, y / 10, radius / 10) for x, y, radius in discs])), CUTTERS
    )


@pytest.mark.parametrize("gap_mm", [0.7942, 0.80, 0.9, 1.05, 1.06])
def test_a_gap_hardly_wider_than_the_cutter_is_cut_through(gap_mm):
    pair = [shapely.box(-6, -8, -gap_mm / 2, 8), shapely.box(gap_mm / 2, -8, 6, 8)]
    face, plan = plan_of(shapely.union_all(pair))
    assert plan.left_uncut_mm2 < 1e-3
    assert_covered_and_unharmed(face, plan, CUTTERS)


def test_a_gap_narrower_than_the_cutter_is_said_to_stay():
    pair = [shapely.box(-6, -8, -0.39, 8), shapely.box(0.39, -8, 6, 8)]
    _, plan = plan_of(shapely.union_all(pair))
    assert plan.left_uncut_mm2 == pytest.approx(0.78 * 16, rel=0.05)  # all of it but the ends, which are rounded


def test_roughing_leaves_the_stock_on_every_wall(planned):
    face, plan = planned
    for operation, _, path in cuts_of(plan):
        if operation.kind in {"rough", "rest_rough"}:
            assert gouge_mm(face, operation, path, CUTTERS) <= -operation.stock_to_leave_mm + 0.002


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


def in_order(steps, levels):
    """Lines of these levels: each finds taken what the lines of lower levels have swept."""
    levels = np.array(levels)
    return {"age": levels[steps.line], "before": (steps.places, levels[steps.place_line])}


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 1.9), st.floats(0, 2 * math.pi))
def test_a_pass_beside_one_before_has_the_arc_of_its_distance(ae, turn):
    """acos(1 − 2 ae/D) again, whichever way the passes run; the first of them is in metal all round."""
    passes = [shapely.LineString([(-5, 0), (5, 0)]), shapely.LineString([(-3, -ae), (3, -ae)])]
    lines = np.array([shapely.affinity.rotate(line, turn, origin=(0, 0), use_radians=True) for line in passes])
    steps = samples_along(lines, 2.0)
    arc, _ = rim_in_metal(steps, radius_mm=1.0, metal=disc(0, 0, 30), **in_order(steps, [0, 1]))
    first = steps.line == 0
    assert arc[first] == pytest.approx(np.full(first.sum(), math.pi))
    assert arc[~first] == pytest.approx(np.full((~first).sum(), math.acos(1 - ae)), abs=math.pi / 24 + 0.02)


def test_a_straight_side_cut_has_the_arc_of_its_stepover():
    """acos(1 − 2 ae/D): the engagement of a side cut (Dietrich, Tschätsch)."""
    line = shapely.LineString([(-5, 0), (5, 0)])
    metal = shapely.box(-20, -20, 20, -1 + 0.6)  # a cutter of radius 1 bites 0.6 mm deep, on its right
    steps = samples_along(np.array([line]), 2.0)
    arc, chip = rim_in_metal(steps, radius_mm=1.0, metal=metal, **in_order(steps, [0]))
    assert steps.lengths.sum() == pytest.approx(10)
    assert arc == pytest.approx(np.full(len(arc), math.acos(1 - 0.6)), abs=math.pi / 24)
    assert chip == pytest.approx(np.full(len(arc), math.sin(math.acos(1 - 0.6))), abs=0.06)


def test_a_cutter_in_solid_metal_cuts_all_round():
    steps = samples_along(np.array([shapely.LineString([(0, 0), (3, 4)])]), 2.0)
    arc, chip = rim_in_metal(steps, radius_mm=1.0, metal=disc(0, 0, 9), **in_order(steps, [0]))
    assert arc == pytest.approx(np.full(len(arc), math.pi))
    assert chip == pytest.approx(np.ones(len(arc)), abs=0.01)


def test_a_field_open_at_its_edge_needs_no_entry_and_a_closed_one_gets_a_helix():
    field = shapely.MultiPolygon([shapely.box(0, 0, 20, 10)])
    beside = shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)])
    ways = {"to_clear": None, "radius_mm": 1.0, "stepover_mm": 0.6}
    assert grow_front(beside, shapely.union(field, beside), **ways)[1] == []
    (entry,) = grow_front(shapely.MultiPolygon(), field, **ways)[1]
    assert shapely.covers(field, discs_of([entry])[0])
    assert entry.radius_mm <= 0.4  # a bore of at most 1.4 D


@pytest.mark.parametrize("beyond", [8, 30])
def test_a_chamber_behind_a_neck_narrower_than_a_step_is_laid_too(beyond):
    """The neck of 0.01 mm lies between the places where the front is looked at."""
    chamber = shapely.box(12, 0, 12 + beyond, 10)
    field = shapely.union_all([shapely.box(-1, 0, 10, 10), shapely.box(9, 4.995, 13, 5.005), chamber])
    levels, entries = grow_front(
        shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)]),
        shapely.MultiPolygon([field]),
        to_clear=None,
        radius_mm=1.0,
        stepover_mm=0.6,
    )
    assert entries == []
    paths = shapely.multilinestrings(np.concatenate([level.pieces for level in levels]))
    assert shapely.area(shapely.difference(chamber, shapely.buffer(paths, 0.61))) < 0.01


def test_successive_passes_are_a_stepover_apart():
    field = shapely.MultiPolygon([shapely.box(-1, 0, 20, 10)])
    levels, _ = grow_front(
        shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)]), field, to_clear=None, radius_mm=1.0, stepover_mm=0.6
    )
    first, second = (level.pieces[0] for level in levels[:2])
    assert shapely.hausdorff_distance(first, second) == pytest.approx(0.6, abs=0.005)


def test_free_ground_lies_on_the_left_of_every_piece():
    """Metal on the right: climb milling with a right-hand cutter."""
    field = shapely.MultiPolygon([shapely.box(-1, 0, 20, 10)])
    levels, _ = grow_front(
        shapely.MultiPolygon([shapely.box(-1, 0, 0, 10)]), field, to_clear=None, radius_mm=1.0, stepover_mm=0.6
    )
    start, *_, end = shapely.get_coordinates(levels[0].pieces[0])
    assert end[1] > start[1]  # metal lies to the east: northwards it is on the right


def test_a_pocket_too_small_to_spiral_into_is_told_and_cautioned():
    """A bore below 1.1 D is a plunge: common practice, no source."""
    _, plan = plan_of(shapely.difference(shapely.box(-10, -8, 10, 8), shapely.box(-0.55, -0.55, 0.55, 0.55)))
    assert "tight-entry" in {caution.code for caution in plan.cautions}
    assert any("too tight for a helix" in operation.why for operation in plan.operations)


def test_a_closed_gap_as_wide_as_the_cutter_is_plunged_into():
    _, plan = plan_of(shapely.difference(shapely.box(-10, -8, 10, 8), shapely.box(-3, -0.45, 3, 0.45)))
    slot = next(operation for operation in plan.operations if operation.kind == "slot")
    assert "1 pocket too tight for a helix" in slot.why


@pytest.mark.parametrize("radius_mm", [0.3975, 0.4, 0.42, 0.436])
def test_a_round_pocket_hardly_wider_than_the_cutter_is_plunged_into_and_cut(radius_mm):
    """It has no middle line: the cutter goes around in what play it has. From 1.1 D on it would be bored."""
    pocket = disc(0.3, 0.2, radius_mm)
    shape = shapely.union(shapely.difference(shapely.box(-10, -8, 10, 8), pocket), shapely.box(-10, 8.9, 10, 10))
    face, plan = plan_of(shape)
    slot = next(operation for operation in plan.operations if operation.kind == "slot")
    assert "1 pocket too tight for a helix" in slot.why
    assert_covered_and_unharmed(face, plan, CUTTERS)


@pytest.mark.parametrize("sides", [3, 4, 5, 7])
@pytest.mark.parametrize("less_mm", [0.0, 0.0002, 0.0005, 0.0008, 0.0016])
def test_a_pocket_that_the_cutter_just_fills_is_cut_where_its_ground_is_claimed(sides, less_mm):
    """Its largest disc is as wide as the cutter or by less than a micrometre narrower, which flattened arcs let in."""
    radius_mm = (0.397 - less_mm) / math.cos(math.pi / sides)
    turns = np.arange(sides) * 2 * math.pi / sides + 0.3
    pocket = shapely.Polygon(np.column_stack([0.3 + radius_mm * np.cos(turns), 0.2 + radius_mm * np.sin(turns)]))
    shape = shapely.union(shapely.difference(shapely.box(-10, -8, 10, 8), pocket), shapely.box(-10, 8.9, 10, 10))
    assert_covered_and_unharmed(*plan_of(shape), CUTTERS)


@pytest.mark.parametrize("angle_deg", [6, 12, 20, 35])
def test_a_path_goes_on_into_the_end_of_a_notch(angle_deg):
    half = 6 * math.tan(math.radians(angle_deg / 2))
    notch = shapely.Polygon([(0, 7), (-half, 13), (half, 13)]).buffer(0)
    shape = shapely.difference(shapely.box(-10, -8, 10, 13), shapely.affinity.translate(notch, 0, -7))
    face, plan = plan_of(shapely.affinity.translate(shape, 0, -2.5))
    wall = next(cut for cut in cuts_of(plan) if cut[0].kind == "wall")
    assert uncovered_mm2(*wall, CUTTERS) < 0.005
    assert_covered_and_unharmed(face, plan, CUTTERS)


def test_what_lies_ahead_of_a_way_into_a_notch_lies_deeper_whichever_end_the_way_begins_with():
    """A way is gone where ground right ahead of the cutter is still to be cleared, though its middle has been."""
    way = shapely.LineString([(0, 0), (0.05, 0)])
    ahead = fronts_of(np.array([way, way.reverse()]), shapely.MultiPolygon([shapely.box(-5, -1, 0, 1)]), 1.0)
    right, rim = shapely.get_parts(ahead[:1])
    assert shapely.equals(*ahead)
    assert shapely.get_coordinates(right) == pytest.approx(np.array([(1.005, 0), (1.05, 0)]))
    x, y = shapely.get_coordinates(rim).T
    assert np.all(np.hypot(x, y) > 1.005 - 1e-3)  # beyond the disc that begins
    assert np.all(np.hypot(x - 0.05, y) < 1)  # within the one that ends
    assert y.min() < -0.9
    assert y.max() > 0.9


@pytest.mark.parametrize(("about_mm", "radius_mm", "lacks_mm"), [(6, 0.9, 0.02), (6, 0.9, 0.08), (9.5, 2, 0.02)])
def test_what_stands_beside_the_way_into_a_narrowing_gap_is_cut_though_all_is_clear_ahead(
    about_mm, radius_mm, lacks_mm
):
    """A disc beside the wall of a round floor: right ahead of one mouth of their gap lies what the other one opens."""
    job = read_job({"cutters": ["flat-3.175"]})
    floor, beside_mm = disc(0, 0, about_mm), about_mm - radius_mm - CUTTERS["flat-3.175"].diameter_mm + lacks_mm
    ink = shapely.difference(shapely.box(-13, -11, 13, 11), floor) | disc(beside_mm, 0, radius_mm)
    face, plan = plan_of(ink, job)
    for cut in cuts_of(plan):
        assert uncovered_mm2(*cut, CUTTERS) < 0.004  # a strip two millimetres long and as wide as paths keep off
    assert_covered_and_unharmed(face, plan, CUTTERS)


def test_a_wide_pocket_is_entered_by_a_helix_and_needs_no_caution():
    _, plan = plan_of(shapely.difference(shapely.box(-12, -9, 12, 9), shapely.box(-6, -5, 6, 5)))
    assert "tight-entry" not in {caution.code for caution in plan.cautions}
    assert any("enters closed ground by 1 helix" in operation.why for operation in plan.operations)


def test_a_field_of_many_small_dots_is_laid_to_its_end():
    dots = shapely.union_all([disc(-6 + i, -4 + j, 0.3) for i in range(12) for j in range(8)])
    face, plan = plan_of(dots)
    assert len(face.ink.geoms) == 12 * 8
    assert_covered_and_unharmed(face, plan, CUTTERS)
