"""Boundaries of hatches: polylines with bulges, or edges of four kinds, in the hatch's own plane."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from ezdxf.entities.boundary_paths import ArcEdge, EdgePath, EllipseEdge, LineEdge, PolylinePath, SplineEdge

from . import splines
from .strands import of_arc, of_bulges, of_cubics, of_points

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ezdxf.entities.polygon import DXFPolygon

    from stampwright.artwork.paths import Path


def boundaries(hatch: DXFPolygon) -> Iterator[Path]:
    """What bounds a hatch, by its style: all outlines, the outer two, or the outermost (DXF reference, code 75)."""
    style = hatch.dxf.get("hatch_style", 0)
    for boundary in list(hatch.paths.rendering_paths(style)) or list(hatch.paths):
        if isinstance(boundary, PolylinePath):
            if boundary.vertices:
                rows = np.array(boundary.vertices, dtype=np.float64)
                yield of_bulges(rows[:, :2], rows[:, 2], closed=True)
        elif isinstance(boundary, EdgePath):
            yield from filter(None, map(_of_edge, boundary.edges))


def _of_edge(edge: object) -> Path | None:
    if isinstance(edge, LineEdge):
        return of_points([(edge.start[0], edge.start[1]), (edge.end[0], edge.end[1])])
    if isinstance(edge, ArcEdge):
        start, sweep = turned(math.radians(edge.start_angle), math.radians(edge.end_angle))
        r = edge.radius
        return of_arc((edge.center[0], edge.center[1]), (r, 0.0), (0.0, r), start, sweep)
    if isinstance(edge, EllipseEdge):
        start, sweep = turned(edge.start_param, edge.end_param)
        x, y = edge.major_axis[0], edge.major_axis[1]
        return of_arc((edge.center[0], edge.center[1]), (x, y), (-y * edge.ratio, x * edge.ratio), start, sweep)
    if isinstance(edge, SplineEdge):
        return of_cubics([[(p.x, p.y) for p in cubic] for cubic in splines.cubics_of(splines.of_edge(edge))])
    return None


def turned(start: float, end: float) -> tuple[float, float]:
    """Start and sweep of an arc from angle to angle, counter-clockwise; equal angles are a whole turn."""
    sweep = (end - start) % math.tau
    return start, sweep if 1e-9 < sweep < math.tau - 1e-9 else math.tau
