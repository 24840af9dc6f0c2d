"""The medial axis against geometry that needs none: distances, areas, closed forms, a raster."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import ndimage
from shapely.affinity import rotate, scale, translate

from stampwright.base import InternalFault, TooComplex
from stampwright.base.tolerances import GRID_MM, WIDTH_MM
from stampwright.plane import along, medial_axis, on_grid, pieces_below, strip_areas

ANGLES = st.floats(0, 360)
PLACES = st.tuples(st.floats(-15, 15), st.floats(-15, 15))


def star(*, points, inner, turn_deg=0.0):
    """A star with `points` tips 8 mm out and notches `inner` mm out."""
    angle = np.pi * np.arange(2 * points) / points + math.radians(turn_deg)
    radius = np.where(np.arange(2 * points) % 2, inner, 8.0)
    return shapely.Polygon(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))


def ring(outer, inner):
    circle = shapely.Point(0, 0)
    return circle.buffer(outer, quad_segs=48) - circle.buffer(inner, quad_segs=48)


def placed(shape, turn, at):
    return on_grid(translate(rotate(shape, turn, origin=(0, 0)), *at))


MARKS = {
    "a bar": shapely.box(-8, -0.2, 8, 0.2),
    "a star": star(points=7, inner=3.1),
    "a ring with an island": ring(8, 6.5) | star(points=5, inner=2),
    "three combs": shapely.union_all(
        [shapely.box(2 * i, 0, 2 * i + 1.2, 7) for i in range(5)] + [shapely.box(0, 6, 9, 7)]
    ),
    "two tips that face each other": star(points=3, inner=0.9)
    | translate(star(points=3, inner=0.9, turn_deg=60), 16.3),
}


@pytest.fixture(params=MARKS.values(), ids=MARKS)
def ink(request):
    return placed(request.param, 23.7, (1.5, -0.8))


def test_every_radius_is_the_distance_to_the_outline(ink):
    axis = medial_axis(ink)
    used = np.unique([axis.low, axis.high])
    away = shapely.distance(shapely.points(axis.vertices[used]), ink.boundary)  # GEOS is the judge
    assert np.abs(away - axis.radius_mm[used]).max() < 1e-6


def test_between_the_ends_of_a_row_a_disc_touches_the_outline_at_both_feet_too(ink):
    axis = medial_axis(ink)
    row = np.repeat(np.flatnonzero(axis.low_mm > 0.01), 3)
    share = np.tile((0.25, 0.5, 0.8), len(row) // 3)
    points = along(axis, row, share)
    feet = axis.feet_low[row] + share[:, None, None] * (axis.feet_high[row] - axis.feet_low[row])
    away = shapely.distance(shapely.points(points.at), ink.boundary)  # GEOS is the judge
    assert np.abs(away - points.radius_mm).max() < 1e-6
    assert shapely.distance(shapely.points(feet), ink.boundary).max() < 1e-6
    assert np.abs(np.hypot(*np.moveaxis(feet - points.at[:, None], -1, 0)) - points.radius_mm[:, None]).max() < 1e-5


def test_every_row_lies_on_its_side_and_rises(ink):
    axis = medial_axis(ink)
    middle = (axis.vertices[axis.low] + axis.vertices[axis.high]) / 2
    clear = axis.low_mm > 0.01
    assert (shapely.contains_xy(ink, middle[clear]) == axis.in_ink[clear]).all()
    assert (axis.low_mm <= axis.high_mm).all()


def test_the_ground_owned_by_the_rows_is_the_ink(ink):
    axis = medial_axis(ink)
    everything = pieces_below(axis, 1e6, of=axis.in_ink)
    assert strip_areas(axis, everything).sum() == pytest.approx(ink.area, rel=1e-9)


def test_the_parts_are_the_lands_and_the_counters(ink):
    axis = medial_axis(ink)
    assert len(set(axis.part[axis.in_ink])) == len(ink.geoms)
    enclosed = set(axis.part[~axis.in_ink]) - set(np.flatnonzero(axis.part_open))
    grounds = shapely.get_parts(shapely.difference(ink.envelope.buffer(1), ink))
    assert len(enclosed) == len(grounds) - 1  # all but the open floor


@settings(max_examples=40)
@given(ANGLES, PLACES, st.floats(0.1, 5))
def test_a_bar_is_as_wide_as_it_is_drawn_wherever_it_lies(turn, at, width):
    axis = medial_axis(placed(shapely.box(-9, -width / 2, 9, width / 2), turn, at))
    facing = axis.in_ink & (axis.separation_low_deg > 179)
    assert np.abs(2 * axis.low_mm[facing] - width).max() < 2 * GRID_MM


@settings(max_examples=25)
@given(PLACES, st.floats(0.2, 3), st.floats(1, 6))
def test_a_ring_is_as_wide_as_the_difference_of_its_radii(at, width, inner):
    axis = medial_axis(placed(ring(inner + width, inner), 0, at))
    facing = axis.in_ink & (axis.separation_low_deg > 170)
    chord = (inner + width) * (1 - math.cos(math.pi / 192))  # sagitta of the drawn polygon, all of it inwards
    assert np.abs(2 * axis.low_mm[facing].min() - width) < max(WIDTH_MM, 2 * chord)


@settings(max_examples=30)
@given(ANGLES, PLACES, st.floats(0.05, 2))
def test_the_gap_between_two_discs_is_their_distance(turn, at, gap):
    disc = shapely.Point(0, 0).buffer(3, quad_segs=32)
    ink = placed(disc | translate(disc, 6 + gap), turn, at)
    axis = medial_axis(ink)
    least = 2 * axis.low_mm[~axis.in_ink & (axis.separation_low_deg > 150)].min()
    assert least == pytest.approx(shapely.distance(*ink.geoms), abs=1e-6)


@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1))
def test_the_axis_of_any_drawing_is_sound(seed):
    random = np.random.default_rng(seed)
    strokes = [shapely.LineString(random.uniform(-9, 9, (4, 2))).buffer(random.uniform(0.05, 1)) for _ in range(3)]
    ink = on_grid(shapely.union_all(strokes))
    assume(len(shapely.get_coordinates(ink)) > 3)
    axis = medial_axis(ink)
    used = np.unique([axis.low, axis.high])
    away = shapely.distance(shapely.points(axis.vertices[used]), ink.boundary)
    assert np.abs(away - axis.radius_mm[used]).max() < 1e-6
    everything = pieces_below(axis, 1e6, of=axis.in_ink)
    assert strip_areas(axis, everything).sum() == pytest.approx(ink.area, rel=1e-7)


@pytest.mark.parametrize("name", MARKS)
def test_radii_agree_with_a_raster_distance_transform(name):
    step = 0.02
    ink = placed(MARKS[name], 11.0, (0, 0))
    x0, y0, x1, y1 = ink.buffer(0.5).bounds
    xs, ys = np.arange(x0, x1, step), np.arange(y0, y1, step)
    raster = ndimage.distance_transform_edt(shapely.contains_xy(ink, *np.meshgrid(xs, ys)))  # scipy is the judge
    axis = medial_axis(ink)
    row = axis.in_ink & (axis.separation_low_deg > 150)
    at = axis.vertices[axis.low[row]]
    column, line = np.rint((at[:, 0] - x0) / step).astype(int), np.rint((at[:, 1] - y0) / step).astype(int)
    assert np.abs(ndimage.maximum_filter(raster, 3)[line, column] * step - axis.low_mm[row]).max() <= 2 * step


def test_scaling_the_ink_scales_the_axis(ink):
    twice = medial_axis(on_grid(scale(ink, 2, 2, origin=(0, 0))))
    assert sorted(twice.radius_mm) == pytest.approx(sorted(2 * medial_axis(ink).radius_mm), abs=1e-9)


def test_no_ink_has_no_axis():
    assert len(medial_axis(shapely.MultiPolygon()).low) == 0


def test_ink_off_the_grid_is_our_own_fault():
    with pytest.raises(InternalFault, match="off-grid"):
        medial_axis(shapely.MultiPolygon([shapely.box(0, 0, 1 / 3, 1)]))


def test_outlines_that_cross_are_an_internal_error_never_a_report():
    crossing = shapely.MultiPolygon([shapely.box(0, 0, 4, 4), shapely.box(3, 1, 8, 2)])
    with pytest.raises(InternalFault):
        medial_axis(crossing)


def test_a_mark_as_large_as_a_hall_is_refused():
    with pytest.raises(TooComplex, match="too-large"):
        medial_axis(on_grid(shapely.box(0, 0, 50_000, 1)))
