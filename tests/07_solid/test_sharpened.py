"""What a pointed cutter leaves in corners it sharpened: its cone stands there as a foot, checked by plane geometry."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed
from relief_shapes import EXAMPLES, face_of, scattered
from stampwright.catalogue import CUTTERS
from stampwright.job import Head, ThreadChoice
from stampwright.plane import Closings, polygons_of
from stampwright.solid import Sharpened, build_solid, plan_hole

HEAD = Head(width_mm=60, height_mm=50)
RELIEF_MM = 1.5
FLAT_MM = 0.794  # radius of the flat cutter that went before
COUNTER = shapely.difference(shapely.box(-6, -6, 6, 6), shapely.box(-4, -4, 4, 4))


def _as_cut(area, cutter, *, foot=True):
    """The solid as a flat cutter and then a pointed one leave it; without the foot, as if the cone were a cylinder."""
    face = face_of(area, head=HEAD, relief_mm=RELIEF_MM)
    closings = Closings(face.ink)
    left, before = (
        polygons_of(shapely.difference(closings.closed(radius_mm), face.ink))
        for radius_mm in (cutter.radius_at_mm(RELIEF_MM), FLAT_MM)
    )
    sharpened = Sharpened(polygons_of(shapely.difference(before, left)), cutter) if foot else None
    hole = plan_hole(ThreadChoice(), head=HEAD, relief_mm=RELIEF_MM)
    return build_solid(face, head=HEAD, hole=hole, density_kg_m3=8490, left_uncut=left, sharpened=sharpened)


def _heights(solid, places):
    """Height of the front at places that lie within its triangles."""
    corners = solid.vertices[solid.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    front, normals = corners[normals[:, 2] > 1e-12], normals[normals[:, 2] > 1e-12]
    found, triangle = shapely.STRtree(shapely.polygons(front[:, :, :2])).query(shapely.points(places), "intersects")
    first = np.unique(found, return_index=True)[1]
    at, offset = triangle[first], places[found[first]] - front[triangle[first], 0, :2]
    return front[at, 0, 2] - np.sum(normals[at, :2] * offset, axis=1) / normals[at, 2]


@pytest.mark.parametrize("key", ["pointed-20", "pointed-30"])
def test_the_foot_in_a_square_corner_is_the_cone_of_the_cutter(key):
    """At the corner (4, 4) the axis comes to (4 − r, 4 − r), r the radius of the cone at the face.

    There z = −relief + (distance to the places of the axis − tip radius) / tan; where the flat cutter was, −relief;
    and what the cone leaves of the corner stands at 0.
    """
    cutter = CUTTERS[key]
    tip, face_mm = cutter.tip_mm / 2, cutter.radius_at_mm(RELIEF_MM)
    places = np.random.default_rng(1).uniform(4 - 1.1 * FLAT_MM, 3.995, (4000, 2))
    from_axis = np.hypot(*np.maximum(places - (4 - face_mm), 0).T)
    past_flat = np.hypot(*np.maximum(places - (4 - FLAT_MM), 0).T) - FLAT_MM
    cone = -RELIEF_MM + np.maximum(from_axis - tip, 0) / math.tan(math.radians(cutter.half_angle_deg))
    expected = np.where(past_flat < 0, -RELIEF_MM, np.minimum(cone, 0))
    clear = (np.abs(past_flat) > 0.02) & (np.abs(from_axis - face_mm) > 0.01)
    errors = (_heights(_as_cut(COUNTER, cutter), places) - expected)[clear]
    assert np.count_nonzero(clear & (expected > -RELIEF_MM) & (expected < 0)) > 100
    assert np.abs(errors).max() * math.sin(math.radians(cutter.half_angle_deg)) < 0.003


def test_at_the_height_of_the_face_a_foot_changes_nothing():
    cutter = CUTTERS["pointed-20"]
    tops = []
    for foot in (True, False):
        corners = (solid := _as_cut(COUNTER, cutter, foot=foot)).vertices[solid.triangles]
        tops.append(shapely.union_all(shapely.polygons(corners[np.all(corners[:, :, 2] == 0, axis=1)][:, :, :2])))
    assert shapely.symmetric_difference(*tops).area < 0.01
    assert shapely.area(tops[0]) == pytest.approx(shapely.area(tops[1]), rel=2e-4)


def test_a_foot_only_adds_metal():
    cutter = CUTTERS["pointed-30"]
    with_foot, without = (_as_cut(COUNTER, cutter, foot=foot).volume_mm3 for foot in (True, False))
    assert 0.1 < with_foot - without < 4 * FLAT_MM**2 * RELIEF_MM


def test_a_cutter_that_opened_nothing_leaves_no_foot():
    face = face_of(COUNTER, head=HEAD)
    nothing = Sharpened(shapely.MultiPolygon(), CUTTERS["pointed-20"])
    plain, same = (
        build_solid(face, head=HEAD, hole=None, density_kg_m3=8490, left_uncut=shapely.MultiPolygon(), sharpened=one)
        for one in (None, nothing)
    )
    assert np.array_equal(plain.vertices, same.vertices)


@given(
    seed=st.integers(0, 10**6),
    turn_deg=st.sampled_from([0.0, 45.0, 12.3]),
    key=st.sampled_from(["pointed-20", "pointed-30"]),
)
@settings(max_examples=EXAMPLES // 4)
def test_any_heap_of_boxes_wedges_and_discs_stays_closed_as_cut(seed, turn_deg, key):
    area = shapely.affinity.rotate(scattered(seed), turn_deg, origin=(0, 0))
    assert_closed(_as_cut(area, CUTTERS[key]))
