"""Lands joined with what cutters leave beside them: the area that GEOS makes of both, on the grid, meeting in ends."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from relief_shapes import EXAMPLES, disc, face_of, laid, ring, scattered
from stampwright.demo.marks import demo_marks
from stampwright.job import Head, read_job
from stampwright.pipeline import lay
from stampwright.plane import Closings, count_pinches, on_grid, polygons_of
from stampwright.solid import joining
from stampwright.solid.joining import joined, without_crumbs

GRID_MM = 2.0**-13
HEAD = laid(disc(1), head=Head()).head
RADII_MM = (0.1, 0.397, 0.794, 1.5875)


def left_by(radius_mm, ink):
    """What a flat cutter leaves beside the ink."""
    return polygons_of(shapely.difference(Closings(ink).closed(radius_mm), ink))


def assert_joined(area, lands, ground, head):
    """GEOS's own overlay tells the area; rounding moves each edge by less than a step of the grid."""
    both = shapely.intersection(shapely.union(lands, without_crumbs(ground)), head)
    assert shapely.area(shapely.symmetric_difference(area, both)) < GRID_MM * shapely.length([lands, ground]).sum()
    assert shapely.is_valid(area)
    assert count_pinches(area) == 0
    xy = shapely.get_coordinates(area)
    assert np.array_equal(xy / GRID_MM, np.rint(xy / GRID_MM))
    rings = shapely.get_rings(shapely.get_parts(area))
    edges = np.concatenate([np.stack([xy[:-1], xy[1:]], axis=1) for xy in map(shapely.get_coordinates, rings)])
    places = shapely.points(np.unique(edges.reshape(-1, 2), axis=0))
    met = shapely.STRtree(places).query(shapely.linestrings(edges), "dwithin", distance=GRID_MM / 64)[0]
    assert np.all(np.bincount(met, minlength=len(edges)) == 2)  # no edge runs through a place but its own ends


@given(seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 45.0, 12.3]), radius_mm=st.sampled_from(RADII_MM))
@example(seed=291, turn_deg=0.0, radius_mm=1.5875)  # at a mitre of a crumb GEOS divided by zero
@settings(max_examples=EXAMPLES)
def test_any_heap_with_what_a_cutter_leaves_is_their_union(seed, turn_deg, radius_mm):
    ink = on_grid(shapely.intersection(face_of(scattered(seed, turn_deg=turn_deg)).ink, HEAD.buffer(-1)))
    ink = face_of(ink).ink
    ground = left_by(radius_mm, ink)
    assert_joined(joined(ink, ground, HEAD), ink, ground, HEAD)


@pytest.mark.parametrize("name", demo_marks())
def test_the_marks_of_the_demo_are_joined_by_their_edges_alone(name, monkeypatch):
    """Overlays would take more than n log n: none is made."""
    made = demo_marks()[name]
    face = lay(made.svg, read_job(made.job)).face
    ground = {radius_mm: left_by(radius_mm, face.ink) for radius_mm in RADII_MM}
    areas = {}
    with monkeypatch.context() as without:
        without.setattr(joining, "on_grid", lambda _: pytest.fail("an overlay is made"))
        areas = {radius_mm: joined(face.ink, of, face.head) for radius_mm, of in ground.items()}
    for radius_mm, of in ground.items():
        assert_joined(areas[radius_mm], face.ink, of, face.head)


GROUND = {
    "over the land": shapely.box(2, -1, 6, 1),
    "within the land": shapely.box(3.2, -0.1, 4, 0.1),
    "in the counter, touching a corner": shapely.Polygon([(-3, -3), (-2, -2), (-2, 0)]),
    "over the edge of the head": shapely.box(5, -2, 25, 2),
    "as far as the edge of the head": shapely.box(5, -2, 19, 2),
    "all of the counter": shapely.box(-3, -3, 3, 3),
    "far from the land": shapely.box(10, -2, 12, 2),
    "around the land": shapely.difference(shapely.box(-8, -8, 8, 8), shapely.box(-5, -5, 5, 5)),
}


@pytest.mark.parametrize("ground", GROUND.values(), ids=GROUND)
def test_ground_may_lie_anywhere(ground):
    lands = shapely.difference(shapely.box(-5, -5, 5, 5), shapely.box(-3, -3, 3, 3))
    lands, ground = face_of(lands).ink, polygons_of(ground)
    assert_joined(joined(lands, ground, HEAD), lands, ground, HEAD)


def test_islands_and_counters_keep_their_places():
    """Three rings in one another: ground shuts the gap between the outer two, and the innermost island stays."""
    lands = face_of(shapely.union_all([ring(10, 8), ring(7.6, 4), disc(2)])).ink
    area = joined(lands, left_by(0.397, lands), HEAD)
    counters = [len(land.interiors) for land in area.geoms]
    assert sorted(counters) == [0, 1]
    assert area.area == pytest.approx(np.pi * (100 - 16 + 4), rel=1e-3)


def test_without_ground_the_lands_are_themselves():
    lands = face_of(ring(7, 5)).ink
    assert joined(lands, shapely.MultiPolygon(), HEAD) is lands
