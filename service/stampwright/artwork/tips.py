"""Corners of ink where boundaries cross, and how fine chords must be there for the corner to lie where curves meet.

Where two boundaries cross at an angle φ, the corner between them is off by their chord errors over sin(φ/2): at 10° a
chord error of 2 µm moves it by 23 µm, along the line that halves the angle. A straight side is exact, and one that is
cut near the end of a chord is off by little (`sides`): a corner that is off by no more than it may asks for nothing.
Nor does one that was drawn, unless its chords hide that the curves set out from it the other way round.
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
    from .sides import Bulges

_AT_ONCE = 0.01  # of the chord error that a corner is painted with: its angle is known no better
_FINEST = 4  # times what coordinates are rounded to: where boundaries coincide but for that, no chord is fine enough
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
                nodes = moved(np.array(shape.path.nodes).reshape(-1, 2), shape.to_page)
                boxes.append((nodes, nodes))
            for low, high in boxes:
                met[self._near(low, high, _half_px(shape))[1]] = True
        return Tips(self._ways[met], self._asked_px[met], around_px=self._around_px)

    def asked_in(self, low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.float64]:
        """The least chord error asked for around what lies within each of m boxes (m, 2); infinite where none is."""
        asked = np.full(len(low), np.inf)
        box, tip = self._near(low, high)
        np.minimum.at(asked, box, self._asked_px[tip])
        return asked

    def _near(
        self, low: NDArray[np.float64], high: NDArray[np.float64], beside_px: float = 0.0
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        around_px = self._around_px + beside_px
        boxes = shapely.box(*(low - around_px).T, *(high + around_px).T)
        box, tip = self._tree.query(boxes, predicate="intersects")
        return box, tip


def _curves(path: Path, to_page: Affine) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Boxes around the curves of a path, by their control points or their ellipses' frames: two corners (m, 2)."""
    found = [np.zeros((2, 0, 2))]
    for rows, corners in ((path.cubics, _hulls), (path.arcs, _frames)):
        if rows:
            points = corners(np.array(rows))
            points = moved(points.reshape(-1, 2), to_page).reshape(points.shape)
            found.append(np.array([points.min(axis=1), points.max(axis=1)]))
    low, high = np.concatenate(found, axis=1)
    return low, high


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
    """What ink is painted within [px], what a corner may be off by, what coordinates are rounded to."""

    painted_px: float
    off_px: float
    rounded_px: float
    blunt_px: float  # how long an edge may be that ends a hair


def tips_of(
    ink: CrossSection, drawn: Sequence[NDArray[np.float64]], precision: Precision, *, known: Tips | None = None
) -> Tips | None:
    """The corners of ink that may be off by more than they may, painted finer around those that are `known`.

    `drawn`: all rings that the ink was made of.
    """
    below = min(precision.painted_px / precision.off_px, 1.0)
    corners = corners_of(ink, below=below, blunt_px=precision.blunt_px)
    crossings = np.flatnonzero(~corners.spikes(precision.rounded_px))
    if not len(crossings):
        return None
    points, half, ahead = corners.points[crossings], corners.half[crossings], corners.ahead[crossings]
    sides = Sides(drawn, points, painted_px=precision.painted_px, rounded_px=precision.rounded_px)
    painted = np.full(len(crossings), precision.painted_px)
    if known is not None:
        painted = np.minimum(painted, known.asked_in(points, points))
    finest = np.maximum(painted * _AT_ONCE, _FINEST * precision.rounded_px)
    asked = np.maximum(half * precision.off_px, finest)
    way = (painted / np.maximum(half, finest / precision.off_px))[:, None] * ahead / 2
    ends = corners.ends[:, crossings]
    angle, pairs = 2 * np.arcsin(np.minimum(half, 1.0)), [sides.towards(each) for each in ends]
    off_px = [np.minimum(sides.off_px(pair), painted) for pair in pairs]
    moved_px = _moved(angle, *off_px)
    if (angle < sides.most_turned).any():  # else no curve leaves its chord at half the angle
        bulges = [sides.bulges(pair, *each) for pair, each in zip(pairs, (ends, ends[::-1]), strict=True)]
        moved_px = np.maximum(moved_px, np.minimum(_farther(angle, *bulges), corners.shorter[crossings]))
    left = (asked < painted) & (moved_px > precision.off_px)
    ways = np.stack([points - way, points + way], axis=1)[left]
    return Tips(ways, asked[left] * _SPARE, around_px=precision.off_px) if left.any() else None


def _moved(angle: NDArray[np.float64], one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """By how much [px] corners are off at most where sides cross at angles [rad] that are off their curves by so much.

    Whether both are off to the same side is not asked.
    """
    return np.asarray(np.sqrt(one**2 + other**2 + 2 * one * other * np.abs(np.cos(angle))) / np.sin(angle))


def _farther(angle: NDArray[np.float64], one: Bulges, other: Bulges) -> NDArray[np.float64]:
    """How far [px] from corners their sides cross once more, where the curves bulge over each other.

    Between chords that come apart at an angle φ, the curves leave φ r − Σ by (cut + r) (rest − r) at the distance r: at
    its larger root begins what lies between them, be it drawn that both begin in the corner.
    """
    square = one.by + other.by
    linear = angle - sum(each.by * (each.rest - each.cut) for each in (one, other))
    here = -sum(each.by * each.cut * each.rest for each in (one, other))
    within = linear**2 - 4 * square * here
    root = np.sqrt(np.maximum(within, 0.0))
    again = np.where(square > 0, np.where(within > 0, (root - linear) / (2 * square), 0.0), np.inf)
    return np.asarray(np.maximum(np.where(linear > 0, -2 * here / (linear + root), again), 0.0))
