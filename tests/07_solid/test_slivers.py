"""Triangles thinner than the grid, in space: only where the outline of lands, ground left, head or hole is as flat.

As flat is a place where the three corners themselves are of the outline, which runs past one of them by less than a
step, and a place where two corners of it are nearer to each other than the cure of a pinch parts them.
"""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed
from relief_shapes import EXAMPLES, face_of, scattered
from stampwright.base.tolerances import GRID_MM
from stampwright.catalogue import CUTTERS
from stampwright.demo.marks import demo_marks
from stampwright.job import Head, ThreadChoice, read_job
from stampwright.pipeline import lay
from stampwright.plane import Closings, polygons_of
from stampwright.solid import Sharpened, build_solid, plan_hole

MARKS = demo_marks()
HEAD = Head(width_mm=60, height_mm=50, corner_radius_mm=0)
FLAT_MM = 0.794
NARROW_MM = 4 * GRID_MM  # a pinch is cut away two steps to each side
KINDS = ["straight", "drafted by 3", "drafted by 10", "drafted by 25", "as cut", "by a pointed cutter of 20", "of 60"]
ROUNDED_MM = 2 * GRID_MM


def _solid(face, kind, *, head, hole=None):
    """The solid of a kind, and the area of its lands with what stays beside them full height or not."""
    if kind == "straight" or kind.startswith("drafted"):
        draft_deg = 0 if kind == "straight" else int(kind.split()[-1])
        return build_solid(face, head=head, hole=hole, density_kg_m3=8490, draft_deg=draft_deg), face.ink
    closings = Closings(face.ink)
    left = polygons_of(shapely.difference(closings.closed(FLAT_MM), face.ink))
    build = {"head": head, "hole": hole, "density_kg_m3": 8490}
    if kind == "as cut":
        return build_solid(face, **build, left_uncut=left), shapely.union(face.ink, left)
    sharpened = Sharpened(left, CUTTERS[f"pointed-{kind.split()[-1]}"])
    return build_solid(face, **build, left_uncut=left, sharpened=sharpened), face.ink


def _strays(solid, outline):
    """Corners (n, 3, 3) of thin triangles where the outline (k, 2) is not as flat."""
    corners = solid.vertices[solid.triangles]
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    thin = corners[area < GRID_MM * sides.max(axis=1)]
    places, at = shapely.points(outline), shapely.points(thin[:, :, :2])
    tree = shapely.STRtree(places)
    narrow = places[np.unique(np.concatenate(_nearer(tree, places)))]
    of_outline = np.isin(np.arange(at.size), tree.query(at.ravel(), "dwithin", distance=ROUNDED_MM)[0])
    beside = np.isin(np.arange(at.size), shapely.STRtree(narrow).query(at.ravel(), "dwithin", distance=NARROW_MM)[0])
    return thin[~of_outline.reshape(at.shape).all(axis=1) & ~beside.reshape(at.shape).any(axis=1)]


def _nearer(tree, places):
    """Numbers of different places nearer to each other than a pinch is cut."""
    one, other = tree.query(places, "dwithin", distance=NARROW_MM)
    apart = one < other
    return one[apart], other[apart]


def _outline_of(solid, areas, hole_in_back):
    drawn = np.concatenate([shapely.get_coordinates(area) for area in areas])
    back = solid.vertices[solid.vertices[:, 2] == solid.bounds_mm[0][2], :2] if hole_in_back else drawn[:0]
    return np.unique(np.concatenate([drawn, back]), axis=0)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", MARKS)
def test_on_real_marks(name, kind):
    job = read_job(MARKS[name].job)
    laid = lay(MARKS[name].svg, job)
    solid, area = _solid(laid.face, kind, head=job.head, hole=laid.hole)
    assert not len(_strays(solid, _outline_of(solid, [area, laid.face.head], hole_in_back=True)))


@example(seed=826, turn_deg=0.0, kind="as cut", shape="rectangle")  # ground that is a mere line along a wall
@example(seed=261, turn_deg=12.3, kind="of 60", shape="rectangle")  # a fan over a line that it nearly lies on
@example(seed=23409, turn_deg=12.3, kind="drafted by 25", shape="rectangle")  # a valley that runs straight at a corner
@example(seed=187356, turn_deg=12.3, kind="drafted by 25", shape="rectangle")  # three lines do, with places on them
@example(seed=9127, turn_deg=12.3, kind="as cut", shape="rectangle")  # ground that runs out along a wall and back
@given(
    seed=st.integers(0, 10**6),
    turn_deg=st.sampled_from([0.0, 45.0, 12.3]),
    kind=st.sampled_from(KINDS),
    shape=st.sampled_from(["rectangle", "round"]),
)
@settings(max_examples=EXAMPLES)
def test_on_any_heap_of_boxes_wedges_and_discs(seed, turn_deg, kind, shape):
    head = HEAD if shape == "rectangle" else Head("round", 60, 60, 19, 0)
    face = face_of(scattered(seed, turn_deg=turn_deg), head=head)
    solid, area = _solid(face, kind, head=head, hole=plan_hole(ThreadChoice(), head=head, relief_mm=face.relief_mm))
    assert_closed(solid)
    assert not len(_strays(solid, _outline_of(solid, [area, face.head], hole_in_back=True)))
