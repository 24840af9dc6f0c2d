"""Which lines of a DXF belong together: joining, copies, crossings, hatches; the areas are those of plain squares."""

from __future__ import annotations

import math

import pytest

from dxf_drawings import SQUARE, codes, drawn_in_lines, dxf, read, square, told
from stampwright.artwork import read_artwork
from stampwright.job import ArtworkChoice

GAPS = [(0.09, 1, True), (0.11, 1, False), (0.09, 2, False), (0.19, 0.5, True)]


@pytest.mark.parametrize(("gap_mm", "scale", "joins"), GAPS)
def test_ends_are_joined_within_a_gap_on_the_face(gap_mm, scale, joins):
    data = dxf(lambda m: (m.add_circle((30, 5), 5), m.add_lwpolyline([*SQUARE, (0, gap_mm)])))
    mark = read(data, scale=scale)
    assert codes(mark) == (["gap-bridged"] if joins else ["open-contour"])
    assert len(mark.ink.geoms) == 1 + joins
    assert not joins or f"{gap_mm * scale:.2g} mm on the face" in mark.repaired[0].says


def test_what_lies_far_off_and_is_left_out_does_not_widen_the_gap_that_is_joined():
    half_open = [*SQUARE, (0, 0.5)]
    data = dxf(lambda m: (m.add_circle((30, 5), 5), m.add_lwpolyline(half_open), m.add_line((0, 9e3), (1, 9e3))))
    mark = read_artwork(data, ArtworkChoice(), scale_of=lambda box: 30 / max(box[2] - box[0], box[3] - box[1]))
    assert mark.ink.area == pytest.approx(25 * math.pi, rel=1e-3)
    assert [(notice.code, notice.count) for notice in mark.left_out] == [("open-contour", 2)]


def test_ends_that_differ_by_a_rounding_are_the_same():
    def draw(model):
        for i in range(60):
            a, b = (math.radians(6 * k) for k in (i, i + 1))
            off = 4e-4 * (-1) ** i  # less than a thousandth of a millimetre apart
            model.add_line((9 * math.cos(a) + off, 9 * math.sin(a)), (9 * math.cos(b), 9 * math.sin(b) - off))

    assert told(draw)[1] == []


def test_an_open_contour_is_told_with_its_place_and_its_gap():
    mark = read(dxf(lambda m: (m.add_circle((30, 5), 5), m.add_lwpolyline([*SQUARE, (0, 0.5)]))))
    (notice,) = mark.left_out
    assert notice.element.startswith("/0/LWPOLYLINE[")
    assert "0.5 mm apart" in notice.says
    assert notice.bounds_mm == pytest.approx((-25, 0, -15, 10))  # from the corner of the ink, which is the disc


def test_beside_a_wide_line_the_gap_is_that_on_the_face_of_the_whole():
    def draw(model):
        model.add_lwpolyline([(0, 200), (10, 200)], dxfattribs={"const_width": 5})
        model.add_lwpolyline([(100, 0), (110, 0), (110, 10), (100, 10), (100, 0.3)])

    mark = read_artwork(dxf(draw), ArtworkChoice(), scale_of=lambda box: 30 / max(box[2] - box[0], box[3] - box[1]))
    assert codes(mark) == ["gap-bridged"]  # 0.3 mm of 202.5 mm, which come to 30 mm


def test_a_tail_is_left_out_and_the_outline_stays():
    ink, found = told(lambda m: (drawn_in_lines(m, SQUARE), m.add_line((0, 0), (-5, -5))))
    assert ink.area == pytest.approx(100)
    assert found == ["open-contour"]


def test_a_divided_outline_is_left_out_since_no_side_is_said_to_be_ink():
    ink, found = told(lambda m: (drawn_in_lines(m, SQUARE), m.add_line((0, 0), (10, 10)), m.add_circle((30, 0), 1)))
    assert ink.area == pytest.approx(math.pi, rel=1e-2)
    assert found == ["outline-branches"]


def test_outlines_that_meet_in_a_corner_are_both_ink():
    ink, found = told(lambda m: (drawn_in_lines(m, SQUARE), drawn_in_lines(m, [(x + 10, y + 10) for x, y in SQUARE])))
    assert ink.area == pytest.approx(200)
    assert found == []


def test_neighbours_that_share_a_side_are_both_ink():
    ink, found = told(lambda m: (drawn_in_lines(m, SQUARE), drawn_in_lines(m, [(x + 10, y) for x, y in SQUARE])))
    assert ink.area == pytest.approx(200)
    assert found == []


@pytest.mark.parametrize("other", [square, lambda m: drawn_in_lines(m, SQUARE[2:] + SQUARE[:2])])
def test_an_outline_drawn_twice_is_taken_once(other):
    ink, found = told(lambda m: (square(m), other(m)))
    assert ink.area == pytest.approx(100)
    assert found == ["duplicate-outline"]


def test_lines_drawn_twice_are_taken_once():
    ink, found = told(lambda m: (drawn_in_lines(m, SQUARE), drawn_in_lines(m, SQUARE[::-1])))
    assert ink.area == pytest.approx(100)
    assert found == ["duplicate-outline"]


def test_outlines_that_cross_are_told_with_the_area_in_doubt():
    mark = read(dxf(lambda m: (square(m), square(m, 5, 5))))
    assert mark.ink.area == pytest.approx(150)
    (notice,) = mark.repaired
    assert (notice.code, notice.count) == ("outlines-cross", 2)
    assert "25 mm²" in notice.says


def test_an_outline_that_runs_over_itself_is_told():
    star = [(10 * math.cos(4 * math.pi * i / 5), 10 * math.sin(4 * math.pi * i / 5)) for i in range(5)]
    assert told(lambda m: m.add_lwpolyline(star, close=True))[1] == ["outlines-cross"]


def test_nested_outlines_are_in_no_doubt():
    assert told(lambda m: (square(m), square(m, 2, 2, 5), square(m, 3, 3, 1)))[1] == []


def test_outlines_away_from_hatches_are_left_out():
    def draw(model):
        square(model)
        model.add_hatch().paths.add_polyline_path(SQUARE)
        model.add_circle((30, 5), 5)

    ink, found = told(draw)
    assert ink.area == pytest.approx(100)
    assert found == ["outline-beside-hatch"]
