"""Pockets: ground that growing cut off from the rest of a counter, or of the open floor, where walls ran together.

No cutter comes into them, and left as they are they would be counters that nobody drew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import counters_of

from .measure import counters_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Bools = NDArray[np.bool_]

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
