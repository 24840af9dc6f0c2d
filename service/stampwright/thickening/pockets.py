"""Pockets: ground that growing cut off from the rest of a counter, or of the open floor, where walls ran together.

No cutter comes into them, and left as they are they would be counters that nobody drew.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_MM
from stampwright.plane import counters_of, on_grid

from .measure import counters_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Bools = NDArray[np.bool_]

_MOUTH_MM, _DEEP_MM = 4 * GRID_MM, 64 * GRID_MM  # of a pit
_ROUND_A_PIT = (3, 2)  # edges that lead into it and out again
_SMALL = 0.1  # of the square of the gap that is kept: what is larger would be a blot, and the spot is left as drawn


def without_pockets(grown: shapely.MultiPolygon, drawn: shapely.MultiPolygon, *, gap_mm: float) -> shapely.MultiPolygon:
    """Fill the small pockets of `grown` ink; what is left of a counter of the `drawn` ink stays, however small."""
    if counters_in(grown) <= counters_in(drawn):
        return grown
    holes = counters_of(grown)
    fills = _are_pockets(holes, counters_of(drawn)) & (shapely.area(holes) < _SMALL * gap_mm**2)
    fills[shapely.STRtree(holes).query(shapely.point_on_surface(grown.geoms), predicate="within")[1]] = False
    lands = len(grown.geoms)
    land = np.repeat(np.arange(lands), shapely.get_num_interior_rings(grown.geoms))
    many = np.bincount(land[~fills], minlength=lands)
    kept = np.split(shapely.get_exterior_ring(holes)[~fills], np.cumsum(many)[:-1])
    return shapely.MultiPolygon(
        [shapely.Polygon(land.exterior, rings) for land, rings in zip(grown.geoms, kept, strict=True)]
    )


def _are_pockets(holes: NDArray[np.object_], drawn: NDArray[np.object_]) -> Bools:
    """Holes, (h,), that are not the largest in the smallest of the `drawn` counters around them."""
    owner, size = np.full(len(holes), -1), shapely.area(holes)
    inner, outer = shapely.STRtree(drawn).query(shapely.point_on_surface(holes), predicate="within")
    order = np.argsort(-shapely.area(drawn[outer]), kind="stable")
    owner[inner[order]] = outer[order]  # the last one written, the smallest, holds
    order = np.argsort(size, kind="stable")
    largest = np.full(len(drawn) + 1, -1)
    largest[owner[order]] = order
    return np.asarray((owner < 0) | (largest[owner] != np.arange(len(holes))))


def without_pits(grown: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Leave out pits and spikes of some micrometres with mouths of some grid steps, which are no gap and no land.

    Where corners of strips all but meet, the grid may part or join them by that.
    """
    rings, land = shapely.get_rings(shapely.get_parts(grown), return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.append(np.flatnonzero(np.diff(ring, prepend=-1)), len(xy))
    many = np.diff(ends) - 1  # a ring names its first vertex again at its end
    here = np.delete(np.arange(len(xy)), ends[1:] - 1)
    past, of = np.repeat(ends[1:] - 1, many), np.repeat(many, many)
    start, dropped = picked(xy, here), np.zeros(len(xy), dtype=bool)
    for edges in _ROUND_A_PIT:
        there = here + edges
        far = np.abs(picked(xy, there - of * (there >= past)) - start)
        found = np.flatnonzero((np.maximum(*far.T) <= _MOUTH_MM) & (of > edges + 2))
        if len(found):
            within = here[found, None] + np.arange(1, edges)
            within -= of[found, None] * (within >= past[found, None])
            deep = np.abs(xy[within] - xy[here[found], None]).max(axis=(1, 2))
            dropped[within[(deep > _MOUTH_MM) & (deep <= _DEEP_MM)]] = True
    if not dropped.any():
        return grown
    kept = [shapely.LinearRing(xy[a : b - 1][~dropped[a : b - 1]]) for a, b in pairwise(ends)]
    starts = np.append(np.flatnonzero(np.diff(land, prepend=-1)), len(kept))
    lands = [shapely.Polygon(kept[a], kept[a + 1 : b]) for a, b in pairwise(starts)]
    return without_pits(on_grid(shapely.MultiPolygon(lands)))
