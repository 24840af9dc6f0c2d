"""The product's one grid: dyadic, so that float32 STL and the integer Voronoi diagram hold every vertex exactly."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.tolerances import GRID_MM, SLIVER_MM2

if TYPE_CHECKING:
    from numpy.typing import NDArray

_PINCH_ROUNDS = 6  # one round is not enough: an acute pinch can make two new ones; the square doubles each time


def polygons_of(area: shapely.Geometry) -> shapely.MultiPolygon:
    """Keep the polygons of any geometry, as one MultiPolygon without empty parts."""
    parts = shapely.get_parts(shapely.get_parts(area))
    kept = parts[(shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)]
    return shapely.MultiPolygon(list(kept))


def on_grid(area: shapely.Geometry) -> shapely.MultiPolygon:
    """Snap an area to the grid, valid and noded; the result itself carries no precision model.

    The model is dropped again because every later buffer of a gridded geometry is 1.1 to 5 times slower.
    """
    return polygons_of(shapely.set_precision(shapely.set_precision(area, GRID_MM), 0.0))


def count_slivers(area: shapely.MultiPolygon, *, below_mm2: float = SLIVER_MM2) -> int:
    """Count the islands and holes smaller than `below_mm2`."""
    return len(slivers_of(area, below_mm2=below_mm2))


def slivers_of(area: shapely.MultiPolygon, *, below_mm2: float = SLIVER_MM2) -> NDArray[np.object_]:
    """The islands, and the holes as polygons, smaller than `below_mm2`."""
    lands = shapely.get_parts(area)
    rings, land = shapely.get_rings(lands, return_index=True)
    inner = land[1:] == land[:-1]  # a land names its outer ring first
    pieces = np.concatenate([lands, shapely.polygons(rings[1:][inner])])
    return np.asarray(pieces[shapely.area(pieces) < below_mm2])


def without_slivers(area: shapely.MultiPolygon, *, below_mm2: float = SLIVER_MM2) -> shapely.MultiPolygon:
    """Drop islands, and fill holes, smaller than `below_mm2`."""
    if not count_slivers(area, below_mm2=below_mm2):
        return area
    return shapely.MultiPolygon(
        [
            shapely.Polygon(land.exterior, [ring for ring in land.interiors if shapely.Polygon(ring).area >= below_mm2])
            for land in area.geoms
            if land.area >= below_mm2
        ]
    )


def count_pinches(area: shapely.MultiPolygon) -> int:
    """Count the points where lands, or rings, meet without crossing."""
    return len(_vertices_met_twice(area))


def part_pinches(area: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Part lands, and rings, that meet in a point: there the wall's edge would carry four triangles.

    A square of half-side two grid steps is taken away at each vertex that occurs twice, a larger one where that made
    new ones. Costs at most `PINCH_SHARE` of the area. Where walls leave a pinch at so small an angle that they run
    along the same grid points for long, the hair between them is taken away as well, which costs up to eight grid
    steps along its length. Raises `InternalFault` when a pinch will not part.
    """
    parted, pinches = _cut_apart(area)
    if len(pinches):
        parted, pinches = _cut_apart(_without_hairs(area))
    if len(pinches):
        raise InternalFault.at("pinch", f"{len(pinches)} points where lands meet would not part")
    return parted


def _cut_apart(area: shapely.MultiPolygon) -> tuple[shapely.MultiPolygon, NDArray[np.float64]]:
    """The area with squares taken away at its pinches, and the pinches that are left."""
    half_mm = 2 * GRID_MM
    for _ in range(_PINCH_ROUNDS):
        pinches = _vertices_met_twice(area)
        if not len(pinches):
            break
        squares = shapely.box(*(pinches - half_mm).T, *(pinches + half_mm).T)
        area = on_grid(shapely.difference(area, shapely.union_all(squares)))
        half_mm *= 2
    return area, _vertices_met_twice(area)


def _without_hairs(area: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Open the gaps, and drop the needles, that are narrower than four grid steps and begin at a pinch."""
    half_mm = 2 * GRID_MM
    pinches = _vertices_met_twice(area)
    near = shapely.union_all(shapely.box(*(pinches - half_mm).T, *(pinches + half_mm).T))
    gaps = shapely.difference(_offset_twice(area, half_mm), area)
    needles = shapely.difference(area, _offset_twice(area, -half_mm))
    parts = np.concatenate([shapely.get_parts(gaps), shapely.get_parts(needles)])
    hairs = shapely.union_all(parts[shapely.intersects(parts, near)])
    return without_slivers(on_grid(shapely.difference(area, shapely.buffer(hairs, half_mm, quad_segs=2))))


def _offset_twice(area: shapely.Geometry, by_mm: float) -> shapely.Geometry:
    """The closing of an area by a disc, or with a negative radius its opening."""
    return shapely.buffer(shapely.buffer(area, by_mm, quad_segs=2), -by_mm, quad_segs=2)


def _vertices_met_twice(area: shapely.MultiPolygon) -> NDArray[np.float64]:
    rings = shapely.get_rings(shapely.get_parts(area))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    inner = np.ones(len(xy), dtype=bool)
    inner[np.flatnonzero(np.diff(ring, prepend=-1))] = False  # a ring names its first vertex again at its end
    places, counts = np.unique(xy[inner], axis=0, return_counts=True)
    return places[counts > 1]
