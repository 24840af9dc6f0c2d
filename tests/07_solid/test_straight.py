"""The relief with straight walls: closed for every mark, and its volume is what the handbook says of prisms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed
from relief_shapes import EXAMPLES, disc, face_of, laid, regular_polygon_area, ring, scattered
from stampwright.job import Head, ThreadChoice
from stampwright.plane import Closings
from stampwright.solid import build_solid, plan_hole

HEAD = Head(corner_radius_mm=0)
BRASS_KG_M3 = 8490.0


def _solid(area, *, head=HEAD, relief_mm=1.5, thread=None, **more):
    hole = plan_hole(thread, head=head, relief_mm=relief_mm)
    face = area if hasattr(area, "relief_mm") else face_of(area, head=head, relief_mm=relief_mm)
    return build_solid(face, head=head, hole=hole, density_kg_m3=BRASS_KG_M3, **more)


def test_a_box_on_a_block_weighs_what_two_boxes_weigh():
    solid = _solid(shapely.box(-5, -4, 5, 4))
    volume = 38 * 28 * 17.5 + 10 * 8 * 1.5
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-12)
    assert solid.mass_g == pytest.approx(volume * 8.49e-3, rel=1e-12)
    assert solid.surface_mm2 == pytest.approx(2 * 38 * 28 + 2 * (38 + 28) * 17.5 + 2 * (10 + 8) * 1.5, rel=1e-12)
    assert solid.bounds_mm == ((-19, -14, -19), (19, 14, 0))
    assert_closed(solid)


def test_a_disc_land_is_a_cylinder():
    plate = 38 * 28 * 17.5
    land = _solid(disc(5, quarter=256)).volume_mm3 - plate
    assert land == pytest.approx(regular_polygon_area(5, 1024) * 1.5, rel=1e-6)
    assert land == pytest.approx(math.pi * 25 * 1.5, rel=1e-5)


def test_the_hole_takes_away_its_cylinder_its_cone_and_its_countersink():
    """Cylinder and cone of diameter 5.105, frustum of 90 degrees from 1.05 x 6.35; chords take 0.1 % at most."""
    whole, drilled = _solid(disc(5)), _solid(disc(5), thread=ThreadChoice())
    hole = drilled.hole
    r, mouth = hole.drill_mm / 2, hole.countersink_mm / 2
    frustum = math.pi * (mouth - r) / 3 * (mouth**2 + mouth * r + r**2)
    volume = math.pi * r**2 * (hole.drilled_mm - (mouth - r) + hole.point_mm / 3) + frustum
    assert whole.volume_mm3 - drilled.volume_mm3 == pytest.approx(volume, rel=2e-3)
    assert_closed(drilled)


def test_the_drill_point_has_118_degrees_and_stays_under_the_floor():
    solid = _solid(disc(5), thread=ThreadChoice())
    inside = solid.vertices[np.hypot(solid.vertices[:, 0], solid.vertices[:, 1]) < 3]
    tip = inside[(inside[:, 0] == 0) & (inside[:, 1] == 0) & (inside[:, 2] < -1.5)]
    shoulder = -19 + solid.hole.drilled_mm
    half_deg = math.degrees(math.atan2(solid.hole.drill_mm / 2, tip[0, 2] - shoulder))
    assert half_deg == pytest.approx(59, abs=1e-6)
    assert -1.5 - tip[0, 2] == pytest.approx(solid.hole.wall_mm)


TOUCHING = {
    "corner to corner": shapely.union(shapely.box(0, 0, 4, 4), shapely.box(4, 4, 8, 8)),
    "edge to edge": shapely.union_all([shapely.box(0, 0, 4, 4), shapely.box(4, 1, 8, 3)]),
    "a counter that meets its own wall": shapely.difference(
        shapely.box(-5, -5, 5, 5), shapely.Polygon([(-5, 0), (0, -3), (3, 0), (0, 3)])
    ),
    "two counters that meet": shapely.difference(
        shapely.box(-6, -6, 6, 6), shapely.union(shapely.box(-4, -4, 0, 0), shapely.box(0, 0, 4, 4))
    ),
    "islands in counters in islands": shapely.union_all([ring(10, 8), ring(6, 4), disc(2)]),
    "four wedges in one point": shapely.union_all(
        [shapely.Polygon([(0, 0), (8, k), (8, k + 1)]) for k in (-3, -1, 1, 3)]
    ),
}


@pytest.mark.parametrize("area", TOUCHING.values(), ids=TOUCHING)
def test_lands_that_touch_or_nest_stay_closed(area):
    solid = _solid(area)
    assert_closed(solid)
    assert solid.volume_mm3 - 38 * 28 * 17.5 == pytest.approx(area.area * 1.5, rel=5e-5)


@pytest.mark.parametrize("head", [Head(), Head("round", 40, 40, 19, 0)], ids=["rounded", "round"])
@pytest.mark.parametrize("area", [ring(7, 5), scattered(3)], ids=["ring", "scattered"])
def test_every_head_closes_around_its_hole(head, area):
    assert_closed(_solid(laid(area, head=head, turn_deg=11), head=head, thread=ThreadChoice()))


OVER_THE_EDGE = {
    "covers a side": shapely.box(-19, -3, 0, 3),
    "covers a corner": shapely.box(10, 6, 19, 14),
    "covers all": shapely.box(-19, -14, 19, 14),
    "touches a side with its tip": shapely.Polygon([(19, 0), (10, 3), (10, -3)]),
    "crosses from side to side": shapely.box(-19, -2, 19, 2),
}


@pytest.mark.parametrize("area", OVER_THE_EDGE.values(), ids=OVER_THE_EDGE)
def test_ink_up_to_the_edge_of_the_head_stays_closed(area):
    solid = _solid(area)
    assert_closed(solid)
    assert solid.volume_mm3 == pytest.approx(38 * 28 * 17.5 + area.area * 1.5, rel=1e-6)


@given(seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 0.0, 45.0, 12.3]))
@example(seed=3251, turn_deg=12.3)  # scaled to the head, edges that met in a point cross by a rounding
@settings(max_examples=EXAMPLES)
def test_any_heap_of_boxes_wedges_and_discs_makes_a_closed_solid(seed, turn_deg):
    area = scattered(seed, turn_deg=turn_deg)
    if area.area < 0.1:
        return
    face = laid(area)
    solid = _solid(face, relief_mm=face.relief_mm, head=Head(), thread=ThreadChoice())
    assert_closed(solid)


def test_what_cutters_leave_joins_the_lands():
    """A square counter of side 4 and a cutter of radius 0.5: each corner keeps (1 - pi/4) r² of metal."""
    square = shapely.difference(shapely.box(-5, -5, 5, 5), shapely.box(-2, -2, 2, 2))
    closed = shapely.buffer(shapely.buffer(square, 0.5, quad_segs=64), -0.5, quad_segs=64)
    left = shapely.difference(closed, square)
    drawn, cut = _solid(square), _solid(square, left_uncut=shapely.MultiPolygon(left))
    assert (drawn.kind, cut.kind) == ("as_drawn", "as_cut")
    assert cut.volume_mm3 - drawn.volume_mm3 == pytest.approx((4 - math.pi) * 0.25 * 1.5, rel=1e-3)
    assert_closed(cut)


def test_what_a_cutter_leaves_between_the_chords_of_a_curve_is_no_ground():
    """In a disc of 256 chords a cutter of radius 0.4 stays r(1/cos(π/256) − 1) = 0.00003 mm off each corner."""
    face = face_of(shapely.difference(shapely.box(-8, -8, 8, 8), disc(6)), head=HEAD)
    left = shapely.difference(Closings(face.ink).closed(0.4), face.ink)
    assert len(shapely.get_parts(left)) > 200
    drawn, cut = _solid(face), _solid(face, left_uncut=left)
    assert np.array_equal(cut.vertices, drawn.vertices)
    assert np.array_equal(cut.triangles, drawn.triangles)


def test_a_face_without_ink_is_a_plain_block():
    solid = _solid(face_of(shapely.MultiPolygon(), head=HEAD))
    assert solid.volume_mm3 == pytest.approx(38 * 28 * 17.5)
    assert_closed(solid)
