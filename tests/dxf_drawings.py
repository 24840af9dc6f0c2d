"""DXF drawings written by ezdxf, for tests: single ones, and the nine ways in which the same outlines are sent."""

from __future__ import annotations

import io
import math
import random

import ezdxf
import numpy as np
import shapely
from ezdxf.math import Bezier4P, Vec3, bezier_to_bspline

from stampwright.artwork import faults, read_artwork
from stampwright.job import ArtworkChoice

MM, INCH = 4, 1  # $INSUNITS of the DXF reference
GAP_MM = 0.02


SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


def dxf(draw, *, version="R2010", units=MM, binary=False):
    """What `draw` puts into the modelspace, as bytes."""
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    return saved(document, binary=binary)


def saved(document, *, binary=False):
    """A document as bytes."""
    out = io.BytesIO() if binary else io.StringIO()
    document.write(out, fmt="bin" if binary else "asc")
    return out.getvalue() if binary else out.getvalue().encode()


def rings_of(area):
    """Rings of an area, each (n, 2) without its first point again, y turned up as in a DXF."""
    rings = [ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)]
    return [shapely.get_coordinates(ring)[:-1] * [1, -1] for ring in rings]


def _polylines(model, rings, **how):
    for ring in rings:
        model.add_lwpolyline(ring.tolist(), **how)


def _older(model, rings):
    for ring in rings:
        model.add_polyline2d(ring.tolist(), close=True)


def _unclosed(model, rings):
    _polylines(model, [np.concatenate([ring, ring[:1]]) for ring in rings])


def lines_of(rings, *, gap=0.0, seed=1):
    """Every side as a line, in any order and direction, shortened at both ends by half the gap or by an eighth."""
    chance = random.Random(seed)  # noqa: S311  an order, not a secret
    lines = []
    for ring in rings:
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            length = math.dist(start, end)
            cut = (end - start) * (min(gap, length / 4) / 2 / length)
            side = [start + cut, end - cut]
            lines.append(side[::-1] if chance.random() < 0.5 else side)
    chance.shuffle(lines)
    return lines


def _lines(model, rings, **how):
    for start, end in lines_of(rings, **how):
        model.add_line(start.tolist(), end.tolist())


def _block(model, rings, *, scales):
    block = model.doc.blocks.new("MARK", base_point=(3, -2))
    _polylines(block, [ring / np.abs(scales) for ring in rings], close=True)
    turned = {"xscale": scales[0], "yscale": scales[1]}
    model.add_blockref("MARK", (1000, -500), dxfattribs=turned)


def _hatched(model, rings):
    hatch = model.add_hatch(color=3)
    for ring in rings:
        hatch.paths.add_polyline_path(ring.tolist(), is_closed=True)
    _polylines(model, rings, close=True)


def _splines(model, rings):
    for ring in rings:
        sides = zip(ring, np.roll(ring, -1, axis=0), strict=True)
        cubics = [Bezier4P(Vec3.list([p, p + (q - p) / 3, q - (q - p) / 3, q])) for p, q in sides]
        model.add_spline().apply_construction_tool(bezier_to_bspline(cubics))


WAYS = {
    "closed polylines": lambda rings: dxf(lambda model: _polylines(model, rings, close=True)),
    "closed polylines of R12": lambda rings: dxf(lambda model: _older(model, rings), version="R12"),
    "polylines whose ends are equal": lambda rings: dxf(lambda model: _unclosed(model, rings)),
    "single lines in any order": lambda rings: dxf(lambda model: _lines(model, rings)),
    "single lines with gaps": lambda rings: dxf(lambda model: _lines(model, rings, gap=GAP_MM)),
    "a block twice as large": lambda rings: dxf(lambda model: _block(model, rings, scales=(2, 2))),
    "a mirrored block": lambda rings: dxf(lambda model: _block(model, rings, scales=(-1, 1))),
    "a hatch and its outlines": lambda rings: dxf(lambda model: _hatched(model, rings)),
    "splines": lambda rings: dxf(lambda model: _splines(model, rings)),
}
MIRRORED = {"a mirrored block"}


def at_origin(area):
    """An area moved so that its box begins at the origin."""
    x0, y0, _, _ = area.bounds
    return shapely.transform(area, lambda xy: xy - [x0, y0])


def strays_mm(a, b):
    """Hausdorff distance of the outlines of two areas, each at its own origin."""
    return shapely.hausdorff_distance(at_origin(a).boundary, at_origin(b).boundary)


def read(data, *, scale=1.0, **choice):
    mark = read_artwork(data, ArtworkChoice(**choice), scale_of=lambda _box: scale)
    assert faults(mark) == []
    assert mark.source == "dxf"
    return mark


def ink_of(draw, **how):
    return read(dxf(draw, **how)).ink


def codes(mark):
    return [notice.code for notice in mark.repaired + mark.left_out]


def told(draw, **how):
    """Ink and codes of a drawing."""
    mark = read(dxf(draw, **how))
    return mark.ink, codes(mark)


def square(model, x=0.0, y=0.0, side=10.0, **how):
    model.add_lwpolyline([(x + side * a / 10, y + side * b / 10) for a, b in SQUARE], close=True, **how)


def drawn_in_lines(model, points):
    for start, end in zip(points, [*points[1:], points[0]], strict=True):
        model.add_line(start, end)
