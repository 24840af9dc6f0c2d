"""Round counters are told from rings that only look round."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from stampwright.cutting.bores import bores_for, circle_of, fitted_circle


def polygon(count, *, radius=1.0, squash=1.0, x=0.0, y=0.0):
    turns = np.arange(count) * 2 * math.pi / count
    return shapely.Polygon(np.column_stack([x + radius * np.cos(turns), y + squash * radius * np.sin(turns)]))


def washer(hole):
    return shapely.MultiPolygon([shapely.Polygon(shapely.box(-9, -9, 9, 9).exterior, [hole.exterior])])


@given(st.floats(0.3, 20), st.floats(-18, 18), st.floats(-18, 18), st.integers(40, 200))
def test_a_flattened_circle_is_found_with_its_centre_and_size(radius, x, y, count):
    found = circle_of(polygon(max(count, round(40 * math.sqrt(radius))), radius=radius, x=x, y=y))
    assert (found.x_mm, found.y_mm, found.diameter_mm) == pytest.approx((x, y, 2 * radius), abs=1e-6)


def test_the_fit_gives_the_circle_through_three_points():
    assert fitted_circle(np.array([[3.0, 1.0], [1.0, 3.0], [-1.0, 1.0]])) == pytest.approx((1.0, 1.0, 2.0))


@pytest.mark.parametrize(
    "ring",
    [
        polygon(8),  # all its vertices lie on a circle
        polygon(6, radius=5),
        polygon(120, radius=2, squash=1.02),
        polygon(120, radius=0.6, squash=1.02),  # a bore would take 0.006 mm off its wall
        shapely.box(-1, -1, 1, 1).buffer(0.6),
        shapely.box(-1, -1, 1, 1),
    ],
)
def test_what_is_not_round_is_not_bored(ring):
    assert circle_of(ring) is None


@pytest.mark.parametrize(("diameter", "bored"), [(0.85, False), (0.90, True), (1.40, True), (1.45, False)])
def test_a_counter_is_bored_from_11_to_18_tenths_of_the_cutter(diameter, bored):
    assert bool(bores_for(0.794, washer(polygon(80, radius=diameter / 2)))) == bored


def test_a_counter_with_a_land_inside_is_not_bored():
    ink = shapely.union(washer(polygon(80, radius=0.6)), polygon(40, radius=0.2))
    assert bores_for(0.794, ink) == []
