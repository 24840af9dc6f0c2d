"""What a caller may rely on, held on every mark of the register by judges that are not ours."""

import io

import manifold3d
import numpy as np
import pytest
import shapely
import trimesh

from stamped import MARKS, NAMES, stamp_of
from stampwright.catalogue import CUTTERS
from stampwright.job import read_job
from stampwright.pipeline import make_solid, make_stamp, review_mark
from stampwright.solid import stl_bytes


@pytest.fixture(params=NAMES)
def stamp(request):
    return stamp_of(request.param)


def hole_mm3(solid):
    """Volume of the bored hole, from its own triangles: the walls of the back that lie within the drill's circle."""
    if solid.hole is None:
        return 0.0
    hole = solid.hole
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    outside = np.hypot(*mesh.vertices[:, :2].T) > max(hole.drill_mm, hole.countersink_mm) / 2 + 0.1
    deep = mesh.vertices[:, 2] < -solid_floor_mm(solid) - 1e-6
    within = ~outside & deep
    inner = mesh.submesh([np.flatnonzero(within[mesh.faces].all(axis=1))], append=True, repair=False)
    rim = solid.bounds_mm[0][2]
    # closing the mouth in the plane of the back adds nothing when volumes are reckoned from that plane
    triangles = inner.triangles - (0, 0, rim)
    return abs(float(np.einsum("ij,ij->i", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])).sum()) / 6)


def solid_floor_mm(solid):
    heights = np.unique(np.round(solid.vertices[:, 2], 6))
    return float(-heights[-2])


def polygons_volume_mm3(stamp):
    thick, relief = stamp.job.head.thickness_mm, stamp.face.relief_mm
    return stamp.face.head.area * (thick - relief) + stamp.face.ink.area * relief - hole_mm3(stamp.solid)


def test_the_stl_is_one_closed_oriented_solid(stamp):
    mesh = trimesh.load_mesh(io.BytesIO(stl_bytes(stamp.solid)), file_type="stl")
    assert mesh.is_volume  # closed, consistently wound, outward; trimesh is the judge
    assert mesh.body_count == 1


def test_manifold3d_takes_the_solid_as_it_is(stamp):
    solid = stamp.solid
    judged = manifold3d.Manifold(manifold3d.Mesh64(solid.vertices, solid.triangles.astype(np.uint64)))
    assert judged.status() == manifold3d.Error.NoError
    assert judged.num_tri() == len(solid.triangles)
    assert judged.volume() == pytest.approx(solid.volume_mm3, rel=1e-9)


def test_its_volume_is_head_and_ink_by_relief_less_the_hole(stamp):
    mesh = trimesh.Trimesh(stamp.solid.vertices, stamp.solid.triangles, process=False)
    assert mesh.volume == pytest.approx(polygons_volume_mm3(stamp), rel=1e-6)
    assert stamp.solid.volume_mm3 == pytest.approx(mesh.volume, rel=1e-9)


def test_printing_the_face_gives_the_mark_as_drawn(stamp):
    placement, (x0, y0, x1, y1) = stamp.job.placement, stamp.mark.ink.bounds
    middle, scale = ((x0 + x1) / 2, (y0 + y1) / 2), stamp.face.scale
    as_read = shapely.affinity.scale(stamp.mark.ink, scale, -scale, origin=middle)  # the page counts downwards
    as_read = shapely.affinity.rotate(as_read, placement.turn_deg, origin=middle)
    (x0, y0, x1, y1), (u0, v0, u1, v1) = as_read.bounds, stamp.face.head.bounds
    as_read = shapely.affinity.translate(as_read, -(x0 + x1) / 2, -(y0 + y1) / 2)
    margin = placement.margin_mm
    wanted = shapely.intersection(as_read, shapely.box(u0 + margin, v0 + margin, u1 - margin, v1 - margin))
    # paper lies on the face: what was on the right comes to lie on the left
    printed = shapely.affinity.scale(stamp.face.ink, -1 if placement.reverse else 1, 1, origin=(0, 0))
    assert shapely.symmetric_difference(printed, wanted).area < 1e-3 * printed.area


def test_what_is_cleared_and_what_stays_make_up_the_floor(stamp):
    plan, floor = stamp.plan, shapely.difference(stamp.face.head, stamp.face.ink)
    cleared = shapely.union_all([*plan.cleared])
    covered = shapely.union_all([cleared, plan.left_uncut])
    assert shapely.symmetric_difference(floor, covered).area < 1e-3 * floor.area
    assert sum(area.area for area in plan.cleared) == pytest.approx(cleared.area, rel=1e-3)


def test_every_cutter_in_the_plan_is_of_the_rack_and_clears_something(stamp):
    rack = [cutter.key for cutter in stamp.job.cutters]
    cleared = {}
    for operation in stamp.plan.operations:
        cleared[operation.cutter] = cleared.get(operation.cutter, 0.0) + operation.cleared_area_mm2
    assert all(cutter in rack and cleared[cutter] > 0 for cutter in stamp.plan.cutters)
    assert set(rack) == set(stamp.plan.cutters) | set(stamp.plan.passed_over)


def test_a_flat_cutter_leaves_the_closing_of_the_ink_less_the_ink(stamp):
    for reach in stamp.review.cutters:
        cutter = next(c for c in stamp.job.cutters if c.key == reach.cutter)
        if cutter.shape == "flat":
            # GEOS buffers with 64 segments a quarter: arcs within 0.02 per cent of their area
            radius = cutter.diameter_mm / 2
            closing = shapely.buffer(shapely.buffer(stamp.face.ink, radius, quad_segs=64), -radius, quad_segs=64)
            uncut = closing.area - stamp.face.ink.area
            assert reach.uncut_area_mm2 == pytest.approx(uncut, rel=2e-3, abs=2e-3)


@pytest.mark.parametrize("name", ["dandelion", "frost"])
def test_what_stays_uncut_is_what_geos_says_of_the_last_cutter(name):
    stamp = stamp_of(name)
    radius = CUTTERS[stamp.plan.cutters[-1]].diameter_mm / 2
    closing = shapely.buffer(shapely.buffer(stamp.face.ink, radius, quad_segs=64), -radius, quad_segs=64)
    left = shapely.intersection(shapely.difference(closing, stamp.face.ink), stamp.face.head)
    assert stamp.plan.left_uncut_mm2 == pytest.approx(left.area, rel=5e-3)


@pytest.mark.parametrize("name", ["skep", "flight"])
def test_the_same_mark_and_job_give_the_same_stamp(name):
    mark, again = MARKS[name], stamp_of(name)
    stamp = make_stamp(mark.svg, read_job(mark.job))
    assert (stamp.digest, stl_bytes(stamp.solid)) == (again.digest, stl_bytes(again.solid))


@pytest.mark.parametrize("name", ["skep", "smoker"])
def test_the_quick_answers_are_those_of_the_whole_job(name):
    mark, whole = MARKS[name], stamp_of(name)
    job = read_job(mark.job)
    assert review_mark(mark.svg, job).review == whole.review
    assert stl_bytes(make_solid(mark.svg, job)) == stl_bytes(whole.solid)
