"""What a solid's mesh must never have, on the marks of the demo: looked for afresh, not by the solid's own check."""

from functools import partial

import numpy as np
import pytest
import shapely

from outside_checks import assert_closed, facets_of
from stampwright.base import InternalFault
from stampwright.catalogue import CUTTERS
from stampwright.demo.marks import demo_marks
from stampwright.job import read_job
from stampwright.pipeline import lay
from stampwright.plane import polygons_of
from stampwright.solid import Sharpened, build_solid, stl_bytes
from stampwright.solid.mesh import Mesh, check, welded

MARKS = demo_marks()
GRID_MM = 2.0**-13
DRAFTS_DEG = (0, 5, 10, 20)
FLAT_MM, POINTED = 0.794, CUTTERS["pointed-20"]
KINDS = [0, 10, "as cut", "pointed"]


@pytest.fixture(scope="module", params=MARKS)
def mark(request):
    """A mark laid on its head, with its solids by draft in degrees, and as a flat cutter and a pointed one leave it."""
    job = read_job(MARKS[request.param].job)
    laid = lay(MARKS[request.param].svg, job)
    build = partial(build_solid, laid.face, head=job.head, hole=laid.hole, density_kg_m3=8490)
    by_flat, left = (
        polygons_of(shapely.difference(laid.closings.closed(radius_mm), laid.face.ink))
        for radius_mm in (FLAT_MM, min(POINTED.radius_at_mm(laid.face.relief_mm), FLAT_MM))
    )
    sharpened = Sharpened(by_flat, POINTED)
    as_cut = {"as cut": build(left_uncut=by_flat), "pointed": build(left_uncut=left, sharpened=sharpened)}
    return laid.face, as_cut | {deg: build(draft_deg=deg) for deg in DRAFTS_DEG}


def test_every_mark_is_closed_straight_at_every_draft_and_as_cut(mark):
    for solid in mark[1].values():
        assert_closed(solid)


def test_its_straight_volume_is_that_of_its_polygons(mark):
    """Lands, plate, less the hole: cylinder, cone of 118 degrees, and countersink by their own formulas."""
    face, solids = mark
    thickness_mm, hole = -solids[0].bounds_mm[0][2], solids[0].hole
    plain = face.ink.area * face.relief_mm + face.head.area * (thickness_mm - face.relief_mm)
    assert solids[0].volume_mm3 + _hole_mm3(hole) == pytest.approx(plain, rel=2e-5 if hole else 1e-6)


def _hole_mm3(hole):
    if not hole:
        return 0.0
    r, mouth = hole.drill_mm / 2, hole.countersink_mm / 2
    frustum = np.pi * (mouth - r) / 3 * (mouth**2 + mouth * r + r**2)
    return np.pi * r**2 * (hole.drilled_mm - (mouth - r) + hole.point_mm / 3) + frustum


@pytest.mark.parametrize("kind", KINDS)
def test_no_triangle_of_its_file_is_without_area(mark, kind):
    _, corners = facets_of(stl_bytes(mark[1][kind]))
    assert np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).min() > 0


@pytest.mark.parametrize("kind", KINDS)
def test_no_corner_lies_within_an_edge(mark, kind):
    solid = mark[1][kind]
    edges = np.unique(np.sort(solid.triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1), axis=0)
    ends = solid.vertices[edges]
    plan = shapely.linestrings(ends[:, :, :2])
    edge, corner = shapely.STRtree(shapely.points(solid.vertices[:, :2])).query(plan, "dwithin", distance=1e-6)
    other = np.all(edges[edge] != corner[:, None], axis=1)
    a, b, p = ends[edge[other], 0], ends[edge[other], 1], solid.vertices[corner[other]]
    along = np.sum((p - a) * (b - a), axis=1) / np.sum((b - a) ** 2, axis=1)
    away_mm = np.linalg.norm(a + along[:, None] * (b - a) - p, axis=1)
    assert not np.any((along > 0) & (along < 1) & (away_mm < 1e-9))


def test_a_thin_triangle_is_there_only_where_the_outline_is_flat(mark):
    """Thinner than the grid: never in a wall, and its three corners are of the outlines, so these lie in a line."""
    face, solid = mark[0], mark[1][0]
    corners = solid.vertices[solid.triangles]
    flat = np.ptp(corners[:, :, 2], axis=1) == 0
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    thin = _altitudes(corners, sides) < GRID_MM
    assert not np.any(thin & ~flat)
    assert np.count_nonzero(thin) <= 0.005 * len(corners)
    drawn = shapely.union_all([*shapely.points(shapely.get_coordinates([face.ink, face.head]))])
    stray = shapely.points(corners[thin].reshape(-1, 3)[:, :2])
    in_the_back = np.repeat(np.all(corners[thin][:, :, 2] < -face.relief_mm, axis=1), 3)  # there the hole has corners
    assert np.all(in_the_back | (shapely.distance(drawn, stray) == 0))


def _altitudes(corners, sides):
    return np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / sides.max(
        axis=1
    )


BREAKS = {
    "a triangle is missing": lambda faces: faces[1:],
    "a triangle is turned over": lambda faces: np.concatenate([faces[:1, ::-1], faces[1:]]),
    "a triangle is there twice": lambda faces: np.concatenate([faces[:1], faces]),
    "a corner has moved": lambda faces: faces + np.where(np.arange(faces.size).reshape(faces.shape) == 0, GRID_MM, 0),
    "all of it is inside out": lambda faces: faces[:, ::-1],
}


@pytest.mark.parametrize("torn", BREAKS.values(), ids=BREAKS)
def test_the_solid_s_own_check_sees_that(torn, mark):
    solid = mark[1][0]
    whole = solid.vertices[solid.triangles]
    check(Mesh(solid.vertices, solid.triangles), expected_mm3=solid.volume_mm3)
    with pytest.raises(InternalFault, match="open-solid"):
        check(welded([torn(whole)]), expected_mm3=solid.volume_mm3)
