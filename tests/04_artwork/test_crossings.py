"""Boundaries of layers that cross: where they meet, how far outlines stray, and what thinning leaves."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from stampwright.artwork import faults, read_artwork
from stampwright.artwork.affine import IDENTITY
from stampwright.artwork.display import Pen, Shape
from stampwright.artwork.fine import thinned
from stampwright.artwork.ink import Painter
from stampwright.artwork.sides import Sides
from stampwright.artwork.svg.grammar import path_of
from stampwright.artwork.tips import Tips
from stampwright.job import ArtworkChoice
from stampwright.plane import count_slivers, polygons_of

CHORD_MM = 0.002
WITHIN_MM = 0.01
PAGE = 'xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="-30 -30 60 60"'


def read(body):
    return read_artwork(f"<svg {PAGE}>{body}</svg>".encode(), ArtworkChoice(), scale_of=lambda _box: 1.0).ink


def crescent(radius, other, apart, turn):
    discs = f'<circle r="{radius}"/><circle cx="{apart}" r="{other}" fill="#fff"/>'
    return read(f'<g transform="rotate({turn})">{discs}</g>')


# Circles that cross at the angle φ lie d² = r² + s² − 2 r s cos φ apart, and cross at x = (d² + r² − s²) / 2d
@given(st.integers(5, 20), st.floats(1.1, 1.4), st.floats(0.5, 20), st.integers(0, 89))
def test_the_tips_of_a_crescent_lie_where_its_circles_cross(radius, more, angle_deg, turn):
    other, angle = radius * more, math.radians(angle_deg)
    apart = math.sqrt(radius**2 + other**2 - 2 * radius * other * math.cos(angle))
    x = (apart**2 + radius**2 - other**2) / (2 * apart)
    y = math.sqrt(radius**2 - x**2)
    tips = shapely.points(np.array([[x, -y], [x, y]]) @ _turned(turn) + 30)
    assert shapely.distance(tips, crescent(radius, other, apart, turn).boundary).max() <= 1.1 * CHORD_MM


def _turned(turn_deg):
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.array([[cos, sin], [-sin, cos]])


@given(st.integers(5, 25), st.integers(0, 89))
def test_away_from_the_tips_a_crescent_keeps_the_chord_error(radius, turn):
    boundary = (
        shapely.get_coordinates(shapely.segmentize(crescent(radius, radius, radius / 2, turn).boundary, 0.05)) - 30
    )
    centres = np.array([[0, 0], [radius / 2, 0]]) @ _turned(turn)
    away = np.abs(np.hypot(*(boundary[:, None] - centres).T) - radius).min(axis=0)
    assert away.max() <= CHORD_MM * 1.001


@given(st.integers(6, 12), st.floats(1.0, 1.4), st.floats(15, 80), st.integers(0, 89))
def test_lines_of_one_pen_meet_where_their_sides_cross(radius, more, angle_deg, turn):
    other, half = radius * more, 0.4
    apart = math.sqrt(radius**2 + other**2 - 2 * radius * other * math.cos(math.radians(angle_deg)))
    assume(other - radius + 2 * half < 0.9 * apart)  # each side of one crosses both of the other
    rings = f'<circle r="{radius}"/><circle cx="{apart}" r="{other}"/>'
    pen = f'fill="none" stroke="#000" stroke-width="{2 * half}"'
    ink = read(f'<g transform="translate({-apart / 2})rotate({turn} {apart / 2} 0)" {pen}>{rings}</g>')
    corners = [
        (x, y)
        for r, s in itertools.product((radius - half, radius + half), (other - half, other + half))
        for x in [(apart**2 + r**2 - s**2) / (2 * apart)]
        for y in (math.sqrt(r**2 - x**2), -math.sqrt(r**2 - x**2))
    ]
    at = (np.array(corners) - [apart / 2, 0]) @ _turned(turn) + 30
    assert shapely.distance(shapely.points(at), ink.boundary).max() <= 1.5 * CHORD_MM


@given(st.integers(6, 18), st.floats(0.3, 0.97), st.integers(0, 89))
def test_a_straight_line_and_a_ring_of_one_pen_meet_where_their_sides_cross(radius, where, turn):
    half, y0 = 0.4, radius * where
    assume(y0 + half < radius - half - 0.02)  # each side of the line crosses both of the ring
    pen = f'fill="none" stroke="#000" stroke-width="{2 * half}"'
    ink = read(f'<g transform="rotate({turn})" {pen}><circle r="{radius}"/><path d="M-25 {y0}H25"/></g>')
    corners = [
        (sign * math.sqrt(r**2 - y**2), y)
        for r in (radius - half, radius + half)
        for y in (y0 - half, y0 + half)
        for sign in (-1, 1)
    ]
    at = np.array(corners) @ _turned(turn) + 30
    assert shapely.distance(shapely.points(at), ink.boundary).max() <= 1.5 * CHORD_MM


# A chord between two points of a circle: on it, the point at the polar radius q lies R − q off the circle
@given(st.floats(1, 1000), st.integers(8, 300), st.floats(0.02, 0.98))
def test_how_far_a_curve_lies_off_its_chord_is_never_thought_less_than_it_is(radius, parts, share):
    angle = np.arange(parts) * (2 * math.pi / parts)
    ring = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    point = ring[:1] + share * (ring[1:2] - ring[:1])
    sides = Sides([ring], point, painted_px=radius * (1 - math.cos(math.pi / parts)), rounded_px=1e-8)
    off = sides.off_px(sides.towards(ring[1:2]))
    true = radius - np.hypot(*point.T)
    assert true * (1 - 1e-6) <= off[0] <= 2.2 * true[0]  # up to twice, for the ring may go on straight


def test_a_straight_side_is_exact():
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    sides = Sides([square], np.array([[3.0, 0.0], [10.0, 0.0]]), painted_px=0.01, rounded_px=1e-8)
    assert sides.off_px(sides.towards(np.array([[10.0, 0.0], [10.0, 10.0]]))).tolist() == [0.0, 0.0]


# A chord of a circle of the radius R: at the distance x from its middle the circle lies R − √(R² − x²) less its height
@given(st.floats(1, 1000), st.integers(8, 300), st.floats(0.02, 0.98), st.floats(0.02, 0.98))
def test_how_far_a_curve_bulges_along_its_chord_is_known(radius, parts, share, along):
    angle = np.arange(parts) * (2 * math.pi / parts)
    ring = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    point = ring[:1] + share * (ring[1:2] - ring[:1])
    sides = Sides([ring], point, painted_px=radius * (1 - math.cos(math.pi / parts)), rounded_px=1e-8)
    pair, length = sides.towards(ring[1:2]), float(np.hypot(*(ring[1] - ring[0])))
    for other, sign in ((np.array([[2 * radius, 0.0]]), 1), (np.zeros((1, 2)), -1)):  # outside of the ring, and inside
        bulges = sides.bulges(pair, ring[1:2], other)
        here = share + along * (1 - share)
        r = (here - share) * length
        true = radius - np.hypot(*(ring[0] + here * (ring[1] - ring[0])))
        found = sign * bulges.by * (bulges.cut + r) * (bulges.rest - r)
        assert found[0] == pytest.approx(true, rel=0.2)  # an arc taken as a parabola, of which eight make the circle


# Circles of one radius that lie d apart cross at the angle d / radius, which here is as small as 0.01°
@given(st.integers(5, 20), st.floats(0.01, 0.5), st.integers(0, 89))
def test_the_tips_of_a_thin_crescent_lie_where_its_circles_cross(radius, angle_deg, turn):
    apart = 2 * radius * math.sin(math.radians(angle_deg) / 2)
    y = math.sqrt(radius**2 - apart**2 / 4)
    tips = shapely.points(np.array([[apart / 2, -y], [apart / 2, y]]) @ _turned(turn) + 30)
    assert shapely.distance(tips, crescent(radius, radius, apart, turn).boundary).max() <= 1.1 * CHORD_MM


# y = a x + c x² and y = b x² begin in one point, set out crossed where a > 0, and cross once more at x = a / (b − c)
@given(st.floats(0.004, 0.1), st.floats(0.03, 0.06), st.floats(0.01, 0.03), st.integers(0, 89))
def test_what_lies_between_curves_from_one_point_begins_where_they_cross_once_more(x, c, more, turn):
    a, b = x * more, c + more
    ink, cover = (
        f'<path {fill} d="M0 0Q10 {10 * s} 20 {20 * s + 400 * q}V40H0z"/>'
        for s, q, fill in ((a, c, ""), (0, b, 'fill="#fff"'))
    )
    around = shapely.get_coordinates(read(f'<g transform="rotate({turn})">{ink}{cover}</g>')) - 30
    upright = around @ _turned(turn).T
    tip = upright[upright[:, 0].argmin()]
    assert np.hypot(*(tip - [x, b * x * x])) <= 1.1 * CHORD_MM


# y = c x² + d and y = b x² graze each other, and cross at x² = d / (b − c)
@given(st.floats(0.3, 3), st.floats(0.01, 0.03), st.floats(0.0003, 0.003), st.integers(0, 89))
def test_curves_that_graze_each_other_meet_where_they_cross(x, c, more, turn):
    b = c + more
    ink, cover = (
        f'<path {fill} d="M-20 {400 * q + d}Q0 {d - 400 * q} 20 {400 * q + d}V25H-20z"/>'
        for d, q, fill in ((more * x * x, c, ""), (0, b, 'fill="#fff"'))
    )
    around = shapely.get_coordinates(read(f'<g transform="rotate({turn})">{ink}{cover}</g>')) - 30
    upright = around @ _turned(turn).T
    for sign in (-1, 1):
        half = upright[sign * upright[:, 0] > 0]
        tip = half[np.abs(half[:, 0]).argmin()]
        assert np.hypot(*(tip - [sign * x, b * x * x])) <= 1.1 * CHORD_MM


@given(st.floats(-0.9, 0.9), st.integers(0, 89))
def test_what_one_clip_cuts_of_two_layers_leaves_no_hair_between_them(where, turn):
    x = 20 * where
    layers = f'<path d="M-30-30H30V30H-30z"/><path d="M{x}-30H30V30H{x}z" fill="#fff"/>'
    clip = '<clipPath id="c"><circle r="20"/></clipPath>'
    ink = read(f'{clip}<g transform="rotate({turn})" clip-path="url(#c)">{layers}</g>')
    half_chord = math.sqrt(20**2 - x**2)
    sector = 400 * (math.pi - math.acos(x / 20)) + x * half_chord
    assert ink.area == pytest.approx(sector, abs=CHORD_MM * ink.length)
    tips = np.array([[x, -half_chord], [x, half_chord]]) @ _turned(turn) + 30
    around = shapely.get_coordinates(ink.boundary)
    straight_mm = np.abs((around - tips[0]) @ (_turned(turn).T @ [1, 0]))
    off_circle_mm = np.abs(np.hypot(*(around - 30).T) - 20)
    assert np.minimum(straight_mm, off_circle_mm).max() <= 1.1 * CHORD_MM
    assert ((around - 30) @ (_turned(turn).T @ [1, 0])).max() <= x + 1.1 * CHORD_MM


def test_layers_cost_no_more_vertices_than_each_drawn_alone():
    alone, both = (read('<circle r="20"/>' + over) for over in ("", '<circle r="9" cx="15" fill="#fff"/>'))
    small = read('<circle r="9" cx="15"/>')
    most = shapely.get_num_coordinates(alone) + shapely.get_num_coordinates(small)
    assert shapely.get_num_coordinates(both) <= most


discs = st.tuples(st.integers(-20, 20), st.integers(-20, 20), st.integers(2, 12))


def ring(x, y, radius):
    centre = shapely.Point(x, y)
    return shapely.difference(centre.buffer(radius, 64), centre.buffer(radius - 1, 64))


@given(st.lists(discs, min_size=1, max_size=5))
def test_thinning_keeps_lands_and_holes_and_strays_no_farther_than_allowed(found):
    area = polygons_of(shapely.union_all([ring(*disc) for disc in found]))
    assume(not count_slivers(area))
    thin = thinned(area, within_mm=WITHIN_MM, sliver_mm2=0.001)
    assert thin.is_valid
    assert [len(land.interiors) for land in thin.geoms] == [len(land.interiors) for land in area.geoms]
    assert shapely.hausdorff_distance(thin.boundary, area.boundary) <= WITHIN_MM * 1.0001
    assert shapely.get_num_coordinates(thin) < 0.8 * shapely.get_num_coordinates(area)


@pytest.mark.parametrize("gap_mm", [0.001, 0.004, 0.02])
def test_lands_closer_than_the_chord_error_stay_apart(gap_mm):
    inner, outer = shapely.Point(0, 0).buffer(10, 256), shapely.Point(0, 0).buffer(10 + gap_mm, 256)
    area = shapely.MultiPolygon([inner, shapely.difference(outer.buffer(5, 256), outer)])
    thin = thinned(area, within_mm=WITHIN_MM, sliver_mm2=0.001)
    assert thin.is_valid
    assert len(thin.geoms) == 2


def test_what_would_cost_too_much_when_fine_is_read_at_its_chord_error():
    def circles(x):
        places = itertools.product(range(-20, 20), repeat=2)
        return "".join(f"M{x + 7 * i} {7 * j}a3 3 0 1 0 6 0a3 3 0 1 0-6 0z" for i, j in places)

    body = f'<path d="{circles(0)}"/><path d="M-300-300h600v300h-600z" fill="#fff"/>'
    page = 'xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" viewBox="-300 -300 600 600"'
    mark = read_artwork(f"<svg {page}>{body}</svg>".encode(), ArtworkChoice(), scale_of=lambda _box: 1.0)
    assert not faults(mark)
    assert mark.ink.area == pytest.approx(40 * 19.5 * math.pi * 9, rel=0.001)


def test_a_line_of_many_curves_is_cut_finer_only_around_a_sharp_corner():
    waves = path_of("M0 0" + "".join(f"q5 {(-1) ** i * 5} 10 0" for i in range(200)))
    pen = Pen(0.5, "butt", "miter", 4.0, (), 0.0, non_scaling=False)
    corner = Tips(np.array([[[15.0, 0.0], [15.0, 0.0]]]), np.array([1e-6]), around_px=10.0)
    plain, fine = (
        Painter(sagitta_px=1e-3, tips=tips).area(Shape(None, waves, IDENTITY, pen=pen)).num_vert()
        for tips in (None, corner)
    )
    assert 1.1 * plain < fine < 2 * plain  # all along it would be thirty times as many
