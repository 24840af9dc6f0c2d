"""Offsets by a disc, against circles and the corner formulas of plane geometry."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from stampwright.plane import Closings, grown, quarter_segments


@given(radius_mm=st.floats(0.05, 40), sagitta_mm=st.floats(1e-4, 0.01))
def test_chords_stay_within_their_sagitta_and_one_fewer_would_not(radius_mm, sagitta_mm):
    """Sagitta of a chord over the angle a: r (1 − cos(a/2))."""
    quarter = quarter_segments(radius_mm, sagitta_mm=sagitta_mm)
    sagitta = [radius_mm * (1 - math.cos(math.pi / 4 / n)) for n in (quarter, quarter - 1) if n]
    assert sagitta[0] <= sagitta_mm * (1 + 1e-9)
    assert quarter == 2 or sagitta[1] > sagitta_mm


@pytest.mark.parametrize("by_mm", [0.4, 1.5875, 3.175])
def test_a_grown_square_has_straight_sides_and_quarter_discs(by_mm):
    """Steiner's formula: a² + 4 a r + π r²."""
    square = shapely.box(0, 0, 7, 7)
    assert grown(square, by_mm).area == pytest.approx(49 + 28 * by_mm + math.pi * by_mm**2, rel=1e-3)
    assert grown(grown(square, by_mm), -by_mm).area == pytest.approx(49, rel=1e-3)


@pytest.mark.parametrize("radius_mm", [0.397, 0.794, 1.5875])
def test_a_round_cutter_leaves_the_corners_of_a_square_counter(radius_mm):
    """(4 − π) r² of a square that the cutter enters."""
    square = shapely.difference(shapely.box(-9, -9, 9, 9), shapely.box(-4, -4, 4, 4))
    closings = Closings(shapely.MultiPolygon([square]))
    uncut = shapely.difference(closings.closed(radius_mm), square).area
    assert uncut == pytest.approx((4 - math.pi) * radius_mm**2, rel=2e-2)


def test_a_counter_narrower_than_the_cutter_is_closed():
    ring = shapely.difference(shapely.box(-3, -3, 3, 3), shapely.box(-0.3, -2, 0.3, 2))
    assert not Closings(shapely.MultiPolygon([ring])).closed(0.4).geoms[0].interiors


def test_a_closing_is_made_once():
    closings = Closings(shapely.MultiPolygon([shapely.box(0, 0, 1, 1)]))
    assert closings.closed(0.5) is closings.closed(0.5)
