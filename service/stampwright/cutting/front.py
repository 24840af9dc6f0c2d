"""Clearing paths by a front that grows from ground already free, one stepover at a time, until a region is full.

    free     where the centre can be without touching metal: beside the block, in what a larger cutter cleared
    target   where the centre has to come
    level k  the edge of (free grown by k stepovers, within the target) that level k − 1 had not reached

A front that starts at the open edge of the block makes every pass a side cut and needs no entry into metal; only a
pocket without a way in is entered by a helix, at the point farthest from its walls.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import polygons_of, quarter_segments

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_LEVELS = 600
_SEEN_MM = 0.004  # a new edge closer than this to the old one is no new path
_TIDY_MM = 0.0005  # vertices closer than this to a line are dropped at each level
_SHORT_MM = 0.02  # shorter pieces are dropped; what they would have cleared the next one does
_RESIDUE_MM2 = 2e-4  # ground of the centre smaller than this is no pocket
_HELIX_SHARE = 0.4  # radius of an entry helix over the cutter's, at most: bore 1.4 D; common practice, 1.2 to 1.8 D
_WALL_MM = 0.002  # an entry stays this far from the edge of the target


@dataclass(frozen=True, slots=True)
class Level:
    """Pieces of path to be cut once those of the level before are done; where the centre is free before and after."""

    free: shapely.MultiPolygon
    freed: shapely.MultiPolygon
    pieces: NDArray[np.object_]  # LineStrings, free ground on their left: climb milling with a right-hand cutter


@dataclass(frozen=True, slots=True)
class Entry:
    """A helix into solid metal: centre and radius of the circle the cutter's centre follows."""

    x_mm: float
    y_mm: float
    radius_mm: float

    def disc(self) -> shapely.Polygon:
        """Where the centre has been."""
        return shapely.buffer(shapely.Point(self.x_mm, self.y_mm), self.radius_mm, quad_segs=12)


def grow_front(
    free: shapely.MultiPolygon,
    target: shapely.MultiPolygon,
    *,
    touching: shapely.Geometry | None,
    radius_mm: float,
    stepover_mm: float,
) -> tuple[list[Level], list[Entry]]:
    """Grow the front until the target is full; `touching` limits the pieces to where the disc meets ground to clear."""
    segments = quarter_segments(stepover_mm, sagitta_mm=0.002)
    reached = free
    levels: list[Level] = []
    entries: list[Entry] = []
    for _ in range(MOST_LEVELS):
        wider = shapely.intersection(shapely.buffer(reached, stepover_mm, quad_segs=segments), target)
        grown = polygons_of(shapely.simplify(shapely.union(reached, wider), _TIDY_MM))
        pieces = _new_edges(grown, reached, touching)
        if len(pieces) or shapely.area(grown) - shapely.area(reached) > _RESIDUE_MM2:
            levels += [Level(reached, grown, pieces)] if len(pieces) else []
            reached = grown
            continue
        pockets = _pockets(target, reached)
        apart = pockets[~(shapely.distance(pockets, reached) <= stepover_mm / 2)]  # nan: nothing is reached yet
        new = [entry for pocket in apart if (entry := _entry(pocket, radius_mm))]
        if not new:
            residue = directed(shapely.boundary(pockets), grown)
            levels += [Level(reached, polygons_of(shapely.union(reached, target)), residue)] if len(residue) else []
            break
        entries += new
        reached = polygons_of(shapely.union_all([reached, *(entry.disc() for entry in new)]))
    return levels, entries


def _new_edges(
    grown: shapely.MultiPolygon, reached: shapely.MultiPolygon, touching: shapely.Geometry | None
) -> NDArray[np.object_]:
    edges = shapely.difference(shapely.boundary(grown), shapely.buffer(reached, _SEEN_MM, quad_segs=2))
    if touching is not None:
        edges = shapely.intersection(edges, touching)
    return directed(edges, grown)


def directed(edges: shapely.Geometry, inside: shapely.MultiPolygon) -> NDArray[np.object_]:
    """Merge lines to pieces, and turn each so that `inside` lies on its left."""
    pieces: NDArray[np.object_] = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(list(_lines(edges)))))
    pieces = pieces[shapely.length(pieces) > _SHORT_MM]
    if not len(pieces):
        return pieces
    ahead = shapely.line_interpolate_point(pieces, 0.5, normalized=True)
    behind = shapely.line_interpolate_point(pieces, 0.5 * shapely.length(pieces) - 0.002)
    here, step = shapely.get_coordinates(ahead), shapely.get_coordinates(ahead) - shapely.get_coordinates(behind)
    left = here + np.column_stack([-step[:, 1], step[:, 0]])
    shapely.prepare(inside)
    right_way = shapely.contains_xy(inside, *left.T)
    return np.where(right_way, pieces, shapely.reverse(pieces))


def _lines(edges: shapely.Geometry) -> NDArray[np.object_]:
    parts: NDArray[np.object_] = shapely.get_parts(shapely.get_parts(edges))
    lines: NDArray[np.object_] = parts[(shapely.get_dimensions(parts) == 1) & ~shapely.is_empty(parts)]
    return lines


def _pockets(target: shapely.MultiPolygon, reached: shapely.MultiPolygon) -> NDArray[np.object_]:
    left = polygons_of(shapely.difference(target, shapely.buffer(reached, _SEEN_MM, quad_segs=2)))
    parts: NDArray[np.object_] = shapely.get_parts(left)
    pockets: NDArray[np.object_] = parts[shapely.area(parts) > _RESIDUE_MM2]
    return pockets


def _entry(pocket: shapely.Polygon, radius_mm: float) -> Entry | None:
    """The widest entry a pocket offers."""
    spoke = shapely.maximum_inscribed_circle(pocket, tolerance=0.01)
    (x, y), *_ = shapely.get_coordinates(spoke)
    room = float(shapely.length(spoke)) - _WALL_MM
    return Entry(float(x), float(y), min(room, _HELIX_SHARE * radius_mm)) if room > 0 else None
