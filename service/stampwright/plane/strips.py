"""A large area cut into upright strips, to be asked of many points whether they lie in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

_VERTICES, _MOST = 1500, 32  # of a strip, about; and strips


class Strips:
    """Where an area is: the question about a point goes through all edges at its height, of its own strip alone."""

    def __init__(self, area: shapely.Geometry) -> None:
        left, low, right, high = shapely.bounds(area)
        count = int(shapely.get_num_coordinates(area))
        self._strips, self._ends = np.array([area]), np.zeros(0)
        edges = np.array([left - 1, right + 1])
        while len(self._strips) < min(count / _VERTICES, _MOST):
            edges = np.insert(edges, np.arange(1, len(edges)), (edges[1:] + edges[:-1]) / 2)
            halves = [
                shapely.clip_by_rect(strip, edges[k], low - 1, edges[k + 1], high + 1)
                for k, strip in enumerate(np.repeat(self._strips, 2))
            ]
            self._strips, self._ends = np.array(halves), edges[1:-1]
        shapely.prepare(self._strips)

    def hold(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which of the points (n), (n) lie within."""
        strip = self._strips[np.searchsorted(self._ends, x)] if len(self._ends) else self._strips[0]
        return np.asarray(shapely.contains_xy(strip, x, y), dtype=bool)
