"""Strokes against GEOS' buffer, closed forms, and a twenty times finer reading of the same drawing."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from corpora.compare import read
from features import svg

CHORD_MM = 0.005
PLACE = st.tuples(st.integers(8, 52), st.integers(8, 32))


def stroke(data, *, width, more=""):
    return svg(f'<path d="{data}" fill="none" stroke="black" stroke-width="{width}" {more}/>')


def on_face(mark):
    x0, y0, x1, y1 = mark.ink.bounds
    return 50 / max(x1 - x0, y1 - y0)


def strays_mm(coarse, fine):
    """Largest distance on the face between the outlines of two readings of one drawing, both ways."""
    ways = []
    for one, other in ((coarse, fine), (fine, coarse)):
        line = shapely.segmentize(shapely.boundary(one.ink), max_segment_length=one.ink.length / 4000)
        edge = shapely.boundary(other.ink)
        shapely.prepare(edge)
        ways.append(shapely.distance(shapely.points(shapely.get_coordinates(line)), edge).max())
    return float(max(ways)) * on_face(fine)


@pytest.mark.parametrize("radius", [1, 3, 7.9, 8, 8.1, 12])
def test_a_ring_wider_than_its_radius_is_a_disc(radius):
    data = f'<circle cx="30" cy="20" r="{radius}" fill="none" stroke="black" stroke-width="16"/>'
    hole = max(0.0, radius - 8)
    found = read(svg(data, head='width="60mm" height="60mm" viewBox="0 -10 60 60"'), 0.0005)
    assert found.ink.area == pytest.approx(math.pi * ((radius + 8) ** 2 - hole**2), rel=2e-4)


ROUND_AND_WIDE = {  # drawings of a pen of 14 mm, and whether programs leave a hole in them
    "a circle": ('<circle cx="30" cy="20" r="4" fill="none"/>', True),
    "a circle as wide as the pen": ('<circle cx="30" cy="20" r="7" fill="none"/>', False),
    "a filled circle": ('<circle cx="30" cy="20" r="4"/>', False),
    "a filled circle smaller than the hole": ('<circle cx="30" cy="20" r="2"/>', True),
    "an ellipse": ('<ellipse cx="30" cy="20" rx="5" ry="4" fill="none"/>', True),
    "a flat ellipse": ('<ellipse cx="30" cy="20" rx="12" ry="3" fill="none"/>', False),
    "three quarters of a circle": ('<path d="M26 20A4 4 0 1 1 30 24" fill="none"/>', True),
    "half a circle": ('<path d="M26 20A4 4 0 0 1 34 20" fill="none"/>', False),
    "a square": ('<rect x="28" y="18" width="4" height="4" fill="none"/>', False),
    "dashes of a circle": ('<circle cx="30" cy="20" r="4" fill="none" stroke-dasharray="20 5"/>', True),
}


@pytest.mark.parametrize("what", ROUND_AND_WIDE)
def test_a_curve_filled_by_its_pen_is_told_where_programs_leave_a_hole(what):  # seen in Chromium 156 and resvg 0.48
    body, told = ROUND_AND_WIDE[what]
    mark = read(svg(f'<g stroke="#000" stroke-width="14">{body}</g>'), CHORD_MM)
    assert [notice.code for notice in mark.repaired] == ["programs-differ"] * told


@given(st.lists(PLACE, min_size=4, max_size=4, unique=True), st.integers(1, 14))
@settings(max_examples=40, deadline=None)
def test_a_round_pen_leaves_what_a_disc_sweeps(points, width):
    curve = [np.array(p, dtype=float) for p in points]
    data = "M{} {} C{} {} {} {} {} {}".format(*(v for p in points for v in p))
    head = 'width="60mm" height="40mm" viewBox="-20 -20 120 80"'
    mark = read(svg(f'<path d="{data}" {ROUND} stroke-width="{width}"/>', head=head), CHORD_MM)
    t = np.linspace(0, 1, 3000)[:, None]
    line = sum(k * (1 - t) ** (3 - i) * t**i * p for i, (k, p) in enumerate(zip((1, 3, 3, 1), curve, strict=True)))
    swept = shapely.buffer(shapely.linestrings((line + 20) / 2), width / 4, quad_segs=200)
    assert shapely.symmetric_difference(mark.ink, swept).area <= 2 * CHORD_MM / on_face(mark) * swept.length


ROUND = 'fill="none" stroke="black" stroke-linecap="round" stroke-linejoin="round"'
TO_AND_FRO = {  # curves on a line, and how far they reach there: to where their derivative is zero
    "a cubic that turns back twice": ("M10 20C50 20 -10 20 30 20", (10, 30)),
    "a cubic all but on its line": ("M10 20C50 20 -10 20.00001 30 20", (10, 30)),
    "a parabola": ("M10 20Q50 20 20 20", (10, 10 + 80 * 4 / 7 - 70 * (4 / 7) ** 2)),
    "there and back again": ("M10 20C50 20 50 20 10 20", (10, 40)),
    "an ellipse all but flat": ("M10 20A20 .0001 0 0 1 50 20A20 .0001 0 0 1 10 20z", (10, 50)),
}


@pytest.mark.parametrize("width", [2, 9, 16])
@pytest.mark.parametrize("curve", TO_AND_FRO)
def test_a_curve_that_doubles_back_is_its_line_with_rounded_ends(curve, width):
    data, (first, last) = TO_AND_FRO[curve]
    found = read(svg(f'<path d="{data}" {ROUND} stroke-width="{width}"/>'), CHORD_MM).ink
    line = shapely.buffer(shapely.LineString([(first, 20), (last, 20)]), width / 2, quad_segs=200)
    assert shapely.symmetric_difference(found, line).area <= 2 * CHORD_MM * line.length


BENDS = {
    "a wide bend": ("M5 35C5 -10 50 -10 50 35", 9),
    "a bend tighter than the pen": ("M15 35C15-25 25-25 25 35", 12),
    "an arc": ("M10 30A20 12 30 0 1 50 25", 7),
    "a wave": ("M8 30Q25 30 30 18T52 10", 5),
}


@pytest.mark.parametrize("join", ["miter", "bevel", "round"])
@pytest.mark.parametrize("bend", sorted(BENDS))
def test_both_sides_of_a_stroke_stay_within_the_chord_error(bend, join):
    data, width = BENDS[bend]
    drawing = stroke(data, width=width, more=f'stroke-linejoin="{join}"')
    assert strays_mm(read(drawing, CHORD_MM), read(drawing, CHORD_MM / 20)) <= 1.5 * CHORD_MM


@pytest.mark.parametrize("bend", sorted(BENDS))
def test_the_ends_of_dashes_stay_within_the_chord_error(bend):
    data, width = BENDS[bend]
    drawing = stroke(data, width=width, more='stroke-dasharray="7 4"')
    assert strays_mm(read(drawing, CHORD_MM), read(drawing, CHORD_MM / 20)) <= 1.5 * CHORD_MM


def test_a_fill_stays_within_the_chord_error():
    drawing = svg('<path d="M5 20C5 5 20 5 20 20S35 35 35 20s15-15 15 0v15A30 9 5 0 1 5 35z"/>')
    assert strays_mm(read(drawing, CHORD_MM), read(drawing, CHORD_MM / 20)) <= 1.1 * CHORD_MM
