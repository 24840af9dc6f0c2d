"""Things in a plane, filed by their boxes in square cells: the nearest are mostly found in few of them."""

from __future__ import annotations

import heapq
import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

_A_CELL = 4  # things in a cell, were all filed and did they lie evenly
_WIDE = 9  # cells: what lies in more is looked at each time
_FEW = 12  # so many are looked at one by one, without cells
_FAR = 20  # beyond the rings of cells, so many of all there is
_RINGS = [
    [(i, j) for i in range(-ring, ring + 1) for j in range(-ring, ring + 1) if max(abs(i), abs(j)) == ring]
    for ring in range(6)
]
"""Cells around one, ring by ring."""


class Filed:
    """Some of many things with boxes (n, 4), put in and taken out by their numbers."""

    def __init__(self, boxes: NDArray[np.float64]) -> None:
        self._boxes, self._box = boxes, boxes.tolist()
        wide, high = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).tolist()
        self._cell_mm = math.sqrt(_A_CELL * wide * high / len(boxes)) or max(wide, high, 1.0)
        self._corners = np.floor(boxes / self._cell_mm).astype(np.int64).tolist()
        self._in: set[int] = set()
        self._wide: set[int] = set()
        self._cells: dict[tuple[int, int], list[int]] = {}

    def add(self, thing: int) -> None:
        """Put one in."""
        self._in.add(thing)
        left, low, right, high = self._corners[thing]
        if (right - left + 1) * (high - low + 1) > _WIDE:
            self._wide.add(thing)
            return
        for i in range(left, right + 1):
            for j in range(low, high + 1):
                self._cells.setdefault((i, j), []).append(thing)

    def take(self, thing: int) -> None:
        """Take one out."""
        self._in.remove(thing)
        if thing in self._wide:
            self._wide.remove(thing)
            return
        left, low, right, high = self._corners[thing]
        for i in range(left, right + 1):
            for j in range(low, high + 1):
                self._cells[i, j].remove(thing)

    def nearest(self, x: float, y: float) -> Iterator[tuple[float, int]]:
        """How far off the box of each is, and its number: the nearest first; of those far away the first few."""
        if len(self._in) <= _FEW:
            yield from sorted((self._away_mm(thing, x, y), thing) for thing in self._in)
            return
        found, told, seen = [(self._away_mm(thing, x, y), thing) for thing in self._wide], set(), set(self._wide)
        heapq.heapify(found)
        left, low = math.floor(x / self._cell_mm), math.floor(y / self._cell_mm)
        aside, above = x - left * self._cell_mm, y - low * self._cell_mm
        sure_mm = min(aside, above, self._cell_mm - aside, self._cell_mm - above)
        for ring in _RINGS:
            for i, j in ring:
                for thing in self._cells.get((left + i, low + j), ()):
                    if thing not in seen:
                        seen.add(thing)
                        heapq.heappush(found, (self._away_mm(thing, x, y), thing))
            while found and found[0][0] <= sure_mm:
                told.add(found[0][1])
                yield heapq.heappop(found)
            sure_mm += self._cell_mm
        yield from (each for each in self._of_all(x, y, len(told) + _FAR) if each[1] not in told)

    def _away_mm(self, thing: int, x: float, y: float) -> float:
        left, low, right, high = self._box[thing]
        return math.hypot(max(left - x, x - right, 0.0), max(low - y, y - high, 0.0))

    def _of_all(self, x: float, y: float, count: int) -> list[tuple[float, int]]:
        """The nearest, so many of them, looked for among all there are."""
        things = np.fromiter(self._in, np.int64, len(self._in))
        left, low, right, high = self._boxes[things].T
        away = np.hypot(
            np.maximum(np.maximum(left - x, x - right), 0.0), np.maximum(np.maximum(low - y, y - high), 0.0)
        )
        least = np.argpartition(away, count)[:count] if len(things) > count else np.arange(len(things))
        return sorted(zip(away[least].tolist(), things[least].tolist(), strict=True))
