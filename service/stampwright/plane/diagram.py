"""The segment Voronoi diagram of an area's outlines as plain arrays (Boost.Polygon's construction, by pyvoronoi).

Boost's diagram is exact only for segments that meet in nothing but shared end points; nothing is raised otherwise, the
vertices just come out wrong. The area therefore has to lie on the product's grid, valid and noded, as `on_grid` leaves
it: its coordinates are then integers of the diagram without rounding.
"""

from __future__ import annotations

import struct
from array import array
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from pyvoronoi import Pyvoronoi

from stampwright.base import InternalFault, TooComplex
from stampwright.base.tolerances import GRID_PER_MM

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_SITE_START, _SITE_END = 1, 2  # source categories of a cell: the start or end point of its segment; above: the segment
_AT_ONCE = 500  # cells or vertices
_FURTHEST = 2**30  # half of what the diagram's 32-bit integers hold, so that the frame fits as well


@dataclass(frozen=True, slots=True)
class Diagram:
    """Half of the diagram's half-edges: one row for each edge between two sites of the outline.

    `walls` (k, 2, 2) are the outline's segments in mm, ink on the left. Row i runs from vertex `ends[i, 0]` to
    `ends[i, 1]` of `vertices` (m, 2); its two sites are the walls `site[i]`, or their start (1) or end (2) point where
    `point[i]` says so (0: the wall itself). `ring` (k,) numbers the ring of each wall.
    `own_end` (n,) marks edges between a wall and its own end point, which are no bisectors of two walls.
    `beside_frame` (m,) marks vertices that also see the far frame.
    """

    walls: Floats
    ring: Ints
    vertices: Floats
    ends: NDArray[Any]
    site: NDArray[Any]
    point: NDArray[Any]
    own_end: Bools
    beside_frame: Bools

    def bisectors(self) -> Diagram:
        """The diagram without edges between a wall and its own end point."""
        kept = ~self.own_end
        ends, site, point = (of[kept].astype(np.int64) for of in (self.ends, self.site, self.point))
        return Diagram(self.walls, self.ring, self.vertices, ends, site, point, self.own_end[kept], self.beside_frame)


def walls_of(area: shapely.MultiPolygon) -> tuple[Floats, Ints]:
    """All segments of the rings, (k, 2, 2), the area on their left [mm], and the number of the ring of each."""
    rings = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[:-1] == ring[1:]
    return np.stack([points[:-1][same], points[1:][same]], axis=1), ring[:-1][same]


def diagram_of(area: shapely.MultiPolygon) -> Diagram:
    """Build the diagram of the outlines of `area`, which must lie on the grid and must not be empty.

    Raises `TooComplex` beyond the size the diagram's integers hold, `InternalFault` when the area is off the grid.
    """
    walls, ring = walls_of(area)
    inner = np.rint(walls * GRID_PER_MM)
    if not np.array_equal(inner, walls * GRID_PER_MM):
        raise InternalFault.at("off-grid", "an outline reached the medial axis without lying on the grid")
    if np.abs(inner).max() > _FURTHEST / 8:
        raise TooComplex.at("too-large", f"the outline reaches beyond {_FURTHEST // 8 // GRID_PER_MM} mm")
    # A far frame makes every edge near the ink finite: an unbounded edge between two tips can hold their least gap.
    built = _construct(np.concatenate([inner, _frame(inner)]).astype(np.int64))
    return _read(built, walls, ring)


def _frame(segments: Floats) -> Floats:
    (x0, y0), (x1, y1) = segments.min(axis=(0, 1)), segments.max(axis=(0, 1))
    far = 2 * max(x1 - x0, y1 - y0)
    corners = np.array([[x0 - far, y0 - far], [x1 + far, y0 - far], [x1 + far, y1 + far], [x0 - far, y1 + far]])
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


@dataclass(frozen=True, slots=True)
class _HalfEdges:
    """What pyvoronoi hands out, cell by cell: of each half-edge its number, start vertex, and the cell's site."""

    vertices: Floats  # in integers of the grid
    edge: Ints
    start: Ints
    site: Ints
    category: Ints


def _construct(segments: Ints) -> _HalfEdges:
    # Cells list their edges with the start vertices: 2.5 times cheaper to read than the edges one by one. Few are held
    # at a time: all at once they were half of the memory of a whole review.
    diagram = Pyvoronoi(1)
    add = diagram.AddSegment
    for segment in segments.tolist():
        add(segment)
    diagram.Construct()
    place, edge, start, head = array("d"), array("q"), array("q"), array("q")
    for some in _few_at_once(diagram.EnumerateVertices()):
        places: list[float] = []
        for vertex in some:
            places += vertex.X, vertex.Y
        _put(place, places)
    for some in _few_at_once(diagram.EnumerateCells()):
        edges: list[int] = []
        starts: list[int] = []
        heads: list[int] = []
        for cell in some:
            own = cell.edges
            edges += own
            starts += cell.vertices[: len(own)]
            heads += len(own), cell.site, cell.source_category
        _put(edge, edges)
        _put(start, starts)
        _put(head, heads)
    many, site, category = np.frombuffer(head, dtype=np.int64).reshape(-1, 3).T
    return _HalfEdges(
        vertices=np.frombuffer(place).reshape(-1, 2),
        edge=np.frombuffer(edge, dtype=np.int64),
        start=np.frombuffer(start, dtype=np.int64),
        site=np.repeat(site, many),
        category=np.repeat(category, many),
    )


def _few_at_once(numbered: Iterator[tuple[int, Any]]) -> Iterator[list[Any]]:
    while some := [each for _, each in islice(numbered, _AT_ONCE)]:
        yield some


def _put(into: array[Any], values: list[Any]) -> None:
    """Append values: packed at once they take a third of the time of one by one."""
    into.frombytes(struct.pack(f"{len(values)}{into.typecode}", *values))


def _read(half: _HalfEdges, walls: Floats, ring: Ints) -> Diagram:
    """Scatter the half-edges by number; twins are neighbours (edge ^ 1), so rows 2i and 2i + 1 make edge i."""
    table = np.zeros((len(half.edge), 3), dtype=np.int64)
    table[half.edge] = np.column_stack([half.start, half.site, half.category])
    start, site, category = table.reshape(-1, 2, 3).transpose(2, 0, 1)
    point = np.where((category == _SITE_START) | (category == _SITE_END), category, 0)
    framed = (site >= len(walls)).any(axis=1)
    beside = np.zeros(len(half.vertices), dtype=bool)
    beside[start[framed & (start >= 0).all(axis=1)].ravel()] = True
    inner = np.flatnonzero(~framed)
    site, point = site[inner], point[inner]
    ends = start[inner]
    vertices = half.vertices / GRID_PER_MM
    if (ends < 0).any() or not np.isfinite(vertices[ends.ravel()]).all():
        raise InternalFault.at("axis", "the diagram of the outlines has an edge without an end")
    own_end = _own_end(walls, site, point)
    # in small numbers: it is kept beside the axis that is made of it
    ends, site, point = ends.astype(np.int32), site.astype(np.int32), point.astype(np.int8)
    return Diagram(walls, ring, vertices, ends, site, point, own_end, beside)


def _own_end(walls: Floats, site: Ints, point: Ints) -> Bools:
    """Rows between a wall and its own end point: they bound the cell of the point, and are no bisector of two walls."""
    rows = np.arange(len(site))
    flat = point[:, 0] == 0
    wall = walls[np.where(flat, site[:, 0], site[:, 1])]
    other = np.where(flat, 1, 0)
    end = walls[site[rows, other], np.maximum(point[rows, other] - 1, 0)]
    mixed = (point == 0).sum(axis=1) == 1
    touches = (end[:, None, :] == wall).all(axis=2).any(axis=1)
    return np.asarray(mixed & touches)
