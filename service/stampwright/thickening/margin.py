"""The field inside the margin, which grown ink does not leave: how far a ray may go inside a convex outline."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Margin:
    """A convex field, asked ray by ray."""

    def __init__(self, field: shapely.Polygon) -> None:
        self._field = field
        corners = shapely.get_coordinates(shapely.orient_polygons(field).exterior)
        along = np.diff(corners, axis=0)
        along /= np.hypot(*along.T)[:, None]
        self._outward = np.column_stack([along[:, 1], -along[:, 0]])
        self._offset = (corners[:-1] * self._outward).sum(-1)

    def __call__(self, origin: Floats, direction: Floats, reach_mm: Floats) -> Floats:
        """How far each ray (s) may go, at most `reach_mm` (s,) [mm]."""
        free = reach_mm.copy()
        inner = shapely.buffer(self._field, -float(reach_mm.max(initial=0.0)))
        near = np.flatnonzero(~shapely.contains_xy(inner, origin))
        room = np.maximum(self._offset - origin[near] @ self._outward.T, 0.0)
        towards = direction[near] @ self._outward.T
        way = np.divide(room, towards, out=np.full(room.shape, np.inf), where=towards > 1e-9)
        free[near] = np.minimum(free[near], way.min(axis=1, initial=np.inf))
        return free
