"""Paths: nodes joined by lines, cubics and arcs of ellipses, in the element's own space. No curve is flattened yet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from .affine import moved

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.base import Bounds

    from .affine import Affine

Node = tuple[float, float]


@dataclass(slots=True)
class Path:
    """`nodes` are all start and end points; a curve is kept under the index of the node it ends in.

    cubics: (node, x0, y0, x1, y1, x2, y2, x3, y3).
    arcs: (node, cx, cy, ux, uy, vx, vy, from, sweep): the point at angle t is c + u cos t + v sin t [rad].
    subpaths: (first node, node after the last, closed).
    """

    nodes: list[Node] = field(default_factory=list)
    cubics: list[tuple[float, ...]] = field(default_factory=list)
    arcs: list[tuple[float, ...]] = field(default_factory=list)
    subpaths: list[tuple[int, int, bool]] = field(default_factory=list)
    broken: bool = False  # a syntax error: what stands before it is here
    _start: int = 0
    _reach: Bounds | None = field(default=None, repr=False, compare=False)

    def move(self, x: float, y: float) -> None:
        """Begin a subpath."""
        self.end(closed=False)
        self.nodes.append((x, y))

    def line(self, x: float, y: float) -> None:
        """Go straight."""
        self.nodes.append((x, y))

    def quadratic(self, x1: float, y1: float, x: float, y: float) -> None:
        """Go by a quadratic Bézier curve, raised to the cubic that it is."""
        x0, y0 = self.nodes[-1]
        third = 2 / 3
        self.cubic(x0 + third * (x1 - x0), y0 + third * (y1 - y0), x + third * (x1 - x), y + third * (y1 - y), x, y)

    def cubic(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:  # noqa: PLR0913, PLR0917
        """Go by a cubic Bézier curve."""
        self.cubics.append((len(self.nodes), *self.nodes[-1], x1, y1, x2, y2, x, y))
        self.nodes.append((x, y))

    def arc(self, rx: float, ry: float, turn_deg: float, large: bool, sweep: bool, x: float, y: float) -> None:  # noqa: FBT001, PLR0913, PLR0917
        """Go by an arc of an ellipse, converted from end points to centre (SVG 1.1, F.6.5 and F.6.6)."""
        x0, y0 = self.nodes[-1]
        if (x0, y0) == (x, y) or rx == 0 or ry == 0:
            self.line(x, y)  # F.6.2 leaves out an arc to where it begins; every program has its caps all the same
            return
        if not math.isfinite(turn_deg):  # a number beyond all bounds: as a coordinate the range check will name it
            self.line(turn_deg, turn_deg)
            return
        rx, ry, phi = abs(rx), abs(ry), math.radians(turn_deg)
        cos, sin = math.cos(phi), math.sin(phi)
        dx, dy = (x0 - x) / 2, (y0 - y) / 2
        px, py = (cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry
        spread = px * px + py * py
        if spread > 1:  # F.6.6: radii too small to reach are enlarged
            rx, ry, px, py = (
                value * factor
                for value, factor in zip(
                    (rx, ry, px, py), (math.sqrt(spread),) * 2 + (1 / math.sqrt(spread),) * 2, strict=True
                )
            )
            spread = 1.0
        if not math.isfinite(spread) or spread == 0:  # numbers beyond all bounds: the range check will name them
            self.line(x, y)
            return
        root = math.sqrt(max(0.0, 1 / spread - 1)) * (-1 if large == sweep else 1)
        qx, qy = root * py, -root * px  # the centre, in units of the radii
        start, end = math.atan2(py - qy, px - qx), math.atan2(-py - qy, -px - qx)
        swept = (end - start) % (2 * math.pi) if sweep else -((start - end) % (2 * math.pi))
        cx, cy = cos * rx * qx - sin * ry * qy + (x0 + x) / 2, sin * rx * qx + cos * ry * qy + (y0 + y) / 2
        self.arcs.append((len(self.nodes), cx, cy, rx * cos, rx * sin, -ry * sin, ry * cos, start, swept))
        self.nodes.append((x, y))

    def end(self, *, closed: bool) -> None:
        """End the subpath that is open, if any."""
        if len(self.nodes) > self._start:
            self.subpaths.append((self._start, len(self.nodes), closed))
        self._start = len(self.nodes)

    @property
    def open(self) -> bool:
        """Whether a subpath has begun and not ended."""
        return len(self.nodes) > self._start

    @property
    def segments(self) -> int:
        """Number of segments, at most."""
        return len(self.nodes)

    def moved(self, m: Affine) -> Path:
        """The same path under an affine map: curves stay curves."""
        a, b, c, d, e, f = m
        path = Path(broken=self.broken, subpaths=list(self.subpaths))
        path.nodes = [(a * x + c * y + e, b * x + d * y + f) for x, y in self.nodes]
        path.cubics = _moved_rows(self.cubics, (1, 3, 5, 7), (), m)
        path.arcs = _moved_rows(self.arcs, (1,), (3, 5), m)
        return path

    @classmethod
    def joined(cls, paths: Sequence[Path]) -> Path:
        """All subpaths of finished paths as one."""
        whole = cls()
        for path in paths:
            at = len(whole.nodes)
            whole.nodes += path.nodes
            whole.cubics += [(row[0] + at, *row[1:]) for row in path.cubics]
            whole.arcs += [(row[0] + at, *row[1:]) for row in path.arcs]
            whole.subpaths += [(first + at, stop + at, closed) for first, stop, closed in path.subpaths]
        return whole

    def reach(self) -> Bounds | None:
        """Box of all nodes and control points of a finished path: it holds it and is seldom much larger."""
        if not self.nodes or self._reach is not None:
            return self._reach
        xs, ys = map(list, zip(*self.nodes, strict=True))
        for _, _, _, x1, y1, x2, y2, _, _ in self.cubics:
            xs += x1, x2
            ys += y1, y2
        for row in self.arcs:
            for x, y in _arc_corners(*row[1:]):
                xs.append(x)
                ys.append(y)
        if not math.isfinite(sum(xs) + sum(ys)):  # the least of numbers among which one is none may be any
            xs, ys = ([float(np.min(each)), float(np.max(each))] for each in (xs, ys))
        self._reach = (min(xs), min(ys), max(xs), max(ys))
        return self._reach


def _arc_corners(  # noqa: PLR0913, PLR0917  a row of them
    cx: float, cy: float, ux: float, uy: float, vx: float, vy: float, start: float, sweep: float
) -> list[Node]:
    """Corners of the tangents to an arc, four of them: with its ends they enclose it."""
    out = 1 / math.cos(sweep / 8)
    turns = [start + sweep * (i + 0.5) / 4 for i in range(4)]
    ways = [(math.cos(t) * out, math.sin(t) * out) for t in turns]
    return [(cx + ux * cos + vx * sin, cy + uy * cos + vy * sin) for cos, sin in ways]


def _moved_rows(
    rows: list[tuple[float, ...]], points: tuple[int, ...], ways: tuple[int, ...], m: Affine
) -> list[tuple[float, ...]]:
    """Curves with the points and the directions in the given columns moved."""
    if not rows:
        return []
    table = np.array(rows)
    for columns, by in ((points, m), (ways, (*m[:4], 0.0, 0.0))):
        for i in columns:
            table[:, i : i + 2] = moved(table[:, i : i + 2], by)
    return [(int(row[0]), *row[1:]) for row in table.tolist()]
