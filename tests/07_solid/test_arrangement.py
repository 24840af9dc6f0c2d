"""Faces between lines, against the polygonizer of shapely, which finds them in another way."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from relief_shapes import ring, scattered
from stampwright.plane import on_grid
from stampwright.solid.arrangement import triangles_between
from stampwright.solid.noding import noded, noded_where_needed
from stampwright.solid.plan import Plan
from stampwright.solid.regions import directed_edges

PLATE = shapely.box(-25, -25, 25, 25)  # holds what is turned, too
INSIDE = {
    "an island in a square counter": shapely.union(shapely.box(-9, -9, 9, 9) - shapely.box(-6, -6, 6, 6), ring(3, 1)),
    "a triangle in a triangle": shapely.Polygon([(0, 0), (9, 0), (0, 9)]) - shapely.Polygon([(1, 1), (4, 1), (1, 4)]),
    "four squares in a square": shapely.union_all([shapely.box(x, y, x + 2, y + 2) for x in (1, 5) for y in (1, 5)]),
}


def _lines(*areas):
    return np.concatenate([directed_edges(on_grid(area)) for area in (*areas, PLATE)])


@pytest.mark.parametrize("area", INSIDE.values(), ids=INSIDE)
def test_a_face_with_lines_in_it_is_not_taken_for_a_plain_one(area):
    assert Plan(triangles_between(_lines(area))).fills(PLATE)


@given(seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 45.0, 12.3]))
@settings(max_examples=40)
def test_lines_that_cross_are_noded_alike_whether_all_or_only_where_needed(seed, turn_deg):
    areas = [scattered(seed + k, count=4, turn_deg=k * turn_deg) for k in (0, 1)]
    lines = _lines(*areas)
    faces = shapely.polygonize(shapely.linestrings(noded(lines)))
    for mended in (noded(lines), noded_where_needed(lines)):
        triangles = triangles_between(mended)
        assert Plan(triangles).fills(PLATE)
        corners = triangles.places[triangles.corners]
        assert shapely.area(shapely.polygons(corners)).sum() == pytest.approx(shapely.area(faces).sum(), rel=1e-12)
