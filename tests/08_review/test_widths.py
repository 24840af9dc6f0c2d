"""Widths of lands and gaps as the review tells them, against what was drawn."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from faces import found, job_with, reviewed
from stampwright.base.tolerances import WIDTH_MM
from stampwright.job import Limits

ANGLES = st.floats(0, 360)
PLACES = st.tuples(st.floats(-12, 12), st.floats(-12, 12))
DISC = shapely.Point(0, 0).buffer(4, quad_segs=48)


def placed(shape, turn=0.0, at=(0.0, 0.0)):
    return translate(rotate(shape, turn, origin=(0, 0)), *at)


def wedge(angle_deg, length=12.0):
    half = math.radians(angle_deg) / 2
    side = length * math.tan(half)
    return shapely.Polygon([(0, 0), (length, -side), (length, side)])


@settings(max_examples=25)
@given(ANGLES, PLACES, st.floats(0.21, 0.49))
def test_a_thin_bar_is_one_stretch_with_its_width_and_length(turn, at, width):
    review = reviewed(placed(shapely.box(-8, -width / 2, 8, width / 2), turn, at))
    (thin,) = found(review, "thin-land")
    assert thin.measured_mm == pytest.approx(width, abs=WIDTH_MM)
    assert thin.length_mm == pytest.approx(16 - width, abs=WIDTH_MM)  # to the centres of the last full discs
    assert review.land_min_mm == pytest.approx(width, abs=WIDTH_MM)
    assert thin.at_mm == pytest.approx(at, abs=0.2)


@settings(max_examples=15)
@given(PLACES, st.floats(2, 8), st.floats(0.25, 0.45))
def test_a_thin_ring_is_as_wide_as_the_difference_of_its_radii(at, inner, width):
    circle = shapely.Point(*at)
    ring = circle.buffer(inner + width, quad_segs=96) - circle.buffer(inner, quad_segs=96)
    (thin,) = found(reviewed(ring), "thin-land")
    assert thin.measured_mm == pytest.approx(width, abs=WIDTH_MM)
    assert thin.length_mm == pytest.approx(2 * math.pi * (inner + width / 2), rel=0.01)


@settings(max_examples=15)
@given(ANGLES, PLACES, st.floats(0.1, 0.49))
def test_a_gap_is_as_wide_as_it_is_drawn(turn, at, gap):
    bars = shapely.box(-7, gap / 2, 7, 3) | shapely.box(-7, -3, 7, -gap / 2)
    review = reviewed(placed(bars, turn, at))
    (narrow,) = found(review, "narrow-gap")
    assert narrow.measured_mm == pytest.approx(gap, abs=WIDTH_MM)
    assert narrow.limit_mm == 0.5
    assert review.gap_min_mm == pytest.approx(gap, abs=WIDTH_MM)


def test_a_lone_disc_is_as_wide_as_its_diameter_and_leaves_no_gap():
    review = reviewed(DISC)
    assert review.land_min_mm == pytest.approx(8.0, abs=WIDTH_MM)
    assert review.gap_min_mm is None


def test_a_square_is_as_wide_as_its_side():
    assert reviewed(placed(shapely.box(-3, -3, 3, 3), 31)).land_min_mm == pytest.approx(6.0, abs=WIDTH_MM)


@pytest.mark.parametrize("angle", [5, 10, 20, 30, 45, 59])
def test_an_acute_corner_is_a_tip_with_its_angle_and_no_thin_land(angle):
    review = reviewed(placed(wedge(angle), 12.0))
    tip = next(f for f in found(review, "sharp-tip") if abs(f.at_mm[0]) + abs(f.at_mm[1]) < 0.01)
    assert tip.angle_deg == pytest.approx(angle, abs=0.05)
    assert tip.length_mm == pytest.approx(0.25 / math.sin(math.radians(angle / 2)), rel=1e-2)  # disc of 0.5 mm
    assert not found(review, "thin-land")


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 12])
def test_corners_of_60_degrees_and_more_are_no_finding(sides):
    ring = [
        (6 * math.cos(2 * math.pi * i / sides + 0.3), 6 * math.sin(2 * math.pi * i / sides + 0.3)) for i in range(sides)
    ]
    review = reviewed(shapely.Polygon(ring))
    assert not found(review, "sharp-tip") + found(review, "thin-land") + found(review, "slender-land")


def test_a_neck_between_two_discs_is_one_stretch_in_its_place():
    neck = DISC | translate(DISC, 10) | shapely.box(0, -0.2, 10, 0.2)
    (thin,) = found(reviewed(translate(neck, -5)), "thin-land")
    assert thin.measured_mm == pytest.approx(0.4, abs=WIDTH_MM)
    assert thin.length_mm == pytest.approx(2.2, abs=0.2)  # 10 less two radii, and a little into each disc
    assert abs(thin.at_mm[0]) < 1.2


def test_a_width_at_its_limit_is_no_finding():
    review = reviewed(placed(shapely.box(-8, -0.25, 8, 0.25), 17.3))
    assert not found(review, "thin-land")


def test_a_limit_of_the_job_decides_what_is_thin():
    bar = shapely.box(-8, -0.35, 8, 0.35)
    assert not found(reviewed(bar), "thin-land")
    (thin,) = found(reviewed(bar, job_with(limits=Limits(land_mm=0.8))), "thin-land")
    assert thin.limit_mm == 0.8


def test_two_necks_are_two_stretches():
    beads = shapely.union_all([translate(DISC, 10 * i - 10) for i in range(3)] + [shapely.box(-10, -0.2, 10, 0.2)])
    assert len(found(reviewed(beads), "thin-land")) == 2


def test_the_histogram_holds_the_length_of_lands_by_width():
    bars = shapely.union_all([shapely.box(-10, 4 * i, 10, 4 * i + width) for i, width in enumerate([0.45, 1.1, 1.1])])
    by_start = {b.from_mm: b.length_mm for b in reviewed(bars).land_widths}
    assert by_start[0.4] == pytest.approx(20 - 0.45, abs=0.01)
    assert by_start[1.0] == pytest.approx(2 * (20 - 1.1), abs=0.01)
    assert sum(by_start.values()) == pytest.approx(by_start[0.4] + by_start[1.0])


def test_a_leaf_that_tapers_to_both_ends_tells_its_mean():
    """Two arcs of 4 mm, 0.2 mm apart in the middle, where their walls face each other within 10° on each side.

    That is over 8 sin 10° = 1.389 mm, and the mean of 2 (sqrt(16 − x²) − 3.9) over it is 0.160 mm; by hand.
    """
    disc = shapely.Point(0, 0).buffer(4, quad_segs=400)
    (thin,) = found(reviewed(translate(disc, 0, 3.9) & translate(disc, 0, -3.9)), "thin-land")
    assert thin.measured_mm == pytest.approx(0.160, abs=0.003)
    assert thin.length_mm == pytest.approx(1.389, abs=0.01)
