"""Vertical walls of a front that is a height field only piece by piece: where two faces meet at different heights.

A column of the plan may carry more than two heights: where land, floor and a sloping foot meet, three walls do. Each
wall is split at every height its columns carry, so that all of them share their edges.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .mesh import bands, plan_keys

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .mesh import Corners


def steps_between(faces: Corners) -> list[Corners]:
    """Walls between triangles (m, 3, 3) that share plan edges; they cover their plan once, seen from above."""
    sides = np.stack([faces, np.roll(faces, -1, axis=1)], axis=2).reshape(-1, 2, 3)  # (3m, 2, 3), ends a and b
    places, index = np.unique(plan_keys(sides[..., :2]), return_inverse=True)
    index = index.reshape(-1, 2)
    codes = index[:, 0] * len(places) + index[:, 1]
    order = np.argsort(codes)
    back = index[:, 1] * len(places) + index[:, 0]
    twin = order[np.minimum(np.searchsorted(codes[order], back), len(codes) - 1)]
    upper, lower = sides, sides[twin][:, ::-1]
    rise = upper[..., 2] - lower[..., 2]
    is_wall = (codes[twin] == back) & np.all(rise >= 0, axis=1) & np.any(rise > 0, axis=1)
    columns = _Columns(index.ravel(), sides[..., 2].ravel())
    return _split(lower[is_wall], upper[is_wall], index[is_wall], columns)


class _Columns:
    """All heights at each place, sorted by place and height."""

    def __init__(self, place: NDArray[np.int64], z: NDArray[np.float64]) -> None:
        self.levels, level = np.unique(z, return_inverse=True)
        self.keys, first = np.unique(place * len(self.levels) + level, return_index=True)
        self.z = z[first]
        self.start = np.searchsorted(self.keys, np.arange(int(place.max()) + 2) * len(self.levels))

    def rank(self, place: NDArray[np.int64], z: NDArray[np.float64]) -> NDArray[np.int64]:
        """How many heights of its column lie below each z, which is one of them all."""
        keys = place * len(self.levels) + np.searchsorted(self.levels, z)
        return np.searchsorted(self.keys, keys) - self.start[place]

    def between(self, place: int, low: float, high: float) -> NDArray[np.float64]:
        """Heights of one column from `low` to `high`, both included."""
        z = self.z[self.start[place] : self.start[place + 1]]
        inside: NDArray[np.float64] = z[(z >= low) & (z <= high)]
        return inside


def _split(
    lower: NDArray[np.float64], upper: NDArray[np.float64], place: NDArray[np.int64], columns: _Columns
) -> list[Corners]:
    steps = columns.rank(place, upper[..., 2]) - columns.rank(place, lower[..., 2])
    whole = np.all(steps <= 1, axis=1)
    plain = bands(lower[whole], upper[whole])
    solid = np.any(plain[:, 0] != plain[:, 1], axis=1) & np.any(plain[:, 1] != plain[:, 2], axis=1)
    solid &= np.any(plain[:, 2] != plain[:, 0], axis=1)
    strips = [
        _strip(low, [columns.between(int(at[end]), low[end, 2], high[end, 2]) for end in (0, 1)])
        for low, high, at in zip(lower[~whole], upper[~whole], place[~whole], strict=True)
    ]
    return [plain[solid], *strips]


def _strip(wall: NDArray[np.float64], heights: list[NDArray[np.float64]]) -> Corners:
    """Triangulate one wall whose two columns carry these heights, going up on both."""
    a, b = (np.column_stack([np.tile(wall[end, :2], (len(z), 1)), z]) for end, z in enumerate(heights))
    triangles, i, j = [], 0, 0
    while i + 1 < len(a) or j + 1 < len(b):
        if j + 1 < len(b) and (i + 1 >= len(a) or (j + 1) * len(a) <= (i + 1) * len(b)):
            triangles.append([a[i], b[j], b[j + 1]])
            j += 1
        else:
            triangles.append([a[i], b[j], a[i + 1]])
            i += 1
    return np.array(triangles)
