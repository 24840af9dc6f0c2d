"""Corners of ink where boundaries cross, and how fine chords must be there for the corner to lie where curves meet.

Where two boundaries cross at an angle φ, the corner between them is off by their chord errors over sin(φ/2): at 10° a
chord error of 2 µm moves it by 23 µm, along the line that halves the angle. A straight side is exact, and one that is
cut near the end of a chord is off by little (`sides`): a corner that is off by no more than it may asks for nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from .affine import moved, stretch
from .corners import corners_of
from .sides import Sides

if TYPE_CHECKING:
    from collections.abc import Sequence

    from manifold3d import CrossSection
    from numpy.typing import NDArray

    from .affine import Affine
    from .display import Shape
    from .paths import Path

_SPARE = 0.5  # of what a corner asks for: its angle is known but roughly, and what is a little finer is asked once


class Tips:
    """n corners, each with the way [px] along which it may yet move, and the chord error [px] it asks of curves."""

    def __init__(self, ways: NDArray[np.float64], asked_px: NDArray[np.float64], *, around_px: float) -> None:
        """`ways` (n, 2, 2): both ends of each way; `asked_px` (n,); a curve within `around_px` of one is around it."""
        self._ways, self._asked_px, self._around_px = ways, asked_px, around_px
        self._tree = shapely.STRtree(shapely.linestrings(ways))

    def __len__(self) -> int:
        """How many there are."""
        return len(self._asked_px)

    def and_more(self, more: Tips) -> Tips:
        """These corners and others."""
        ways, asked_px = (np.concatenate(pair) for pair in ((self._ways, more._ways), (self._asked_px, more._asked_px)))
        return Tips(ways, asked_px, around_px=self._around_px)

    def that_meet(self, shapes: Sequence[Shape]) -> Tips:
        """The corners that some shape has a curve around; straight lines are exact as they are."""
        met = np.zeros(len(self), dtype=bool)
        for shape in shapes:
            boxes = [_curves(shape.path, shape.to_page)]
            if shape.pen and "round" in (shape.pen.cap, shape.pen.join):
                boxes.append(_nodes(shape.path, shape.to_page))
            for each in boxes:
                met[self._near(each, _half_px(shape))[1]] = True
        return Tips(self._ways[met], self._asked_px[met], around_px=self._around_px)

    def asked_at(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """The least chord error that is asked for at each point (m, 2); else infinite."""
        return self._asked(_Boxes(np.arange(len(points)), points, points), 0.0, len(points))

    def asked_by_node(self, path: Path, to_page: Affine, *, beside_px: float = 0.0) -> NDArray[np.float64]:
        """What is asked for of each curve of a path, under the node it ends in; `beside_px`: half a pen's width."""
        return self._asked(_curves(path, to_page), beside_px, len(path.nodes))

    def asked_of_ends(self, path: Path, to_page: Affine, *, beside_px: float) -> float:
        """What is asked for of the joins and caps of a path; `beside_px`: half the pen's width."""
        return float(self._asked(_nodes(path, to_page), beside_px, len(path.nodes)).min(initial=np.inf))

    def _asked(self, boxes: _Boxes, beside_px: float, count: int) -> NDArray[np.float64]:
        asked = np.full(count, np.inf)
        box, tip = self._near(boxes, beside_px)
        np.minimum.at(asked, boxes.node[box], self._asked_px[tip])
        return asked

    def _near(self, boxes: _Boxes, beside_px: float) -> NDArray[np.intp]:
        around_px = self._around_px + beside_px
        found: NDArray[np.intp] = self._tree.query(
            shapely.box(*(boxes.low - around_px).T, *(boxes.high + around_px).T), predicate="intersects"
        )
        return found


class _Boxes(NamedTuple):
    """Boxes of m parts of a path: the node each belongs to, and two corners (m, 2)."""

    node: NDArray[np.intp]
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def _curves(path: Path, to_page: Affine) -> _Boxes:
    """Around each curve, by its control points or its ellipse's frame, under the node it ends in."""
    found = [_Boxes(np.zeros(0, dtype=np.intp), np.zeros((0, 2)), np.zeros((0, 2)))]
    for rows, corners in ((path.cubics, _hulls), (path.arcs, _frames)):
        if rows:
            table = np.array(rows)
            points = corners(table)
            points = moved(points.reshape(-1, 2), to_page).reshape(points.shape)
            found.append(_Boxes(table[:, 0].astype(np.intp), points.min(axis=1), points.max(axis=1)))
    return _Boxes(*map(np.concatenate, zip(*found, strict=True)))


def _nodes(path: Path, to_page: Affine) -> _Boxes:
    points = moved(np.array(path.nodes).reshape(-1, 2), to_page)
    return _Boxes(np.arange(len(points)), points, points)


def _hulls(cubics: NDArray[np.float64]) -> NDArray[np.float64]:
    return cubics[:, 1:].reshape(-1, 4, 2)


def _frames(arcs: NDArray[np.float64]) -> NDArray[np.float64]:
    centre, u, v = (arcs[:, None, i : i + 2] for i in (1, 3, 5))
    return np.concatenate([centre + i * u + j * v for i in (-1, 1) for j in (-1, 1)], axis=1)


def _half_px(shape: Shape) -> float:
    if shape.pen is None:
        return 0.0
    return shape.pen.width / 2 * (1.0 if shape.pen.non_scaling else stretch(shape.to_page))


class Precision(NamedTuple):
    """What ink is painted within [px], what a corner may be off by, and the finest chord error to ask for.

    Where boundaries coincide but for a rounding, no chord is fine enough.
    """

    painted_px: float
    off_px: float
    finest_px: float


def tips_of(
    ink: CrossSection, drawn: Sequence[NDArray[np.float64]], precision: Precision, *, known: Tips | None = None
) -> Tips | None:
    """The corners of ink that may be off by more than they may, painted finer around those that are `known`.

    `drawn`: all rings that the ink was made of; their own points are no crossings.
    """
    corners = corners_of(ink, below=min(precision.painted_px / precision.off_px, 1.0))
    crossings = np.flatnonzero(~corners.spikes)
    if not len(crossings):
        return None
    sides = Sides(drawn, corners.points[crossings], painted_px=precision.painted_px)
    points, half, ahead = corners.points[crossings], corners.half[crossings], corners.ahead[crossings]
    painted = np.full(len(crossings), precision.painted_px)
    if known is not None:
        painted = np.minimum(painted, known.asked_at(points))
    one, other = (np.minimum(sides.off_px(ends), painted) for ends in corners.ends[:, crossings])
    cosine = np.abs(1 - 2 * half**2)  # of the whole angle; whether the sides are off to the same side is not asked
    moved_px = np.sqrt(one**2 + other**2 + 2 * one * other * cosine) / np.sqrt(1 - cosine**2)
    asked = np.maximum(half * precision.off_px, precision.finest_px)
    way = (painted / np.maximum(half, precision.finest_px / precision.off_px))[:, None] * ahead / 2
    left = (asked < painted) & (moved_px > precision.off_px) & ~sides.drawn
    ways = np.stack([points - way, points + way], axis=1)[left]
    return Tips(ways, asked[left] * _SPARE, around_px=precision.off_px) if left.any() else None
