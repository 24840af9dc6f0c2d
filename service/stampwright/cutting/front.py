"""Clearing paths by a front that grows from ground already free, one stepover at a time, until a region is full.

    free     where the centre can be without touching metal: beside the block, in what a larger cutter cleared
    target   where the centre has to come
    level k  the edge of (free grown by k stepovers, within the target) that level k - 1 had not reached

A front that starts at the open edge of the block makes every pass a side cut and needs no entry into metal; only a
pocket without a way in is entered by a helix, at the point farthest from its walls.

No area is ever cut up. A level's front is the outline of all ground within a stepover of the front before, kept at the
points that lie in the target and were not within a stepover of an older front: it costs as much as it is long. The
outline of the target is followed piece by piece, each at the level at which the front first comes near.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.plane import Strips, less, quarter_segments

from .arrival import NEVER, Outline, arrivals, boxes_of, chunks, into_tips, outline_pieces
from .clip import kept
from .reach import COARSE_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

_SEEN_MM = 0.004  # an outline closer than this to ground that was free is no new path
_TIDY_MM = 0.0005  # vertices closer than this to a line are dropped at each level
_SHORT_MM = 0.02  # shorter pieces are dropped; what they would have cleared the next one does
_CRUMB_MM2 = 3e-5  # ground of the centre that is come to late, if larger: its disc may clear a thousand times as much
_RESIDUE_MM2 = 2e-4  # ground of the centre smaller than this is no pocket
_HELIX_SHARE = 0.4  # radius of an entry helix over the cutter's, at most: bore 1.4 D; common practice, 1.2 to 1.8 D
_WALL_MM = 0.002  # an entry stays this far from the edge of the target
_GRAZE_MM = 0.003
"""No wall of the centre's ground is sharper than the cutter, so between two points s apart that lie free it reaches no
deeper than s² / 8r: fronts are looked at in steps that make this so much."""
_STEP_SHARE = 0.25  # of a stepover: looked at more coarsely, ends of pieces in narrow ground miss each other
_RECENT, _LATEST = 8, 2  # so many levels are asked one by one; then all but so many go into a tree of their edges
_PROBES = np.linspace(0, 1, 5)  # places on a piece of front, shares of its length, where older levels are looked for
_TOUCH = 1 - 1e-6  # of a stepover from an older front: there it was free


@dataclass(frozen=True, slots=True)
class Level:
    """Pieces of path to be cut once those of the level before are done; what they free is `reach` less `before`."""

    pieces: Geometries  # LineStrings, free ground on their left: climb milling with a right-hand cutter
    reach: shapely.Geometry
    before: shapely.Geometry


@dataclass(frozen=True, slots=True)
class Entry:
    """A helix into solid metal: centre and radius of the circle the cutter's centre follows."""

    x_mm: float
    y_mm: float
    radius_mm: float


class _Filed(NamedTuple):
    """Short lines and the tree that finds them."""

    lines: Geometries
    tree: shapely.STRtree


def discs_of(entries: Sequence[Entry]) -> Geometries:
    """Where the centre has been after each entry."""
    circles = np.array([(entry.x_mm, entry.y_mm, entry.radius_mm) for entry in entries]).reshape(-1, 3)
    discs: Geometries = shapely.buffer(shapely.points(circles[:, :2]), circles[:, 2], quad_segs=12)
    return discs


def grow_front(
    free: shapely.MultiPolygon,
    target: shapely.MultiPolygon,
    *,
    to_clear: shapely.Geometry | None,
    radius_mm: float,
    stepover_mm: float,
) -> tuple[list[Level], list[Entry]]:
    """Grow the front until the target is full, by a helix into each pocket that has no way in from free ground.

    Only where the disc meets ground `to_clear`, if any is given.
    """
    near = None if to_clear is None else _Near(to_clear, radius_mm + COARSE_MM)
    pockets, others = _pockets(free, target, stepover_mm / 2)
    if near is not None:
        pockets = pockets[near.polygons(pockets)]
        target = _together(np.concatenate([others, pockets]))
    large = pockets[shapely.area(pockets) > _RESIDUE_MM2]
    entries = [entry for pocket in large if (entry := _entry(pocket, radius_mm))]
    start = _together(np.concatenate([shapely.get_parts(free), discs_of(entries)]))
    front = _Front(start, target, radius_mm=radius_mm, stepover_mm=stepover_mm)
    levels = front.grown()
    if len(left := front.left()):
        around = _together(left)
        rest = _Front(shapely.MultiPolygon(), around, radius_mm=radius_mm, stepover_mm=stepover_mm)
        levels += [Level(directed(shapely.boundary(around), around), around, shapely.MultiPolygon()), *rest.grown()]
    return _limited(levels, near, front.step_mm), entries


class _Near:
    """What lies so near to an area: asked by its short edges, so that it is not grown."""

    def __init__(self, area: shapely.MultiPolygon, within_mm: float) -> None:
        self.inside, self.within_mm = Strips(area), within_mm
        self.edges = shapely.STRtree(chunks(_rings(area))[0])

    def points(self, points: Floats) -> Bools:
        """Which of these are, (n, 2)."""
        found = self.inside.hold(*points.T)
        asked = np.flatnonzero(~found)
        found[asked[self._beside(shapely.points(picked(points, asked)))]] = True
        return found

    def polygons(self, polygons: Geometries) -> Bools:
        """Which of these are."""
        found = self.inside.hold(*shapely.get_coordinates(shapely.point_on_surface(polygons)).T)
        found[self._beside(polygons)] = True
        return found

    def _beside(self, geometries: Geometries) -> Ints:
        which, _ = self.edges.query(geometries, predicate="dwithin", distance=self.within_mm)
        return np.asarray(which)


class _Front:
    """Where the centre has still to come, and the edges it has reached, level by level."""

    def __init__(
        self, free: shapely.MultiPolygon, target: shapely.MultiPolygon, *, radius_mm: float, stepover_mm: float
    ) -> None:
        self.free, self.target, self.stepover_mm = free, target, stepover_mm
        self.step_mm = min(math.sqrt(8 * radius_mm * _GRAZE_MM), _STEP_SHARE * stepover_mm)
        self.segments = quarter_segments(stepover_mm, sagitta_mm=0.002)
        first = shapely.boundary(target if shapely.is_empty(free) else free)
        self.edges: list[Geometries] = [_lines(first)]
        self.reaches: list[shapely.Geometry] = [free]
        self.recent = [free]
        self.older: list[_Filed] = []  # the edges that reached what is no longer among the recent
        self.in_target = Strips(target)
        shapely.prepare(free)

    def grown(self) -> list[Level]:
        """All levels there are."""
        while len(self.edges[-1]):
            self._step()
        rings = _rings(self.target)
        outline = Outline(*shapely.get_coordinates(shapely.segmentize(rings, self.step_mm), return_index=True))
        seen = Strips(shapely.buffer(self.free, _SEEN_MM, quad_segs=2))
        level = into_tips(outline, arrivals(outline.points, seen, self.edges, self.stepover_mm), 2 * self.stepover_mm)
        walls, of_level = outline_pieces(outline, level, self.edges, free=seen, near_mm=2 * self.step_mm)
        self.unmet = boxes_of(outline, level == NEVER, self.stepover_mm)
        front_level = np.repeat(np.arange(1, len(self.edges)), [len(edge) for edge in self.edges[1:]])
        lines, level = np.concatenate([*self.edges[1:], walls]), np.concatenate([front_level, of_level])
        pieces, level = _joined(lines, level)
        parted = _parted(pieces, level)
        return [Level(own, self.reaches[k], self.reaches[k - 1]) for k, own in parted.items()]

    def _step(self) -> None:
        """Add the edge of all that lies within a stepover of the last one."""
        reach = shapely.buffer(_bundle(self.edges[-1]), self.stepover_mm, quad_segs=self.segments)
        shapely.prepare(reach)
        edge, _ = kept(_rings(reach), self._ahead, self.step_mm)
        self.edges.append(shapely.simplify(self._new(edge), _TIDY_MM, preserve_topology=False))
        self.reaches.append(reach)
        self.recent.append(reach)
        if len(self.recent) > _RECENT:
            gone = len(self.recent) - _LATEST
            last = len(self.reaches) - _LATEST - 1
            self._file(chunks(np.concatenate(self.edges[max(0, last - gone) : last]))[0])
            self.recent = self.recent[gone:]

    def _file(self, lines: Geometries) -> None:
        """Put edges into a tree, together with those filed before that are no more: so there are few trees."""
        while self.older and len(self.older[-1].lines) <= len(lines):
            lines = np.concatenate([self.older.pop().lines, lines])
        self.older.append(_Filed(lines, shapely.STRtree(lines)))

    def _ahead(self, points: Floats) -> Bools:
        """Which points lie in the target and were not reached by the two levels before.

        Ground that an older level has reached has neighbours of its own by now: these two lie between.
        """
        asked = np.flatnonzero(~shapely.contains_xy(self.recent[-1], *points.T))
        asked = asked[self.in_target.hold(*picked(points, asked).T)]
        for area in self.recent[-2:-1]:
            asked = asked[~shapely.contains_xy(area, *picked(points, asked).T)]
        ahead = np.zeros(len(points), dtype=bool)
        ahead[asked] = True
        return ahead

    def _new(self, edge: Geometries) -> Geometries:
        """What of an edge is new indeed: around a thin wall it may have come to where an older level was."""
        places = shapely.line_interpolate_point(edge[:, None], _PROBES, normalized=True)
        old = ~self._is_new(shapely.get_coordinates(places)).reshape(places.shape).all(axis=1)
        return np.concatenate([edge[~old], kept(edge[old], self._is_new, self.step_mm)[0]]) if old.any() else edge

    def _is_new(self, points: Floats) -> Bools:
        """Which points no older level has reached."""
        asked = np.arange(len(points))
        for area in [*reversed(self.recent[:-2]), self.free]:
            asked = asked[~shapely.contains_xy(area, *picked(points, asked).T)]
        for filed in self.older:
            at = shapely.points(picked(points, asked))
            old, _ = filed.tree.query(at, predicate="dwithin", distance=_TOUCH * self.stepover_mm)
            asked = np.delete(asked, old)
        new = np.zeros(len(points), dtype=bool)
        new[asked] = True
        return new

    def left(self) -> Geometries:
        """Ground of the target that the front did not come to, through a neck narrower than a step.

        Looked for around the outline that was not met; all over where it goes on beyond.
        """
        reaches = shapely.get_parts(self.reaches)
        tree = shapely.STRtree(reaches)
        found = [self._missed(box, reaches[tree.query(shapely.box(*box))]) for box in self.unmet]
        if all(ends for _, ends in found):
            return np.concatenate([np.zeros(0, dtype=object), *(parts for parts, _ in found)])
        return self._missed(shapely.total_bounds(self.target) + np.array([-1, -1, 1, 1]), reaches)[0]

    def _missed(self, box: Floats, reaches: Geometries) -> tuple[Geometries, bool]:
        """Ground within a box that none of these reached, crumbs left out, and whether all of it ends there."""
        target, near = (shapely.clip_by_rect(of, *box) for of in (self.target, reaches))
        parts: Geometries = shapely.get_parts(less(target, near))
        parts = parts[shapely.area(parts) > _CRUMB_MM2]
        ends = shapely.bounds(parts)
        return parts, bool(((ends[:, :2] > box[:2]) & (ends[:, 2:] < box[2:])).all())


def _limited(levels: list[Level], near: _Near | None, step_mm: float) -> list[Level]:
    """Levels with only those pieces where the disc meets ground to clear."""
    if not levels:
        return levels
    of_level = np.repeat(np.arange(len(levels)), [len(level.pieces) for level in levels])
    pieces = np.concatenate([level.pieces for level in levels])
    if near is None:
        return _tidied(levels, pieces, of_level)
    pieces, piece = kept(pieces, near.points, step_mm)
    return _tidied(levels, *_joined(pieces, of_level[piece]))


def _tidied(levels: list[Level], pieces: Geometries, of_level: Ints) -> list[Level]:
    """The same levels with these pieces, but for short ones; without those that have none."""
    pieces = shapely.simplify(pieces, _TIDY_MM, preserve_topology=False)
    long = shapely.length(pieces) > _SHORT_MM
    parted = _parted(pieces[long], of_level[long])
    return [Level(own, levels[k].reach, levels[k].before) for k, own in parted.items()]


def _pockets(free: shapely.MultiPolygon, target: shapely.MultiPolygon, near_mm: float) -> tuple[Geometries, Geometries]:
    """Parts of the target that have no way in from ground already free, and the others."""
    parts = shapely.get_parts(target)
    shapely.prepare(free)
    open_ = shapely.dwithin(free, parts, near_mm)
    return parts[~open_], parts[open_]


def _entry(pocket: shapely.Polygon, radius_mm: float) -> Entry | None:
    """The widest entry a pocket offers."""
    spoke = shapely.maximum_inscribed_circle(pocket, tolerance=0.01)
    (x, y), *_ = shapely.get_coordinates(spoke)
    room = float(shapely.length(spoke)) - _WALL_MM
    return Entry(float(x), float(y), min(room, _HELIX_SHARE * radius_mm)) if room > 0 else None


def _together(polygons: Geometries) -> shapely.MultiPolygon:
    """Polygons in one bag. They may touch: it is good for distances, buffers and lengths."""
    return shapely.multipolygons(polygons)


def _bundle(lines: Geometries) -> shapely.MultiLineString:
    return shapely.multilinestrings(lines)


def _rings(area: shapely.Geometry) -> Geometries:
    """Outlines of an area, which lies on their left."""
    rings: Geometries = shapely.get_rings(shapely.get_parts(shapely.orient_polygons(area)))
    return rings


def _joined(lines: Geometries, group: Ints) -> tuple[Geometries, Ints]:
    """Lines of a group that follow each other made one, and the group of each; groups in order."""
    order = np.argsort(group, kind="stable")
    groups, nth = np.unique(group[order], return_inverse=True)
    if not len(groups):
        return lines, group
    merged = shapely.line_merge(shapely.multilinestrings(lines[order], indices=nth), directed=True)
    pieces, owner = shapely.get_parts(merged, return_index=True)
    return pieces, groups[owner]


def _parted(pieces: Geometries, group: Ints) -> dict[int, Geometries]:
    """Pieces by their groups, which come in order."""
    groups, starts = np.unique(group, return_index=True)
    return dict(zip(groups.tolist(), np.split(pieces, starts[1:]), strict=True)) if len(groups) else {}


def directed(edges: shapely.Geometry, inside: shapely.MultiPolygon) -> Geometries:
    """Merge lines to pieces, and turn each so that `inside` lies on its left."""
    pieces: Geometries = shapely.get_parts(shapely.line_merge(_bundle(_lines(edges))))
    pieces = pieces[shapely.length(pieces) > _SHORT_MM]
    if not len(pieces):
        return pieces
    ahead = shapely.line_interpolate_point(pieces, 0.5, normalized=True)
    behind = shapely.line_interpolate_point(pieces, 0.5 * shapely.length(pieces) - 0.002)
    here, step = shapely.get_coordinates(ahead), shapely.get_coordinates(ahead) - shapely.get_coordinates(behind)
    left = here + np.column_stack([-step[:, 1], step[:, 0]])
    shapely.prepare(inside)
    right_way = shapely.contains_xy(inside, *left.T)
    shapely.destroy_prepared(inside)
    turned: Geometries = np.where(right_way, pieces, shapely.reverse(pieces))
    return turned


def _lines(edges: shapely.Geometry) -> Geometries:
    parts: Geometries = shapely.get_parts(shapely.get_parts(edges))
    lines: Geometries = parts[(shapely.get_dimensions(parts) == 1) & ~shapely.is_empty(parts)]
    return lines
