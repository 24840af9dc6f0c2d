"""Closed forms: what a bar, a ring, a cross, a grating or a wedge has to become, by plain arithmetic."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from grown import bar, bars, grown, ink_of, least_gap, least_land, ring, size
from growth_judge import judged
from stampwright.base.tolerances import GRID_MM

LINE = bar(-5, -0.15, 5, 0.15)
CHORD_MM = 0.005


@settings(max_examples=30)
@given(st.floats(0, 360), st.floats(0.2, 0.49))
def test_a_thin_bar_comes_to_the_least_width_and_keeps_its_length(turn, width):
    made = ink_of(rotate(bar(-5, -width / 2, 5, width / 2), turn, origin=(0, 0)))
    assert size(rotate(made, -turn, origin=(0, 0))) == pytest.approx((10, 0.5), abs=0.002)


def test_a_bar_that_is_wide_enough_stays_as_it_is():
    assert ink_of(bar(0, 0, 10, 0.5)).equals(bar(0, 0, 10, 0.5))


def test_a_ring_grows_by_the_same_inwards_and_outwards():
    made = ink_of(ring(3, 2.7))
    assert size(made) == pytest.approx((6.2, 6.2), abs=0.001)
    assert made.area == pytest.approx(math.pi * (3.1**2 - 2.6**2), rel=5e-4)  # less what chords cut off


def test_a_gap_is_left_its_width_and_the_free_sides_take_the_rest():
    made = ink_of(bars(2, width=0.3, gap=0.6))
    assert size(made)[1] == pytest.approx(0.5 + 0.5 + 0.5, abs=0.001)  # two lands and the gap, each at its limit
    assert least_gap(made) == pytest.approx(0.5, abs=0.001)
    assert made.area == pytest.approx(2 * 10 * 0.5, abs=0.01)


def test_inside_a_grating_each_bar_gets_what_its_two_gaps_can_spare():
    made = ink_of(bars(6, width=0.3, gap=0.55))
    outer, inner = 0.5, 0.3 + 2 * 0.025
    assert sorted(land.area for land in made.geoms) == pytest.approx([10 * inner] * 4 + [10 * outer] * 2, abs=0.01)
    assert least_gap(made) == pytest.approx(0.5, abs=0.001)


def test_gaps_under_their_limit_are_frozen():
    made = ink_of(bars(6, width=0.3, gap=0.4))
    assert least_gap(made) == pytest.approx(0.4, abs=0.001)
    assert sorted(land.area for land in made.geoms) == pytest.approx([10 * 0.3] * 4 + [10 * 0.5] * 2, abs=0.01)


CLEAN = {  # shape → area after, by arithmetic
    "a cross": (LINE | bar(-0.15, -5, 0.15, 5), 2 * 10 * 0.5 - 0.5**2),
    "a tee": (LINE | bar(-0.15, -5, 0.15, 0), 10 * 0.5 + (5 - 0.25) * 0.5),
    "an elbow": (bar(0, 0, 5, 0.3) | bar(0, 0, 0.3, 5), 2 * 5.1 * 0.5 - 0.5**2),
    "a frame": (bar(-5, -5, 5, 5) - bar(-4.7, -4.7, 4.7, 4.7), 10.2**2 - 9.2**2),
    "a slanted bar": (shapely.Polygon([(0, 0), (10, 0), (10.15, 0.3), (0.15, 0.3)]), 10 * 0.5),
    "a bar out of a body": (bar(-5, -0.15, 0, 0.15) | bar(0, -2, 4, 2), 16 + 5 * 0.5),
}


@pytest.mark.parametrize(("shape", "area"), CLEAN.values(), ids=CLEAN)
def test_joints_and_ends_are_clean(shape, area):
    made = ink_of(shape)
    assert made.area == pytest.approx(area, abs=0.01)
    assert least_land(made) == pytest.approx(0.5, abs=0.002)


@pytest.mark.parametrize("turn", [0, 33])
def test_three_bars_that_meet_keep_their_ends(turn):
    star = shapely.union_all([rotate(bar(-0.15, 0, 0.15, 5), turn + a, origin=(0, 0)) for a in (0, 120, 240)])
    made = ink_of(star)
    assert least_land(made) == pytest.approx(0.5, abs=0.002)
    assert shapely.hausdorff_distance(made.convex_hull, star.convex_hull) < 0.11  # a tenth to the side, none ahead


def test_a_round_cap_keeps_its_length():
    drawn = shapely.LineString([(-5, 0), (5, 0)]).buffer(0.15, quad_segs=24)
    assert size(ink_of(drawn)) == pytest.approx((10.3, 0.5), abs=0.02)


@pytest.mark.parametrize("quad_segs", [5, 7])
@pytest.mark.parametrize("turn", [0, 31.7])
def test_a_round_cap_comes_out_without_a_notch(quad_segs, turn):
    drawn = shapely.LineString([(-5, 0), (5, 0)]).buffer(0.15, quad_segs=quad_segs)
    made = ink_of(rotate(drawn, turn, origin=(0, 0)), land_mm=0.8)
    assert made.convex_hull.area - made.area < 0.03 * 0.15**2  # a stroke is convex, and so it stays
    assert len(made.geoms[0].exterior.coords) <= len(drawn.exterior.coords)


@pytest.mark.parametrize("half", [0.2, 0.4])
def test_a_needle_keeps_its_point_and_its_base(half):
    made = ink_of(shapely.Polygon([(0, 0), (10, -half), (10, half)]))
    x0, _, x1, _ = made.bounds
    assert (x0, x1) == pytest.approx((0, 10), abs=0.02)
    assert size(made)[1] == pytest.approx(max(2 * half, 0.5), abs=0.02)


@pytest.mark.parametrize("turn", [0, 57])
@pytest.mark.parametrize("half", [0.1, 0.16, 0.25])
@pytest.mark.parametrize("slant", [0, 0.03])
def test_the_blunt_end_of_a_taper_stays_as_straight_as_drawn(half, slant, turn):
    """Of a third of the least width and more it comes to the least width, as a bar does."""
    face = shapely.LineString([(-slant, -half), (slant, half)])
    drawn = shapely.Polygon([*face.coords, (6, 0.75), (6, -0.75)])
    ink = rotate(ink_of(rotate(drawn, turn, origin=(0, 0)), land_mm=0.6), -turn, origin=(0, 0))
    assert shapely.hausdorff_distance(face, shapely.intersection(ink.boundary, face.buffer(0.002))) < 0.005
    assert ink.bounds[0] > -slant - 0.02
    assert shapely.intersection(ink, shapely.LineString([(0.2, -1), (0.2, 1)])).length > 0.6 - 0.015


@pytest.mark.parametrize("turn", [0, 57])
def test_a_needle_tapers_to_its_point(turn):
    """Each side gains a quarter of the way from the point at most, up to the least width."""
    needle = shapely.Polygon([(0, 0), (10, -0.2), (10, 0.2)])
    made = rotate(ink_of(rotate(needle, turn, origin=(0, 0))), -turn, origin=(0, 0))
    for x in (0.2, 0.4, 0.6):
        across = made.intersection(bar(x, -1, x + 1e-3, 1)).bounds
        assert 0.04 * x < across[3] - across[1] <= 0.04 * x + 2 * 0.25 * (x + 0.01)


def test_a_blunt_wedge_is_no_hairline():
    wedge = shapely.Polygon([(0, 0), (4, -2), (4, 2)])  # 53° at its point
    assert ink_of(wedge).area == pytest.approx(wedge.area, rel=1e-4)


@pytest.mark.parametrize("dot", [bar(0, 0, 0.3, 0.3), bar(0, 0, 0.4, 0.3), shapely.Point(0, 0).buffer(0.15, 32)])
def test_a_dot_grows_all_round(dot):
    assert size(ink_of(dot)) == pytest.approx((0.5, 0.5), abs=0.01)


def test_lands_that_touch_in_a_point_are_parted_and_left_apart():
    made = ink_of(bar(0, 0, 4, 0.3) | bar(4, 0.3, 8, 0.6))
    assert len(made.geoms) == 2
    assert made.area > 1.5 * 8 * 0.3


@settings(max_examples=12)
@given(st.floats(30, 90), st.floats(-4, 4))
def test_crossing_bars_stay_bars_at_any_angle(angle, shift):
    shape = LINE | translate(rotate(LINE, angle, origin=(0, 0)), shift)
    told = judged(*grown(shape), land_mm=0.5, gap_mm=0.5)
    assert told.faults == ()
    assert told.thin_after_mm < 0.02 * told.thin_before_mm


def test_moves_change_gently_along_the_outline():
    beside = bar(-5, -0.15, 5, 0.15) | bar(-1, 0.45, 1, 3)  # a frozen gap along a fifth of the bar
    made = ink_of(beside)
    below = shapely.get_coordinates(made.geoms[0].exterior)
    below = below[below[:, 1] < 0]
    below = below[np.argsort(below[:, 0])][1:-1]
    run, rise = np.abs(np.diff(below, axis=0)).T
    assert (rise[run > 0.01] <= 0.25 * run[run > 0.01] + 1.25 * GRID_MM).all()  # half a step at either end, and along
