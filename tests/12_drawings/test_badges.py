"""Badges: each near its place, none on another, whatever the places are."""

import itertools
import math

import shapely
from hypothesis import given
from hypothesis import strategies as st

from stampwright.drawings import badges

PAGE = (0.0, 0.0, 60.0, 50.0)
INK = shapely.MultiPolygon([shapely.Point(30, 25).buffer(12)])
places = st.lists(st.tuples(st.floats(5, 55), st.floats(5, 45)), min_size=1, max_size=30)


def stands(points):
    wanted = [(number, "note", point) for number, point in enumerate(points, start=1)]
    return badges.placed(wanted, ink=INK, within=PAGE)


@given(places)
def test_no_badge_lies_on_another(points):
    placed = stands(points)
    pairs = itertools.combinations(placed, 2)
    assert all(math.dist(a.stands, b.stands) >= 2 * badges.RADIUS_MM for a, b in pairs)
    assert sorted(badge.number for badge in placed) == list(range(1, len(points) + 1))  # and none is left away


@given(places)
def test_every_badge_stays_within_its_picture(points):
    rim = badges.RADIUS_MM - 1e-9
    inner = shapely.box(PAGE[0] + rim, PAGE[1] + rim, PAGE[2] - rim, PAGE[3] - rim)
    assert all(inner.contains(shapely.Point(badge.stands)) for badge in stands(points))


def test_a_badge_hides_no_other_place_where_it_can():
    row = [(18.0 + 8 * step, 8.0) for step in range(4)]
    assert all(
        math.dist(badge.stands, place) >= badges.RADIUS_MM + 0.45
        for badge in stands([(x + dx, y) for x, y in row for dx in (-1.5, 1.5)])
        for place in row
    )


@given(st.integers(0, 100))
def test_leaders_of_neighbours_do_not_cross(shift):
    row = stands([(12.0 + 9 * step + shift / 50, 6.0 + step) for step in range(5)])
    leaders = [shapely.LineString([badge.at, badge.stands]) for badge in row]
    assert not any(a.crosses(b) for a, b in itertools.combinations(leaders, 2))


def test_leaders_out_of_a_clump_do_not_cross():
    clump = stands([(28 + 1.5 * (n % 4), 22 + 1.5 * (n // 4)) for n in range(16)])
    leaders = [shapely.LineString([badge.at, badge.stands]) for badge in clump]
    assert not any(a.crosses(b) for a, b in itertools.combinations(leaders, 2))


def test_a_badge_keeps_off_the_ink_where_it_can():
    (badge,) = stands([(30.0, 13.0)])
    assert INK.distance(shapely.Point(badge.stands)) >= badges.RADIUS_MM
