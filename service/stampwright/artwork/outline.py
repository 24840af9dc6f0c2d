"""Strokes to filled areas as SVG 2 defines them: the union of the segments' bodies, joins and caps.

Bodies, round joins and caps come from GEOS with bevel or round joins; a mitre inside its limit is added as its exact
tip. GEOS' own mitre is not used: past the limit it cuts the tip off where SVG wants a bevel.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import quarter_segments

from .limits import keep_within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .display import Pen

Line = tuple["NDArray[np.float64]", bool]


def stroked(lines: list[Line], pen: Pen, *, sagitta: float) -> list[shapely.Geometry]:
    """Areas whose union is the stroke of polylines, each with whether it is closed."""
    runs = [run for points, closed in lines for run in _dashed(_distinct(points), closed, pen)]
    return [area for points, closed in runs for area in _body(points, closed, pen, sagitta=sagitta)]


def _distinct(points: NDArray[np.float64]) -> NDArray[np.float64]:
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = np.any(points[1:] != points[:-1], axis=1)
    return points[keep]


def _body(points: NDArray[np.float64], closed: bool, pen: Pen, *, sagitta: float) -> list[shapely.Geometry]:  # noqa: FBT001
    half = pen.width / 2
    segments = quarter_segments(half, sagitta_mm=sagitta)
    if closed and len(points) > 1 and np.array_equal(points[0], points[-1]):
        points = points[:-1]
    if len(points) == 1:
        return _dot(points[0], pen, segments)
    style = "round" if pen.join == "round" else "bevel"
    if closed and len(points) > 2:
        line = shapely.linearrings(points)
    else:
        line = shapely.linestrings(np.vstack([points, points[:1]]) if closed else points)
    cap = {"butt": "flat"}.get(pen.cap, pen.cap)
    areas = [shapely.buffer(line, half, quad_segs=segments, cap_style=cap, join_style=style)]
    if pen.join == "miter":
        areas.extend(_mitre_tips(points, closed, half, pen.mitre_limit))
    return areas


def _dot(at: NDArray[np.float64], pen: Pen, segments: int) -> list[shapely.Geometry]:
    """A subpath without length: with round caps a disc, with square ones a square, else nothing (SVG 2, 13.5)."""
    half = pen.width / 2
    if pen.cap == "round":
        return [shapely.buffer(shapely.Point(at), half, quad_segs=segments)]
    return [shapely.box(*(at - half), *(at + half))] if pen.cap == "square" else []


def _mitre_tips(points: NDArray[np.float64], closed: bool, half: float, limit: float) -> list[shapely.Geometry]:  # noqa: FBT001
    """Triangles and kites between the bevel and the tip, at corners whose mitre is within the limit."""
    if closed:
        before, corner, after = np.roll(points, 1, axis=0), points, np.roll(points, -1, axis=0)
    else:
        before, corner, after = points[:-2], points[1:-1], points[2:]
    if not len(corner):
        return []
    u, v = _unit(corner - before), _unit(after - corner)
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    cos_half = np.sqrt(np.clip((1 + np.sum(u * v, axis=1)) / 2, 0.0, 1.0))  # of half the turn = sin of half the angle
    tipped = (cos_half * limit >= 1 - 1e-12) & (np.abs(cross) > 1e-12)
    if not tipped.any():
        return []
    u, v, corner = u[tipped], v[tipped], corner[tipped]
    side = np.where(cross[tipped] > 0, -half, half)[:, None]  # the outer side of the turn
    a = corner + side * np.column_stack([-u[:, 1], u[:, 0]])
    b = corner + side * np.column_stack([-v[:, 1], v[:, 0]])
    middle = (a + b) / 2 - corner
    tip = corner + middle / np.maximum(cos_half[tipped][:, None] ** 2, 1e-300)
    return list(shapely.polygons(np.stack([corner, a, tip, b, corner], axis=1)))


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    return vectors / np.maximum(np.hypot(vectors[:, 0], vectors[:, 1]), 1e-300)[:, None]


def _dashed(points: NDArray[np.float64], closed: bool, pen: Pen) -> list[Line]:  # noqa: FBT001
    """Cut a polyline into its dashes; without a pattern it stays whole."""
    period = sum(pen.dashes)
    if not period > 0:
        return [(points, closed)]
    if closed:
        points = np.vstack([points, points[:1]])
    lengths = np.hypot(*np.diff(points, axis=0).T)
    total = float(lengths.sum())
    if total == 0:
        return [(points[:1], False)]
    keep_within("dashes", total / period * len(pen.dashes) / 2)
    return _pieces(points, np.concatenate([[0.0], np.cumsum(lengths)]), closed, pen)


def _pieces(points: NDArray[np.float64], along: NDArray[np.float64], closed: bool, pen: Pen) -> list[Line]:  # noqa: FBT001
    total, period = float(along[-1]), sum(pen.dashes)
    spans: list[tuple[float, float]] = []
    at = -math.fmod(pen.dash_offset, period)
    at -= period if at > 0 else 0.0
    while at < total:
        for dash, space in zip(pen.dashes[::2], pen.dashes[1::2], strict=True):
            if at + dash >= 0 and at < total:
                spans.append((max(at, 0.0), min(at + dash, total)))
            at += dash + space
    if closed and len(spans) > 1 and spans[0][0] == 0.0 and spans[-1][1] == total:
        first, last = spans[0], spans.pop()  # a dash runs through the start of a closed line: one piece, with its join
        spans[0] = (last[0], total + first[1])
    elif closed and spans == [(0.0, total)]:
        return [(points[:-1], True)]
    return [(_between(points, along, start, stop), False) for start, stop in spans]


def _between(points: NDArray[np.float64], along: NDArray[np.float64], start: float, stop: float) -> NDArray[np.float64]:
    total = float(along[-1])
    if stop > total:
        head = _between(points, along, start, total)
        return _distinct(np.vstack([head, _between(points, along, 0.0, stop - total)]))
    ends = np.column_stack([np.interp([start, stop], along, points[:, axis]) for axis in (0, 1)])
    inside = points[(along > start) & (along < stop)]
    return _distinct(np.vstack([ends[:1], inside, ends[1:]]))
