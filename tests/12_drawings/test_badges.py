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
    pairs = itertools.combinations(stands(points), 2)
    assert all(math.dist(a.stands, b.stands) >= 2 * badges.RADIUS_MM for a, b in pairs)


@given(places)
def test_every_badge_stays_within_its_picture(points):
    rim = badges.RADIUS_MM - 1e-9
    inner = shapely.box(PAGE[0] + rim, PAGE[1] + rim, PAGE[2] - rim, PAGE[3] - rim)
    assert all(inner.contains(shapely.Point(badge.stands)) for badge in stands(points))


def test_a_badge_keeps_off_the_ink_where_it_can():
    (badge,) = stands([(30.0, 13.0)])
    assert INK.distance(shapely.Point(badge.stands)) >= badges.RADIUS_MM
