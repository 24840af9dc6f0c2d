"""Plan regions of a relief: lands, floor and plate, cut so that they share every vertex and every edge exactly."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.tolerances import GRID_MM
from stampwright.plane import on_grid, part_pinches, polygons_of

from .mesh import plan_keys

if TYPE_CHECKING:
    from numpy.typing import NDArray

_ROUNDS = 4  # a difference may merge a node one grid step from a corner; one round mended all marks tried


class Regions(NamedTuple):
    """`lands` and `floor` together are `plate`; their rings name the same vertices wherever they run together."""

    lands: shapely.MultiPolygon
    floor: shapely.MultiPolygon
    plate: shapely.MultiPolygon


def regions_of(lands: shapely.MultiPolygon, head: shapely.Polygon) -> Regions:
    """Cut the head into lands and floor. Raises `InternalFault` when their edges will not match."""
    plate = polygons_of(head)
    for _ in range(_ROUNDS):
        floor = polygons_of(shapely.difference(plate, lands, grid_size=GRID_MM))
        floor = polygons_of(shapely.set_precision(floor, 0.0))
        if _match(Regions(lands, floor, plate)):
            return Regions(lands, floor, plate)
        # lands take what the floor leaves, and the plate gains the vertices where lands reach its edge
        lands = part_pinches(on_grid(shapely.difference(plate, floor, grid_size=GRID_MM)))
        plate = on_grid(shapely.union(floor, lands, grid_size=GRID_MM))
    raise InternalFault.at("open-solid", "the edges of lands and floor do not match")


def directed_edges(area: shapely.Geometry) -> NDArray[np.float64]:
    """All edges of an area (n, 2, 2), with the area on their left."""
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    edges: NDArray[np.float64] = np.stack([xy[:-1], xy[1:]], axis=1)[ring[:-1] == ring[1:]]
    return edges


def triangles_of(area: shapely.Geometry) -> NDArray[np.float64]:
    """Triangulate an area, constrained Delaunay, every vertex kept: (m, 3, 2), counter-clockwise."""
    found: NDArray[np.float64] = shapely.get_coordinates(shapely.constrained_delaunay_triangles(area)).reshape(
        -1, 4, 2
    )[:, :3]
    a, b, c = found[:, 0], found[:, 1], found[:, 2]
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    found[twice < 0] = found[twice < 0][:, ::-1]
    return found


def _match(regions: Regions) -> bool:
    """Whether walls and rim close: an edge of lands or floor is met by the other, or is an edge of the plate."""
    sides = [plan_keys(directed_edges(area)) for area in regions]
    places, index = np.unique(np.concatenate(sides), return_inverse=True)
    index = index.reshape(-1, 2)
    codes = index[:, 0] * len(places) + index[:, 1]
    back = index[:, 1] * len(places) + index[:, 0]
    inner = len(sides[0]) + len(sides[1])
    rim = codes[:inner][~np.isin(codes[:inner], back[:inner])]
    return bool(np.array_equal(np.sort(rim), np.sort(codes[inner:])))
