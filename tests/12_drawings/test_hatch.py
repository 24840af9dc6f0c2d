"""Hatching: its strokes lie in the ground they mark and fill it evenly, whatever the ground's shape."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from stampwright.drawings.hatch import Hatch, draw_hatch
from stampwright.drawings.svg import page
from stampwright.plane import grown

PITCH_MM = 0.5
places = st.lists(st.tuples(st.floats(2, 38), st.floats(2, 28)), min_size=1, max_size=6)
angles = st.sampled_from([0.0, 45.0, -45.0, 90.0])


def ground_of(points):
    """Rings about the points: round edges, holes, several pieces."""
    return shapely.union_all([shapely.Point(at).buffer(5).difference(shapely.Point(at).buffer(2)) for at in points])


def drawn(ground, **hatch):
    root = page(40, 30, title="", says="")
    draw_hatch(root, ground, Hatch("#fff", pitch_mm=PITCH_MM, **hatch), line="#000")
    numbers = np.array(root[-1].get("d").replace("M", " ").split(), float)
    return shapely.linestrings(numbers.reshape(-1, 2, 2)), root[-1]


@given(places, angles)
def test_strokes_keep_to_their_ground(points, angle):
    ground = ground_of(points)
    strokes, _ = drawn(ground, angle_deg=angle)
    assert shapely.covers(grown(ground, 0.002), shapely.MultiLineString(list(strokes)))


@given(places, angles)
def test_strokes_at_their_pitch_weigh_as_much_as_the_ground_has_area(points, angle):
    ground = ground_of(points)
    strokes, _ = drawn(ground, angle_deg=angle)
    assert shapely.length(strokes).sum() * PITCH_MM == pytest.approx(ground.area, rel=0.02)  # Cavalieri's sum


@given(places)
def test_dots_stand_within_the_ground_and_in_line(points):
    ground = ground_of(points)
    strokes, path = drawn(ground, is_dotted=True)
    starts = shapely.get_coordinates(shapely.get_point(strokes, 0))
    assert np.allclose(starts / PITCH_MM, np.rint(starts / PITCH_MM), atol=0.003)
    assert shapely.covers(grown(ground, 0.002), shapely.MultiPoint(starts))
    assert path.get("stroke-dasharray") == f"0 {PITCH_MM}"


def test_a_tint_alone_draws_no_stroke():
    root = page(40, 30, title="", says="")
    draw_hatch(root, ground_of([(20, 15)]), Hatch("#fff"), line="#000")
    assert not list(root.iter("path"))
