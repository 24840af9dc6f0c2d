"""Chords of the drawn rings that corners of ink are cut from, and how far the curves lie off them there."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted

from .corners import rings_of
from .vectors import cross, turns_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

_BESIDE = 4  # times what the engine rounds to: what lies on a chord lies beside it by so much at most
_CURVED = 1.5  # times the chord error: a chord that would be off by more, did its curve turn so, belongs to no curve
_PAIRS = 2e6  # of points and chords, by their places along one axis


class Bulges(NamedTuple):
    """Of n points on chords: at the distance r from one the curve lies by · (cut + r) (rest − r) off its chord."""

    by: NDArray[np.float64]  # half of what the curve turns by over the chord, by its length; negative to the other side
    cut: NDArray[np.float64]
    rest: NDArray[np.float64]


class Sides:
    """The chords on which points lie: m pairs of a point and a chord."""

    def __init__(
        self, drawn: Sequence[NDArray[np.float64]], points: NDArray[np.float64], *, painted_px: float, rounded_px: float
    ) -> None:
        """`drawn`: all rings that ink was made of, with curves within `painted_px`; `points` (n, 2), rounded."""
        self._beside_px = _BESIDE * rounded_px
        rings = rings_of(drawn)
        self._count, self._points = len(points), points
        self._of, start = _beside(points, rings.points, rings.points[rings.after], self._beside_px)
        before, a, b, after = (rings.points[at] for at in _around(start, rings.before, rings.after))
        self._chord, self._a, self._length = b - a, a, np.hypot(*(b - a).T)
        self._to_ends = np.array([np.hypot(*(points[self._of] - end).T) for end in (a, b)])
        self._turns = np.array([turns_between(a - before, b - a), turns_between(b - a, after - b)])
        self._turns[np.abs(self._turns) * self._length / 8 > _CURVED * painted_px] = 0.0

    @property
    def most_turned(self) -> float:
        """The most that a curve turns by along one of the chords [rad]."""
        return float(np.abs(self._turns).max(initial=0.0))

    def towards(self, ends: NDArray[np.float64]) -> NDArray[np.intp]:
        """The pairs whose chord goes from the point towards the end (n, 2) of a side."""
        return np.flatnonzero(np.abs(cross(self._chord, ends[self._of] - self._a)) <= self._beside_px * self._length)

    def off_px(self, pair: NDArray[np.intp]) -> NDArray[np.float64]:
        """How far at most (n,) the curve lies off the chords of pairs at their points.

        A chord of length L between whose ends the curve turns by φ is off by a (L − a) φ / 2 L at the distance a from
        one of them: in the middle by L φ / 8, which the painter kept small. At the end of a chord the ring turns by φ
        where the curve goes on, by φ / 2 where it goes on straight, and by much more at a corner, and at the end of a
        straight line. Infinite where no chord is found.
        """
        off = np.full(self._count, -np.inf)
        off_px = self._to_ends.prod(axis=0) / self._length * np.abs(self._turns).max(axis=0)
        np.maximum.at(off, self._of[pair], off_px[pair])
        return np.where(np.isneginf(off), np.inf, off)

    def bulges(self, pair: NDArray[np.intp], ends: NDArray[np.float64], others: NDArray[np.float64]) -> Bulges:
        """How the curve lies off the chords of pairs, from their points on towards `ends` (n, 2).

        `others` (n, 2): to which side of them. Where several go there, the one that bulges most to that side.
        """
        at, chord = self._of[pair], self._chord[pair]
        on = np.einsum("ij,ij->i", chord, ends[at] - self._points[at]) > 0
        before, after = self._to_ends[:, pair]
        turn = np.where(on, self._turns[1, pair], self._turns[0, pair])  # as the ring goes; so is the side
        side = np.sign(cross(chord, others[at] - self._points[at]))
        by = -turn * side / (2 * self._length[pair])
        order = by.argsort(kind="stable")
        found = np.zeros((3, self._count))
        found[:, at[order]] = np.array([by, np.where(on, before, after), np.where(on, after, before)])[:, order]
        return Bulges(*found)


def _beside(
    points: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64], beside_px: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a point (n, 2) and a chord a → b (m, 2) that it lies on; none where there are too many to look at."""
    low, high = np.minimum(a, b) - beside_px, np.maximum(a, b) + beside_px
    order = points[:, 0].argsort()
    xs = points[order, 0]
    first = np.searchsorted(xs, low[:, 0])
    many = np.searchsorted(xs, high[:, 0], side="right") - first
    if many.sum() > _PAIRS:
        chord = point = np.zeros(0, dtype=np.intp)
        return point, chord
    chord = np.repeat(np.arange(len(a)), many)
    point = order[counted(many) + first[chord]]
    y = points[point, 1]
    near = (y >= low[chord, 1]) & (y <= high[chord, 1])
    chord, point = chord[near], point[near]
    way = b[chord] - a[chord]
    on = np.abs(cross(way, points[point] - a[chord])) <= beside_px * np.hypot(*way.T)
    return point[on], chord[on]


def _around(
    start: NDArray[np.intp], before: NDArray[np.intp], after: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """Both ends of chords among the points of rings, with the points before and after."""
    end = after[start]
    return before[start], start, end, after[end]
