"""Areas through the boolean engine and back: valid, of the same size, holes in the right shells; GEOS judges."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from stampwright.plane import area_of, outside, polygons_of, section_of, section_of_rings

PLACE = st.tuples(st.integers(0, 20), st.integers(0, 20))
RING = st.lists(PLACE, min_size=3, max_size=9).map(lambda points: np.array(points, dtype=float))
RINGS = st.lists(RING, min_size=1, max_size=5)


def winding(rings, at):
    """Winding number of closed rings about points (n, 2), by the sum of signed crossings of a ray to the right."""
    turns = np.zeros(len(at), dtype=int)
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            left = (bx - ax) * (at[:, 1] - ay) - (by - ay) * (at[:, 0] - ax)
            turns += (ay <= at[:, 1]) & (by > at[:, 1]) & (left > 0)
            turns -= (ay > at[:, 1]) & (by <= at[:, 1]) & (left < 0)
    return turns


@given(RINGS, st.sampled_from(["nonzero", "evenodd"]))
def test_a_fill_rule_fills_what_the_winding_number_says(rings, rule):
    area = area_of(section_of_rings(rings, rule))
    assert area.is_valid
    at = np.random.default_rng(1).uniform(-1, 21, (200, 2))
    turns = winding(rings, at)
    inside = turns != 0 if rule == "nonzero" else turns % 2 == 1
    clear = shapely.distance(shapely.points(at), shapely.boundary(area)) > 1e-6
    assert (shapely.contains_xy(area, at)[clear] == inside[clear]).all()


def box(inset):
    return shapely.box(inset, inset, 20 - inset, 20 - inset)


def test_islands_in_holes_in_islands_keep_their_place():
    nested = shapely.Polygon()
    for inset in range(9):
        nested = shapely.symmetric_difference(nested, box(inset))
    back = area_of(section_of(nested))
    assert sorted(len(land.interiors) for land in back.geoms) == [0, 1, 1, 1, 1]
    assert back.equals(nested)


def test_a_hole_that_touches_its_shell_leaves_valid_areas():
    plate = shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [[(0, 4), (3, 2), (6, 4), (3, 6)]])
    back = area_of(section_of(shapely.buffer(plate, 0)))
    assert back.is_valid
    assert back.area == pytest.approx(81 - 12)


def test_squares_that_meet_in_a_corner_are_two_lands_or_one_valid_one():
    back = area_of(
        section_of_rings(
            [np.array(r, dtype=float) for r in ([(0, 0), (4, 0), (4, 4), (0, 4)], [(4, 4), (8, 4), (8, 8), (4, 8)])],
            "nonzero",
        )
    )
    assert back.is_valid
    assert back.area == pytest.approx(32)


@given(RINGS)
def test_an_area_goes_through_the_engine_unchanged(rings):
    area = area_of(section_of_rings(rings, "nonzero"))
    back = area_of(section_of(area))
    assert back.is_valid
    assert shapely.area(shapely.symmetric_difference(area, back)) <= 1e-9


def test_nothing_stays_nothing():
    assert area_of(section_of(shapely.MultiPolygon())).is_empty


def rounds(places):
    middles = shapely.points(np.array(places, dtype=float).reshape(-1, 2))
    return shapely.union_all(shapely.difference(shapely.buffer(middles, 2.5), shapely.buffer(middles, 1)))


@given(st.lists(PLACE, min_size=0, max_size=6), st.sampled_from([-4, -2, 1, 3]), st.booleans())
def test_what_lies_outside_is_what_geos_says(places, inset, turned):
    """Rings well inside their field, over its edge, and around it: turned over or cut, the answer is one."""
    area, field = polygons_of(rounds(places)), box(inset)
    if turned:
        area = polygons_of(shapely.difference(box(inset - 1), area))
    found = outside(area, field)
    assert found.is_valid
    assert shapely.area(shapely.symmetric_difference(found, shapely.difference(field, area))) < 1e-4
