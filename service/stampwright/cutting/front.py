"""Clearing paths by a front that grows from ground already free, one stepover at a time, until a region is full.

    free     where the centre can be without touching metal: beside the block, in what a larger cutter cleared
    target   where the centre has to come
    level k  the edge of (free grown by k stepovers, within the target) that level k − 1 had not reached

A front that starts at the open edge of the block makes every pass a side cut and needs no entry into metal; only a
pocket without a way in is entered by a helix, at the point farthest from its walls.

A level grows from the edge of the one before, not from all that is free, and takes its ring out of what is left of the
target: so it costs as much as its own edge is long, and no ground is taken twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import polygons_of, quarter_segments

if TYPE_CHECKING:
    from numpy.typing import NDArray

_SEEN_MM = 0.004  # a new edge closer than this to ground freed before is no new path
_TIDY_MM = 0.0005  # vertices closer than this to a line are dropped at each level
_SHORT_MM = 0.02  # shorter pieces are dropped; what they would have cleared the next one does
_RESIDUE_MM2 = 2e-4  # ground of the centre smaller than this is no pocket
_HELIX_SHARE = 0.4  # radius of an entry helix over the cutter's, at most: bore 1.4 D; common practice, 1.2 to 1.8 D
_WALL_MM = 0.002  # an entry stays this far from the edge of the target


@dataclass(frozen=True, slots=True)
class Level:
    """Pieces of path to be cut once those of the level before are done, and the ground of the centre they free."""

    ring: shapely.MultiPolygon
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
    front = _Front(free, target, touching, radius_mm=radius_mm, stepover_mm=stepover_mm)
    front.enter()
    while front.grow():
        pass
    front.follow()
    while front.grow():
        pass
    return front.levels, front.entries


class _Front:
    """Where the centre has still to come, and the edge of where it has been, from which the front grows on."""

    def __init__(
        self,
        free: shapely.MultiPolygon,
        target: shapely.MultiPolygon,
        touching: shapely.Geometry | None,
        *,
        radius_mm: float,
        stepover_mm: float,
    ) -> None:
        self.touching, self.radius_mm, self.stepover_mm = touching, radius_mm, stepover_mm
        self.segments = quarter_segments(stepover_mm, sagitta_mm=0.002)
        self.levels: list[Level] = []
        self.entries: list[Entry] = []
        self.left: NDArray[np.object_] = shapely.get_parts(polygons_of(shapely.difference(target, free)))
        self.last: shapely.MultiPolygon = free  # ground freed by the level before
        self.edge: shapely.Geometry = shapely.boundary(free)

    def grow(self) -> bool:
        """Add one level; whether there was anything to add."""
        reach = shapely.buffer(self.edge, self.stepover_mm, quad_segs=self.segments)
        ring = self._taken(reach)
        seen = shapely.buffer(self.last, _SEEN_MM, quad_segs=2)
        self.edge = shapely.simplify(shapely.difference(shapely.boundary(ring), seen), _TIDY_MM)
        self.last = ring
        self._add(ring, self.edge)
        return not shapely.is_empty(self.edge)

    def _taken(self, reach: shapely.Geometry) -> shapely.MultiPolygon:
        """Take the ground within reach out of what is left."""
        parts: NDArray[np.object_] = shapely.get_parts(reach)
        part, which = shapely.STRtree(self.left).query(parts, predicate="intersects")
        order = np.argsort(which, kind="stable")
        met, nth = np.unique(which[order], return_inverse=True)
        # each pocket is cut with what reaches it, not with all: both are many in a fine mark
        near = shapely.multipolygons(parts[part[order]], indices=nth) if len(met) else parts[:0]
        ring = _polygons(shapely.intersection(self.left[met], near))
        rest = _polygons(shapely.difference(self.left[met], near))
        self.left = np.concatenate([np.delete(self.left, met), rest])
        return _together(ring)

    def _add(self, ring: shapely.MultiPolygon, edges: shapely.Geometry) -> None:
        cutting = edges if self.touching is None else shapely.intersection(edges, self.touching)
        pieces = directed(cutting, ring)
        if len(pieces):
            self.levels.append(Level(ring, pieces))

    def enter(self) -> None:
        """Go down by a helix in each pocket that has no way in from ground already free."""
        shapely.prepare(self.last)
        apart = ~shapely.dwithin(self.last, self.left, self.stepover_mm / 2)
        pockets = self.left[apart & (shapely.area(self.left) > _RESIDUE_MM2)]
        new = [entry for pocket in pockets if (entry := _entry(pocket, self.radius_mm))]
        self.entries += new
        discs = np.array([entry.disc() for entry in new], dtype=object)
        self.last = _together(np.concatenate([shapely.get_parts(self.last), discs]))
        self.edge = shapely.union_all([self.edge, *shapely.boundary(discs)])
        self._taken(shapely.union_all(discs))

    def follow(self) -> None:
        """Go once around what is left of the target, and grow on from there."""
        self.last = shapely.MultiPolygon()
        left = _together(self.left[shapely.area(self.left) > _RESIDUE_MM2])
        self.edge = shapely.boundary(left)
        self._add(left, self.edge)


def _polygons(areas: NDArray[np.object_]) -> NDArray[np.object_]:
    parts: NDArray[np.object_] = shapely.get_parts(shapely.get_parts(areas))
    kept: NDArray[np.object_] = parts[(shapely.get_dimensions(parts) == 2) & ~shapely.is_empty(parts)]
    return kept


def _together(polygons: NDArray[np.object_]) -> shapely.MultiPolygon:
    """Polygons in one bag. They may touch: it is good for distances, buffers and lengths."""
    return shapely.MultiPolygon(list(polygons))


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


def _entry(pocket: shapely.Polygon, radius_mm: float) -> Entry | None:
    """The widest entry a pocket offers."""
    spoke = shapely.maximum_inscribed_circle(pocket, tolerance=0.01)
    (x, y), *_ = shapely.get_coordinates(spoke)
    room = float(shapely.length(spoke)) - _WALL_MM
    return Entry(float(x), float(y), min(room, _HELIX_SHARE * radius_mm)) if room > 0 else None
