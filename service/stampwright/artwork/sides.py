"""Chords of the drawn rings that corners of ink are cut from, and how far the curves lie off them there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import counted

from .corners import ROUNDED_PX, rings_of
from .vectors import angles_between, cross

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

_BESIDE_PX = 4 * ROUNDED_PX  # what lies on a chord lies beside it by so much at most
_CURVED = 1.5  # times the chord error: a chord that would be off by more, did its curve turn so, belongs to no curve
_PAIRS = 2e6  # of points and chords, by their places along one axis


class Sides:
    """The chords on which points lie: m pairs of a point and a chord."""

    def __init__(self, drawn: Sequence[NDArray[np.float64]], points: NDArray[np.float64], *, painted_px: float) -> None:
        """`drawn`: all rings that ink was made of, with curves within `painted_px`; `points` (n, 2)."""
        rings = rings_of(drawn)
        self._count = len(points)
        self._of, start = _beside(points, rings.points, rings.points[rings.after])
        before, a, b, after = (rings.points[at] for at in _around(start, rings.before, rings.after))
        self._chord, self._a, self._length = b - a, a, np.hypot(*(b - a).T)
        cut, rest = (np.hypot(*(points[self._of] - end).T) for end in (a, b))
        turns = np.array([angles_between(a - before, b - a), angles_between(b - a, after - b)])
        turns[turns * self._length / 8 > _CURVED * painted_px] = 0.0
        self._off_px = cut * rest / self._length * turns.max(axis=0)
        self._at_end = np.minimum(cut, rest) < _BESIDE_PX

    @property
    def drawn(self) -> NDArray[np.bool_]:
        """Which of the points (n,) are drawn themselves: chords end there."""
        return np.bincount(self._of[self._at_end], minlength=self._count) > 0

    def off_px(self, ends: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far at most (n,) the curve lies off the chord that goes from each point towards the end (n, 2) of a side.

        A chord of length L between whose ends the curve turns by φ is off by a (L − a) φ / 2 L at the distance a from
        one of them: in the middle by L φ / 8, which the painter kept small. At the end of a chord the ring turns by φ
        where the curve goes on, by φ / 2 where it goes on straight, and by much more at a corner, and at the end of a
        straight line. Infinite where no chord is found.
        """
        beside = np.abs(cross(self._chord, ends[self._of] - self._a)) <= _BESIDE_PX * self._length
        off = np.full(self._count, -np.inf)
        np.maximum.at(off, self._of[beside], self._off_px[beside])
        return np.where(np.isneginf(off), np.inf, off)


def _beside(
    points: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a point (n, 2) and a chord a → b (m, 2) that it lies on; none where there are too many to look at."""
    low, high = np.minimum(a, b) - _BESIDE_PX, np.maximum(a, b) + _BESIDE_PX
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
    on = np.abs(cross(way, points[point] - a[chord])) <= _BESIDE_PX * np.hypot(*way.T)
    return point[on], chord[on]


def _around(
    start: NDArray[np.intp], before: NDArray[np.intp], after: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """Both ends of chords among the points of rings, with the points before and after."""
    end = after[start]
    return before[start], start, end, after[end]
