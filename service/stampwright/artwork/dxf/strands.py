"""Strands: what one entity draws in one go, as a path of one subpath in millimetres of the world."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stampwright.artwork.paths import Path

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from .placed import Placed

_APART = 1e-9  # rad
_STRAIGHT = 1e-9  # a bulge of less departs from its chord by half of it times the chord
Point = tuple[float, float]


@dataclass(eq=False, slots=True)
class Strand:
    """A path of one subpath."""

    placed: Placed
    path: Path

    @property
    def closed(self) -> bool:
        """Whether it closes by itself."""
        return self.path.subpaths[0][2]


def of_points(points: Iterable[Point], *, closed: bool = False) -> Path:
    """Straight lines from point to point."""
    nodes = list(points)
    return Path(nodes=nodes, subpaths=[(0, len(nodes), closed)])


def of_bulges(points: NDArray[np.float64], bulges: NDArray[np.float64], *, closed: bool) -> Path:
    """A polyline (n, 2) whose segments are arcs: a bulge is the tangent of a quarter of the angle (DXF reference)."""
    if closed and len(points):
        points, bulges = np.concatenate([points, points[:1]]), np.concatenate([bulges, [0.0]])
    path = of_points(map(tuple, points.tolist()), closed=closed)
    start, chord, bulge = points[:-1], np.diff(points, axis=0), bulges[:-1]
    at = np.flatnonzero((np.abs(bulge) > _STRAIGHT) & (np.abs(chord).max(axis=1, initial=0.0) > 0))
    if len(at):
        b, (dx, dy) = bulge[at], chord[at].T
        off = (1 - b * b) / (4 * b)
        ux, uy = off * dy - dx / 2, -off * dx - dy / 2  # from the centre to the start
        rows = [at + 1, start[at, 0] - ux, start[at, 1] - uy, ux, uy, -uy, ux, np.zeros_like(b), 4 * np.arctan(b)]
        path.arcs = list(map(tuple, np.column_stack(rows).tolist()))
    return path


def of_arc(centre: Point, u: Point, v: Point, start: float, sweep: float) -> Path:
    """The arc c + u cos t + v sin t; a sweep of a full turn closes it.

    In parts between the points where it turns in x or y, so that its nodes reach as far as it does.
    """

    def at(t: float) -> Point:
        cos, sin = math.cos(t), math.sin(t)
        return centre[0] + u[0] * cos + v[0] * sin, centre[1] + u[1] * cos + v[1] * sin

    closed = abs(sweep) >= 2 * math.pi
    turns = sorted((math.atan2(v[i], u[i]) + half - start) % (2 * math.pi) for i in (0, 1) for half in (0, math.pi))
    cuts = [0.0, *(turn for turn in turns if _APART < turn < sweep - _APART), sweep]
    nodes = [at(start + cut) for cut in cuts]
    if closed:
        nodes[-1] = nodes[0]
    parts = enumerate(itertools.pairwise(cuts), 1)
    rows: list[tuple[float, ...]] = [(i, *centre, *u, *v, start + begin, end - begin) for i, (begin, end) in parts]
    return Path(nodes=nodes, arcs=rows, subpaths=[(0, len(nodes), closed)])


def of_cubics(curves: Sequence[Sequence[Point]]) -> Path:
    """Cubics one after the other, each as four points."""
    nodes = [curves[0][0], *(curve[3] for curve in curves)]
    rows = [(i, *itertools.chain.from_iterable(curve)) for i, curve in enumerate(curves, 1)]
    return Path(nodes=nodes, cubics=rows, subpaths=[(0, len(nodes), False)])


def backwards(path: Path) -> Path:
    """The same strand from its other end."""
    last = len(path.nodes)
    cubics = [(last - row[0], *row[7:9], *row[5:7], *row[3:5], *row[1:3]) for row in reversed(path.cubics)]
    arcs = [(last - row[0], *row[1:7], row[7] + row[8], -row[8]) for row in reversed(path.arcs)]
    return Path(nodes=path.nodes[::-1], cubics=cubics, arcs=arcs, subpaths=list(path.subpaths))


def ahead(path: Path) -> Point:
    """Direction at the last node, of any length."""
    last = len(path.nodes) - 1
    if path.arcs and path.arcs[-1][0] == last:
        _, _, _, ux, uy, vx, vy, start, sweep = path.arcs[-1]
        cos, sin = math.cos(start + sweep), math.sin(start + sweep)
        sign = math.copysign(1.0, sweep)
        return sign * (vx * cos - ux * sin), sign * (vy * cos - uy * sin)
    before: Iterable[Point] = reversed(path.nodes[:-1])
    if path.cubics and path.cubics[-1][0] == last:
        row = path.cubics[-1]
        before = [(row[5], row[6]), (row[3], row[4]), (row[1], row[2])]
    x, y = path.nodes[-1]
    return next(((x - a, y - b) for a, b in before if (a, b) != (x, y)), (0.0, 0.0))


def length_of(path: Path) -> float:
    """Length, near enough: chords, and arcs by their larger half axis."""
    nodes = np.array(path.nodes)
    chords = float(np.hypot(*np.diff(nodes, axis=0).T).sum())
    arcs = sum(max(math.hypot(r[3], r[4]), math.hypot(r[5], r[6])) * abs(r[8]) for r in path.arcs)
    return max(chords, arcs)
