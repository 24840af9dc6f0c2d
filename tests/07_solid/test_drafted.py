"""Sloping walls, z(p) = −min(relief, distance / tan draft): by handbook solids, by points, by another library."""

import itertools
import math

import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed, manifold_of
from relief_shapes import EXAMPLES, disc, face_of, ring, scattered
from stampwright.base import DoesNotFit, JobError
from stampwright.job import Head, ThreadChoice
from stampwright.solid import build_solid, plan_hole

HEAD = Head(width_mm=60, height_mm=50, corner_radius_mm=0)
BLOCK_MM3 = 60 * 50 * 17.5
RELIEF_MM = 1.5
GRID_MM = 2.0**-13


def _solid(area, draft_deg, *, head=HEAD, thread=None, **more):
    hole = plan_hole(thread, head=head, relief_mm=RELIEF_MM)
    face = face_of(area, head=head, relief_mm=RELIEF_MM)
    return build_solid(face, head=head, hole=hole, density_kg_m3=8490, draft_deg=draft_deg, **more)


def _land_mm3(solid):
    return solid.volume_mm3 - BLOCK_MM3


def _reach(draft_deg):
    return RELIEF_MM * math.tan(math.radians(draft_deg))


def _front(solid):
    """Triangles (m, 3, 3) that look up, and so make the front."""
    corners = solid.vertices[solid.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return corners[normals[:, 2] > 0]


def _depth_at(solid, x, y):
    """How deep the front lies below the face at one place, by the triangle there."""
    front = _front(solid)
    (a, b, c) = front[shapely.intersects_xy(shapely.polygons(front[:, :, :2]), x, y)][0]
    normal = np.cross(b - a, c - a)
    return -(a[2] - (normal[0] * (x - a[0]) + normal[1] * (y - a[1])) / normal[2])


def _wall_errors_mm(area, solid, draft_deg):
    """Distance of places of the front from the true surface, normal to the wall; positive outside the true one.

    In each triangle its middle, the middles of its sides, and four places by chance.
    """
    front = _front(solid)
    dice = np.random.default_rng(1)
    fixed = np.array([[1, 1, 1], [1.5, 1.5, 0], [0, 1.5, 1.5], [1.5, 0, 1.5]]) / 3
    weights = np.concatenate(
        [np.tile(fixed, (len(front), 1, 1)), dice.dirichlet((1, 1, 1), size=(len(front), 4))], axis=1
    )
    places = np.einsum("mkc,mcx->mkx", weights, front).reshape(-1, 3)
    distance = shapely.distance(area, shapely.points(places[:, :2]))
    true_z = -np.minimum(RELIEF_MM, distance / math.tan(math.radians(draft_deg)))
    return (places[:, 2] - true_z) * math.sin(math.radians(draft_deg))


@pytest.mark.parametrize("draft_deg", [2, 5, 10, 20, 40])
def test_a_disc_land_is_a_cone_frustum(draft_deg):
    """Any handbook: π h (R² + R r + r²) / 3; the disc is a polygon of 2,048 corners, 1.6e-6 smaller."""
    top, foot = 6, 6 + _reach(draft_deg)
    frustum = math.pi * RELIEF_MM * (top**2 + top * foot + foot**2) / 3
    assert _land_mm3(_solid(disc(6, quarter=512), draft_deg)) == pytest.approx(frustum, rel=2e-4)


@pytest.mark.parametrize("draft_deg", [5, 10, 30])
@pytest.mark.parametrize("turn_deg", [0, 45, 12.3])
def test_a_square_land_has_four_planes_and_a_cone_at_its_corners(draft_deg, turn_deg):
    """Prism a² h, four wedges a h R / 2, and the four quarters of a cone π R² h / 3."""
    square, reach = shapely.affinity.rotate(shapely.box(-3, -3, 3, 3), turn_deg), _reach(draft_deg)
    volume = 36 * RELIEF_MM + 4 * 6 * RELIEF_MM * reach / 2 + math.pi * reach**2 * RELIEF_MM / 3
    assert _land_mm3(_solid(square, draft_deg)) == pytest.approx(volume, rel=2e-4)


def test_a_counter_narrows_downwards():
    """Ring of radii 6 and 4: a frustum outside, an inverted one inside."""
    reach = _reach(15)
    outside, inside = 6 + reach, 4 - reach
    volume = math.pi * RELIEF_MM / 3 * ((36 + 6 * outside + outside**2) - (16 + 4 * inside + inside**2))
    assert _land_mm3(_solid(ring(6, 4, quarter=512), 15)) == pytest.approx(volume, rel=2e-4)


@pytest.mark.parametrize("draft_deg", [10, 20])
def test_where_two_walls_meet_they_make_a_valley(draft_deg):
    """Two bars 0.4 mm apart: in the middle of the gap the ground lies 0.2 / tan draft below the face, no deeper."""
    bars = shapely.union(shapely.box(-4, -3, 4, -0.2), shapely.box(-4, 0.2, 4, 3))
    solid = _solid(bars, draft_deg)
    assert _depth_at(solid, 1.2, 0) == pytest.approx(0.2 / math.tan(math.radians(draft_deg)), abs=1e-3)


@pytest.mark.parametrize("draft_deg", [10, 20])
def test_the_volume_of_a_valley_agrees_with_a_sum_over_the_ground(draft_deg):
    """Distance to a box by its formula, summed at 0.01 mm."""
    bars = [(-4, -3, 4, -0.2), (-4, 0.2, 4, 3)]
    x, y = np.meshgrid(np.arange(-6, 6, 0.01) + 0.005, np.arange(-5, 5, 0.01) + 0.005)
    gaps = [np.hypot(np.maximum(0, np.abs(x) - 4), np.maximum(0, np.maximum(y0 - y, y - y1))) for _, y0, _, y1 in bars]
    height = np.maximum(0, RELIEF_MM - np.minimum(*gaps) / math.tan(math.radians(draft_deg)))
    area = shapely.union_all([shapely.box(*bar) for bar in bars])
    assert _land_mm3(_solid(area, draft_deg)) == pytest.approx(float(height.sum()) * 1e-4, rel=2e-4)


def _cone_hulls(area, draft_deg, *, sides=96):
    """The same relief made by manifold3d: the hull of two cones for each edge of the outline, all united."""
    reach, angles = _reach(draft_deg), np.arange(sides) * 2 * math.pi / sides
    circle = np.column_stack([np.cos(angles), np.sin(angles)]) * reach
    hulls = [manifold3d.Manifold.extrude(_section(area), RELIEF_MM).translate((0, 0, -RELIEF_MM))]
    for line in shapely.get_parts(shapely.boundary(area)):
        xy = shapely.get_coordinates(line)
        for a, b in itertools.pairwise(xy):
            feet = np.vstack([np.column_stack([end + circle, np.full(sides, -RELIEF_MM)]) for end in (a, b)])
            hulls.append(manifold3d.Manifold.hull_points(np.vstack([feet, [[*a, 0], [*b, 0]]])))
    return manifold3d.Manifold.batch_boolean(hulls, manifold3d.OpType.Add)


def _section(area):
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    return manifold3d.CrossSection([shapely.get_coordinates(ring)[:-1] for ring in rings])


SMALL = {
    "letter": shapely.Polygon([(0, 0), (12, 0), (12, 3), (3, 3), (3, 7), (9, 7), (9, 10), (3, 10), (3, 20), (0, 20)]),
    "counter": shapely.difference(shapely.box(-4, -4, 4, 4), shapely.box(-2, -0.2, 2, 0.3)),
    "star": shapely.Polygon(
        [(r * math.sin(a), r * math.cos(a)) for a, r in zip(np.arange(10) * math.pi / 5, [6, 2] * 5, strict=True)]
    ),
}


@pytest.mark.parametrize("area", SMALL.values(), ids=SMALL)
def test_a_union_of_cones_by_another_library_is_the_same_relief(area):
    """Its cones have 96 sides, inscribed: smaller by up to 1 part in 1,000 of what the slopes hold."""
    centred = shapely.affinity.translate(area, -area.centroid.x, -area.centroid.y)
    assert _land_mm3(_solid(centred, 12)) == pytest.approx(_cone_hulls(centred, 12).volume(), rel=1e-3)


@pytest.mark.parametrize("draft_deg", [3, 10, 25, 45])
@pytest.mark.parametrize("seed", range(6))
def test_every_place_of_a_wall_has_the_height_of_its_distance(seed, draft_deg):
    area = face_of(scattered(seed), head=HEAD).ink
    errors = _wall_errors_mm(area, _solid(area, draft_deg), draft_deg)
    assert errors.min() >= -0.002
    assert errors.max() <= 0.0002


def test_where_the_feet_of_two_lands_just_meet_each_place_has_its_height():
    """A corner of one is as far from a wall of the other as both feet are wide: the foot line touches an arc."""
    area = face_of(scattered(10, turn_deg=45.0), head=HEAD).ink
    errors = _wall_errors_mm(area, _solid(area, 45), 45)
    assert errors.min() >= -0.002
    assert errors.max() <= 0.0002


@given(
    seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 45.0, 12.3]), draft_deg=st.sampled_from([3, 10, 25, 45])
)
@settings(max_examples=EXAMPLES // 4)
def test_so_it_has_on_any_heap_of_boxes_wedges_and_discs(seed, turn_deg, draft_deg):
    area = face_of(scattered(seed, turn_deg=turn_deg), head=HEAD).ink
    errors = _wall_errors_mm(area, _solid(area, draft_deg), draft_deg)
    assert errors.min() >= -0.002 - GRID_MM  # of the chords, and of rounding: heap 1165 turned by 45, drafted by 10
    assert errors.max() <= 0.0002


@pytest.mark.parametrize("chord_mm", [0.0005, 0.002, 0.02])
def test_a_job_that_asks_for_another_chord_error_gets_it(chord_mm):
    area = face_of(scattered(3), head=HEAD).ink
    errors = _wall_errors_mm(area, _solid(area, 25, chord_mm=chord_mm), 25)
    assert -chord_mm - GRID_MM <= errors.min() < -chord_mm / 5  # and no finer than was asked
    assert errors.max() <= 0.0002


@pytest.mark.parametrize("seed", range(4))
def test_the_lands_keep_their_outline_at_the_top(seed):
    area = face_of(scattered(seed), head=HEAD).ink
    front = _front(_solid(area, 10))
    top = front[np.all(front[:, :, 2] == 0, axis=1)][:, :, :2]
    assert shapely.area(shapely.polygons(top)).sum() == pytest.approx(area.area, rel=1e-12)
    assert shapely.symmetric_difference(shapely.union_all(shapely.polygons(top)), area).area < 1e-9


@given(
    seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 45.0, 12.3]), draft_deg=st.sampled_from([3, 10, 25, 45])
)
@settings(max_examples=EXAMPLES)
def test_any_heap_of_boxes_wedges_and_discs_slopes_and_stays_closed(seed, turn_deg, draft_deg):
    area = scattered(seed, turn_deg=turn_deg)
    solid = _solid(area, draft_deg, thread=ThreadChoice())
    assert_closed(solid)
    assert solid.bounds_mm[0][2] == -19
    assert not area.area or solid.bounds_mm[1][2] == 0


def test_a_wall_is_a_surface_everywhere():
    """By Euler's count: a block with a blind hole is a sphere that was pushed in."""
    mesh = manifold_of(_solid(scattered(2), 10, thread=ThreadChoice()))
    assert mesh.genus() == 0
    assert mesh.num_vert() - mesh.num_edge() + mesh.num_tri() == 2


def test_a_round_head_slopes_too():
    head = Head("round", 40, 40, 19, 0)
    assert_closed(_solid(shapely.union(ring(12, 11), disc(5)), 12, head=head, thread=ThreadChoice()))


def test_a_hardly_sloping_wall_is_straight():
    straight, hardly = (_solid(disc(5), draft_deg) for draft_deg in (0, 0.03))
    assert np.array_equal(straight.vertices, hardly.vertices)


def test_a_face_without_ink_has_no_walls():
    assert _solid(shapely.MultiPolygon(), 10).volume_mm3 == pytest.approx(60 * 50 * 19 - 60 * 50 * RELIEF_MM)


def test_the_same_job_gives_the_same_mesh():
    first, second = (_solid(scattered(7), 10) for _ in range(2))
    assert np.array_equal(first.vertices, second.vertices)
    assert np.array_equal(first.triangles, second.triangles)


def test_a_foot_that_leaves_the_head_is_refused_with_the_draft_that_would_do():
    """The bar ends 0.5 mm from the edge: atan(0.5 / 1.5) is 18.4 degrees."""
    bar = shapely.box(-29.5, -1, 29.5, 1)
    with pytest.raises(DoesNotFit, match=r"at most 18\.4 degrees") as refused:
        _solid(bar, 20)
    assert refused.value.refusals[0].pointer == "/job/relief/draft_deg"
    assert_closed(_solid(bar, 18.4))


@pytest.mark.parametrize("draft_deg", [-1, 81, 90, math.nan, math.inf])
def test_a_draft_that_is_none_is_refused(draft_deg):
    with pytest.raises(JobError) as refused:
        _solid(disc(5), draft_deg)
    assert refused.value.refusals[0].pointer == "/job/relief/draft_deg"
