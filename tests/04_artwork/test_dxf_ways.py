"""One mark in many ways: nine kinds of DXF, lines and arcs in any order, SVG, PDF and DXF, our own outlines."""

from __future__ import annotations

import io
import math

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from dxf_drawings import (
    GAP_MM,
    MIRRORED,
    SQUARE,
    WAYS,
    at_origin,
    dxf,
    ink_of,
    lines_of,
    read,
    rings_of,
    saved,
    strays_mm,
)
from paper import pdf
from stamped import MARKS
from stampwright.artwork import read_artwork
from stampwright.documents import outlines_dxf
from stampwright.job import ArtworkChoice, read_job
from stampwright.pipeline import make_stamp, review_mark


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", ["skep", "hourglass", "windrose"])
def test_nine_ways_of_writing_a_mark_give_the_same_ink(way, name):
    drawn = read_artwork(MARKS[name].svg, ArtworkChoice(chord_mm=0.05), scale_of=lambda _box: 1.0).ink
    mark = read(WAYS[way](rings_of(drawn)))
    want = shapely.transform(drawn, lambda xy: xy * [-1, 1]) if way in MIRRORED else drawn
    assert strays_mm(mark.ink, want) <= 0.005
    assert mark.left_out == ()


def test_gaps_that_were_bridged_are_told_with_the_largest():
    ring = [np.array(SQUARE, dtype=float)]
    mark = read(WAYS["single lines with gaps"](ring))
    (notice,) = mark.repaired
    assert (notice.code, notice.count) == ("gap-bridged", 4)
    assert f"{GAP_MM / math.sqrt(2):.2g} mm" in notice.says  # from corner to corner of the cut
    assert mark.ink.area == pytest.approx(100)  # the corners are where the lines would meet


@given(st.integers(0, 10**6), st.integers(3, 40), st.integers(0, 3))
@settings(max_examples=15, deadline=None)
def test_any_outline_with_holes_comes_back_from_its_lines_and_arcs(seed, corners, holes):
    chance = np.random.default_rng(seed)
    area = _star(chance, corners, 10.0, (0, 0))
    for k in range(holes):
        angle = 2 * math.pi * k / 3
        area -= _star(chance, corners, 1.5, (3 * math.cos(angle), 3 * math.sin(angle)))
    want = shapely.transform(area, lambda xy: xy * [1, -1])

    def draw(model):
        model.add_arc((30, 0), 5, 0, 250)
        model.add_arc((30, 0), 5, 250, 360)
        for start, end in lines_of(rings_of(want), seed=seed):
            model.add_line(start.tolist(), end.tolist())

    whole = at_origin(ink_of(draw))
    disc = area.union(shapely.Point(30, 0).buffer(5, quad_segs=90))
    turned = shapely.transform(disc, lambda xy: xy * [1, -1])
    assert shapely.hausdorff_distance(whole.boundary, at_origin(turned).boundary) <= 0.005


def _star(chance, corners, size, centre):
    turns = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = size * chance.uniform(0.5, 1.0, corners)
    return shapely.Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * reach[:, None] + centre)


BEE = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30"><path
fill-rule="evenodd" d="M4 15A16 10 0 0 1 36 15A16 10 0 0 1 4 15Z
M12 15C12 8 20 8 20 15S12 22 12 15Z M25 15a4 4 0 0 1 8 0a4 4 0 0 1 -8 0z
M27 15a2 2 0 0 1 4 0a2 2 0 0 1 -4 0z"/></svg>"""


def bee(model):
    model.add_ellipse((20, 15), (16, 0), 10 / 16)
    for control in ([(12, 15), (12, 22), (20, 22), (20, 15)], [(20, 15), (20, 8), (12, 8), (12, 15)]):
        model.add_open_spline(control)
    model.add_circle((29, 15), 4)
    model.add_circle((29, 15), 2)


def in_cubics(x, y, rx, ry):
    """An ellipse as sixteen cubics in the words of a PDF: off by less than 1e-7 of its size."""
    turns = np.linspace(0, 2 * math.pi, 17)
    on, ahead = np.array([np.cos(turns), np.sin(turns)]).T, np.array([-np.sin(turns), np.cos(turns)]).T
    third = 4 / 3 * math.tan(math.pi / 32)
    controls = np.stack([on[:-1] + third * ahead[:-1], on[1:] - third * ahead[1:], on[1:]], axis=1)
    curves = (controls * [rx, ry] + [x, y]).reshape(-1, 6)
    return f"{x + rx} {y} m " + "".join(" ".join(f"{v:.9f}" for v in row) + " c " for row in curves) + "h "


def bee_as_pdf():
    drops = "12 15 m 12 22 20 22 20 15 c 20 8 12 8 12 15 c h "
    discs = in_cubics(20, 15, 16, 10) + in_cubics(29, 15, 4, 4) + in_cubics(29, 15, 2, 2)
    per_mm = 72 / 25.4
    return pdf(f"{per_mm} 0 0 {per_mm} 0 0 cm {discs}{drops}f*", page="/MediaBox[0 0 113.386 85.039]")


def test_a_mark_as_svg_pdf_and_dxf_makes_the_same_face():
    faces = [review_mark(data, read_job({})).face for data in (BEE.encode(), bee_as_pdf(), dxf(bee))]
    lands = [len(face.ink.geoms) for face in faces]
    counters = [sum(len(land.interiors) for land in face.ink.geoms) for face in faces]
    assert (lands, counters) == ([2, 2, 2], [2, 2, 2])
    assert [face.ink.area for face in faces] == pytest.approx([faces[0].ink.area] * 3, rel=1e-4)
    assert [face.scale for face in faces] == pytest.approx([faces[0].scale] * 3, rel=1e-4)


def test_the_outlines_of_a_face_read_back_give_the_face():
    stamp = make_stamp(MARKS["skep"].svg, read_job({}))
    document = ezdxf.read(io.StringIO(outlines_dxf(stamp).decode()))
    for name in ("HEAD", "LEFT_UNCUT", "HOLE", "INK_BOX"):
        document.layers.get(name).off()
    mark = read(saved(document))
    seen = shapely.transform(stamp.face.ink, lambda xy: xy * [1, -1])
    assert strays_mm(mark.ink, seen) <= 1e-6
    assert [notice.code for notice in mark.left_out] == ["hidden-layer"]
