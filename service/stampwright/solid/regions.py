"""Plan regions of a relief: lands, floor and plate, cut so that they share every vertex and every edge exactly."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_MM
from stampwright.plane import on_grid, outside, part_pinches, polygons_of

from .mesh import plan_keys
from .rings import areas_on_left

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MANY_HOLES = 1500  # of one polygon; with fewer the library is faster
_ROUNDS = 4  # a difference may merge a node one grid step from a corner; one round mended all marks tried


class Regions(NamedTuple):
    """`lands` and `floor` together are `plate`; their rings name the same vertices wherever they run together.

    `edges` (n, 2, 2): of the lands, which lie on their left.
    """

    lands: shapely.MultiPolygon
    floor: shapely.MultiPolygon
    plate: shapely.MultiPolygon
    edges: NDArray[np.float64]


def regions_of(
    lands: shapely.MultiPolygon, head: shapely.Polygon, *, around: shapely.MultiPolygon | None = None
) -> Regions:
    """Cut the head into lands and floor; `around`: the head without them, where that is known.

    Raises `InternalFault` when their edges will not match.
    """
    plate, within = polygons_of(head), bool(shapely.contains_properly(head, lands))
    for _ in range(_ROUNDS):
        # rings of lands within are turned over
        floor = (outside(lands, head) if around is None else around) if within else _difference(plate, lands)
        edges = directed_edges(lands)
        # an edge of lands or floor is met by the other one, or it is an edge of the plate
        if _closes(np.concatenate([edges, directed_edges(floor)]), directed_edges(plate)):
            return Regions(lands, floor, plate, edges)
        within = False
        # lands take what the floor leaves, and the plate gains the vertices where lands reach its edge
        lands = part_pinches(on_grid(shapely.difference(plate, floor, grid_size=GRID_MM)))
        plate = on_grid(shapely.union(floor, lands, grid_size=GRID_MM))
    raise InternalFault.at("open-solid", "the edges of lands and floor do not match")


def _difference(plate: shapely.MultiPolygon, lands: shapely.MultiPolygon) -> shapely.MultiPolygon:
    floor = polygons_of(shapely.difference(plate, lands, grid_size=GRID_MM))
    return polygons_of(shapely.set_precision(floor, 0.0))


def directed_edges(area: shapely.Geometry) -> NDArray[np.float64]:
    """All edges of an area (n, 2, 2), with the area on their left."""
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    edges: NDArray[np.float64] = picked(np.stack([xy[:-1], xy[1:]], axis=1), ring[:-1] == ring[1:])
    return edges


def triangles_of(area: shapely.Geometry | NDArray[np.object_]) -> NDArray[np.float64]:
    """Triangulate areas, constrained Delaunay, every vertex kept: (m, 3, 2), counter-clockwise."""
    return numbered_triangles_of(area)[0]


def numbered_triangles_of(
    areas: shapely.Geometry | NDArray[np.object_],
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The same, and the number of the area that each triangle is of."""
    parts, number = _with_few_holes(areas)
    rings, part = shapely.get_coordinates(shapely.constrained_delaunay_triangles(parts), return_index=True)
    triangles = np.ascontiguousarray(rings.reshape(-1, 4, 2)[:, 2::-1])  # all come clockwise
    clockwise = np.flatnonzero(twice_areas(triangles) < 0)
    triangles[clockwise] = triangles[clockwise, ::-1]
    return triangles, part[::4] if number is None else number[part[::4]]


def _with_few_holes(
    areas: shapely.Geometry | NDArray[np.object_],
) -> tuple[shapely.Geometry | NDArray[np.object_], NDArray[np.int64] | None]:
    """Areas whose polygons have few holes each, and of which area each is; None where they are as they were.

    The library leads each hole to the outer ring by looking through all of it: that takes the square of their number.
    """
    if shapely.get_num_coordinates(areas).sum() < 4 * _MANY_HOLES:
        return areas, None
    parts, number = shapely.get_parts(areas, return_index=True)
    many = np.flatnonzero(shapely.get_num_interior_rings(parts) > _MANY_HOLES)
    if not len(many):
        return areas, None
    pieces = [_parted(part) for part in parts[many]]
    counts = [len(piece) for piece in pieces]
    parts = np.concatenate([np.delete(parts, many), *pieces])
    return parts, np.concatenate([np.delete(number, many), np.repeat(number[many], counts)])


def _parted(area: shapely.Polygon) -> NDArray[np.object_]:
    """An area parted along edges of the Delaunay triangulation of its corners, which lie in that of itself as well."""
    edges = directed_edges(area)
    bridges = _bridges(area, edges)
    parts = areas_on_left(np.concatenate([edges, bridges, bridges[:, ::-1]]))
    same = parts is not None and shapely.is_valid(parts).all() and math.isclose(shapely.area(parts).sum(), area.area)
    return np.array([area]) if parts is None or not same else parts


def _bridges(area: shapely.Polygon, edges: NDArray[np.float64]) -> NDArray[np.float64]:
    """The shortest edge (n, 2, 2) between each two rings that are neighbours, where it crosses no edge of the area."""
    xy, ring = shapely.get_coordinates(shapely.get_rings(area), return_index=True)
    keys, first = np.unique(plan_keys(xy), return_index=True)
    lines = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(picked(xy, first)), only_edges=True))
    lines = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    low, high = np.sort(ring[first[np.searchsorted(keys, plan_keys(lines))]], axis=1).T
    order = np.lexsort((np.hypot(*(lines[:, 1] - lines[:, 0]).T), high, low))
    low, high = low[order], high[order]
    shortest = np.append(True, (low[1:] != low[:-1]) | (high[1:] != high[:-1])) & (low != high)
    bridges = picked(lines, order[shortest])
    crosses = shapely.STRtree(shapely.linestrings(edges)).query(shapely.linestrings(bridges), predicate="crosses")[0]
    return np.delete(bridges, np.unique(crosses), axis=0)


def twice_areas(triangles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Twice the area of plan triangles (m, 3, 2), negative where they run clockwise; exact on the grid."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    twice: NDArray[np.float64] = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return twice


def _closes(inner: NDArray[np.float64], rim: NDArray[np.float64]) -> bool:
    """Whether directed edges (n, 2, 2) each occur once and pair up with their reverse, but for those of the rim."""
    places, index = np.unique(plan_keys(np.concatenate([inner, rim])), return_inverse=True)
    index = index.reshape(-1, 2)
    codes = index[:, 0] * len(places) + index[:, 1]
    back = index[: len(inner), 1] * len(places) + index[: len(inner), 0]
    codes, wanted = np.sort(codes[: len(inner)]), np.sort(codes[len(inner) :])
    if np.any(codes[1:] == codes[:-1]):
        return False
    return bool(np.array_equal(np.setdiff1d(codes, back, assume_unique=True), wanted))
