"""Each kind of entity of a DXF, written by ezdxf and judged by closed forms and by scipy's splines."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from ezdxf.math import BSpline, Matrix44, rational_bspline_from_arc
from scipy.interpolate import BSpline as Curve

from dxf_drawings import SQUARE, dxf, ink_of, read, square, strays_mm, told

CHORD_MM = 0.002


def half_disc(model):
    model.add_arc((0, 0), 5, 0, 180)
    model.add_line((5, 0), (-5, 0))


def ellipse_by_insert(model):
    model.doc.blocks.new("DOT").add_circle((1, 1), 1)
    inner = model.doc.blocks.new("ROW")
    inner.add_blockref("DOT", (2, 0), dxfattribs={"xscale": 3, "yscale": 2, "rotation": 30})
    model.add_blockref("ROW", (7, 7), dxfattribs={"rotation": 15})


def array_of_dots(model, **scale):
    model.doc.blocks.new("DOT").add_circle((0, 0), 1)
    grid = {"row_count": 3, "column_count": 2, "row_spacing": 5, "column_spacing": 4, "rotation": 20}
    model.add_blockref("DOT", (7, 7), dxfattribs=grid | scale)


def ring_of_hatch(model):
    paths = model.add_hatch().paths
    edge = paths.add_edge_path(flags=1)
    edge.add_ellipse((0, 0), (6, 0), 0.5, 0, 360)
    paths.add_polyline_path([(-1, 0, 1), (1, 0, 1)], flags=0)


def half_hatch(model):
    edge = model.add_hatch().paths.add_edge_path()
    edge.add_arc((0, 0), 5, 0, 180, ccw=False)
    edge.add_line((5, 0), (-5, 0))


def crescent(model):
    """Both arcs run from right to left, as all arcs of a DXF do: one has to be gone backwards."""
    model.add_arc((0, 0), 5, 0, 180)
    edge = math.degrees(math.atan2(12, 5))
    model.add_arc((0, -12), 13, edge, 180 - edge)


def lens(model):
    """Two cubics from left to right; under (0, 0), (0, a), (b, a), (b, 0) lies 3/5 of ab."""
    for a in (3, -2):
        model.add_open_spline([(0, 0), (0, a), (10, a), (10, 0)])


def stadium(model):
    model.add_lwpolyline([(0, 0, 0), (8, 0, 1), (8, 4, 0), (0, 4, 1)], format="xyb", close=True)


def rounded_square(model):
    quarter = math.tan(math.pi / 8)
    sides = [(2, 0, 0), (8, 0, quarter), (10, 2, 0), (10, 8, quarter), (8, 10, 0), (2, 10, quarter), (0, 8, 0)]
    model.add_lwpolyline([*sides, (0, 2, quarter)], format="xyb", close=True)


def nurbs_circle(model):
    model.add_spline().apply_construction_tool(rational_bspline_from_arc((0, 0), 10, 0, 360))


def wide_arc(model):
    model.add_lwpolyline([(0, 0, 1), (10, 0, 0)], format="xyb", dxfattribs={"const_width": 2})


def wide_line_of_r12(model):
    widths = {"default_start_width": 2, "default_end_width": 2}
    model.add_polyline2d([(0, 0), (10, 0)], dxfattribs=widths)


def square_in_space(model):
    model.add_polyline3d([(0, 0, 1), (10, 0, 2), (10, 10, 3), (0, 10, 4)], close=True)


def half_ellipse_hatch(model):
    """Upper half, and below it a square: were the half the lower one, they would overlap."""
    paths = model.add_hatch().paths
    edge = paths.add_edge_path()
    edge.add_ellipse((0, 0), (6, 0), 0.5, 0, 180)
    edge.add_line((-6, 0), (6, 0))
    paths.add_polyline_path([(-1, -1), (1, -1), (1, -2), (-1, -2)])


AREAS = {
    "a circle": (lambda m: m.add_circle((3, 4), 10), math.pi * 100),
    "a ring by nesting": (lambda m: [m.add_circle((0, 0), r) for r in (10, 4, 2)], math.pi * (100 - 16 + 4)),
    "an arc and its chord": (half_disc, math.pi * 12.5),
    "a crescent of two arcs": (crescent, math.pi * 12.5 - 169 * math.asin(5 / 13) + 60),
    "a lens of two splines": (lens, 30),
    "bulges of a quarter turn": (rounded_square, 100 - (4 - math.pi) * 4),
    "bulges of half a turn": (stadium, 32 + math.pi * 4),
    "bulges of R12": (lambda m: m.add_polyline2d([(0, 0, 1), (8, 0, 1)], format="xyb", close=True), math.pi * 16),
    "an ellipse": (lambda m: m.add_ellipse((1, 2), (6, 3), 0.4), math.pi * 45 * 0.4),
    "a dot under two uneven inserts": (ellipse_by_insert, math.pi * 6),
    "an array of inserts": (array_of_dots, 6 * math.pi),
    "a rational spline": (nurbs_circle, math.pi * 100),
    "a hatch with an island": (ring_of_hatch, math.pi * (18 - 1)),
    "a hatch whose arc runs clockwise": (half_hatch, math.pi * 12.5),
    "a hatch of half an ellipse": (half_ellipse_hatch, math.pi * 9 + 2),
    "a solid, its corners in their own order": (lambda m: m.add_solid([(0, 0), (10, 0), (0, 10), (10, 10)]), 100),
    "a trace": (lambda m: m.add_trace([(0, 0), (10, 0), (0, 5), (10, 5)]), 50),
    "a wide line": (lambda m: m.add_lwpolyline([(0, 0), (10, 0)], dxfattribs={"const_width": 2}), 20),
    "a wide outline": (lambda m: square(m, dxfattribs={"const_width": 2}), 12**2 - 8**2),
    "a wide arc": (wide_arc, math.pi * (18 - 8)),
    "a wide line of R12": (wide_line_of_r12, 20),
    "a tapering line": (lambda m: m.add_lwpolyline([(0, 0, 4, 2), (10, 0, 0, 0)], format="xyse"), 30),
    "a square in space": (square_in_space, 100),
}


@pytest.mark.parametrize("what", AREAS)
def test_an_area_is_its_closed_form_within_the_chord_error(what):
    draw, area_mm2 = AREAS[what]
    ink, found = told(draw)
    assert abs(ink.area - area_mm2) <= CHORD_MM * ink.length + 1e-6 * area_mm2
    assert found == []


def test_the_grid_of_an_array_is_turned_with_it_and_not_scaled():
    ink = ink_of(lambda m: array_of_dots(m, xscale=2))
    turn = math.radians(20)
    steps = np.array([(4 * i, 5 * j) for i in range(2) for j in range(3)])
    turned = steps @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    want = shapely.MultiPoint(turned * [1, -1])
    found = shapely.MultiPoint([land.centroid for land in ink.geoms])
    assert strays_mm(want.buffer(1), found.buffer(1)) <= 0.005


@pytest.mark.parametrize("chord_mm", [0.0005, 0.01])
def test_a_circle_is_flattened_by_its_own_sagitta(chord_mm):
    """The area of a polygon of n corners in a circle, n by the sagitta: n/2 r² sin(2π/n)."""
    mark = read(dxf(lambda m: m.add_circle((0, 0), 10)), chord_mm=chord_mm)
    corners = len(shapely.get_coordinates(mark.ink)) - 1
    assert mark.ink.area == pytest.approx(corners / 2 * 100 * math.sin(2 * math.pi / corners), rel=1e-6)
    assert 10 * (1 - math.cos(math.pi / corners)) <= chord_mm
    assert mark.page_mm == pytest.approx((20, 20), abs=1e-6)


def test_control_points_of_a_fitted_polyline_are_not_on_it():
    """DXF reference, vertex, group 70: bit 16 is a control point of the frame."""

    def draw(model):
        line = model.add_polyline2d([(0, 0), (10, 0), (50, 50), (10, 10), (0, 10)], close=True)
        line.vertices[2].dxf.flags = 16

    assert ink_of(draw, version="R12", units=0).area == pytest.approx(100)


def test_a_periodic_spline_is_the_curve_that_scipy_draws():
    control = np.array([(0, 0), (10, 1), (12, 8), (4, 12), (-3, 6)] * 2)[:8]
    knots = np.arange(12.0)
    curve = Curve(knots, control, 3)(np.linspace(3, 8, 4001))
    ink = ink_of(lambda m: m.add_spline().apply_construction_tool(BSpline(control, order=4, knots=knots)))
    want = shapely.transform(shapely.Polygon(curve), lambda xy: xy * [1, -1])
    assert strays_mm(ink, want) <= 0.005


@pytest.mark.parametrize("degree", [2, 4, 5])
def test_splines_of_other_degrees_are_the_curves_that_scipy_draws(degree):
    control = np.array([(0, 0), (10, 1), (12, 8), (4, 12), (-3, 6), (-2, 3), (0, 0)], dtype=float)
    inner = np.linspace(0, 1, len(control) - degree + 1)
    knots = np.concatenate([np.zeros(degree), inner, np.ones(degree)])
    curve = Curve(knots, control, degree)(np.linspace(0, 1, 4001))
    ink = ink_of(lambda m: m.add_spline().apply_construction_tool(BSpline(control, order=degree + 1, knots=knots)))
    want = shapely.transform(shapely.Polygon(curve), lambda xy: xy * [1, -1])
    assert strays_mm(ink, want) <= 0.005


FLAG = shapely.Polygon([(0, 0), (10, 0), (10, 4), (3, 4), (3, 12), (0, 12)])  # like no mirror image of itself


@pytest.mark.parametrize("what", ["polyline", "hatch", "solid"])
def test_an_extrusion_downwards_mirrors(what):
    """DXF reference, arbitrary axis algorithm: with the normal (0, 0, -1) the object's x axis is (-1, 0, 0)."""
    down, points = {"extrusion": (0, 0, -1)}, list(FLAG.exterior.coords)[:-1]

    def draw(model):
        if what == "polyline":
            model.add_lwpolyline(points, close=True, dxfattribs=down)
        elif what == "hatch":
            model.add_hatch(dxfattribs=down).paths.add_polyline_path(points)
        else:
            model.add_solid([(0, 0), (10, 0), (0, 5)], dxfattribs=down)

    want = FLAG if what != "solid" else shapely.Polygon([(0, 0), (10, 0), (0, 5)])
    assert strays_mm(ink_of(draw), shapely.transform(want, lambda xy: xy * [-1, -1])) <= 1e-6


def test_y_is_turned_down_once():
    ink = ink_of(lambda m: m.add_lwpolyline(list(FLAG.exterior.coords), close=True))
    assert strays_mm(ink, shapely.transform(FLAG, lambda xy: xy * [1, -1])) <= 1e-6


def test_far_from_the_origin_the_ink_is_the_same():
    far = Matrix44.translate(1e7, -1e7, 0)
    ink = ink_of(lambda m: m.add_lwpolyline(far.transform_vertices([(x, y, 0) for x, y in SQUARE]), close=True))
    assert ink.area == pytest.approx(100, rel=1e-6)
    assert ink.bounds == pytest.approx((0, 0, 10, 10), abs=1e-6)
