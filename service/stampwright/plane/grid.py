"""The product's one grid: dyadic, so that float32 STL and the integer Voronoi diagram hold every vertex exactly."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_MM, SLIVER_MM2

if TYPE_CHECKING:
    from numpy.typing import NDArray


def polygons_in(area: Any) -> NDArray[np.object_]:  # noqa: ANN401  one geometry or many
    """The polygons of any geometry, empty ones left out."""
    parts = shapely.get_parts(area)
    if isinstance(area, shapely.Polygon | shapely.MultiPolygon):  # mostly; in a third of the time
        empty = shapely.is_empty(parts)
        return np.asarray(parts[~empty] if empty.any() else parts)
    kind = shapely.get_type_id(parts)
    if (kind > shapely.GeometryType.POLYGON).any():  # several geometries, or a collection: these hold parts themselves
        parts = shapely.get_parts(parts)
        kind = shapely.get_type_id(parts)
    return np.asarray(parts[(kind == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)])


def polygons_of(area: Any) -> shapely.MultiPolygon:  # noqa: ANN401  likewise
    """The same as one MultiPolygon."""
    return shapely.multipolygons(polygons_in(area))


def on_grid(area: shapely.Geometry) -> shapely.MultiPolygon:
    """Snap an area to the grid, valid and noded; the result itself carries no precision model.

    The model is dropped again because every later buffer of a gridded geometry is 1.1 to 5 times slower.
    """
    # of a collection each part would be snapped by itself, and what then overlaps is no area any more
    whole = area if area.geom_type == "MultiPolygon" else polygons_of(area)
    try:
        snapped = shapely.set_precision(whole, GRID_MM)
    except shapely.errors.GEOSException:  # moved or turned, edges that meet in a point may cross by a rounding
        snapped = shapely.set_precision(polygons_of(repaired(whole)), GRID_MM)
    return polygons_of(shapely.set_precision(snapped, 0.0))


def repaired(areas: Any) -> Any:  # noqa: ANN401  one geometry or many
    """Make areas valid by the structure of their rings, which is what was drawn; what has no area goes."""
    return shapely.make_valid(areas, method="structure", keep_collapsed=False)  # noqa: TID251  here, and only here


def count_slivers(area: shapely.MultiPolygon, *, below_mm2: float = SLIVER_MM2) -> int:
    """Count the islands and holes smaller than `below_mm2`."""
    return len(slivers_of(area, below_mm2=below_mm2))


def slivers_of(area: shapely.MultiPolygon, *, below_mm2: float = SLIVER_MM2) -> NDArray[np.object_]:
    """The islands, and the holes as polygons, smaller than `below_mm2`."""
    pieces = np.concatenate([shapely.get_parts(area), counters_of(area)])
    return np.asarray(pieces[shapely.area(pieces) < below_mm2])


def counters_of(area: shapely.MultiPolygon) -> NDArray[np.object_]:
    """The holes of an area as polygons, in the order of its lands, whatever stands in them."""
    rings, land = shapely.get_rings(shapely.get_parts(area), return_index=True)
    return np.asarray(shapely.polygons(rings[1:][land[1:] == land[:-1]]))  # a land names its outer ring first


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
