r"""How deep a pointed cutter goes that follows the outline and rises where the gap grows too narrow for full depth.

        land  |\      tip     /|  land      D: distance to the ink; t: half the width of the tip
              | \    ____    / |            standing at q it goes (D(q) − t) / tan(half angle) deep, at most the relief
              |  \__|____|__/  |            at p it leaves the deepest of all places q it can stand at:
                 a   2t   b                 depth(p) = (G(p) − t) / tan, G(p) the greatest D within t of p

Beside a wall that is a plane as with a sharp tip. Along the axis of a gap it is the way of the tip itself: a strip
from a to b that falls as the gap widens, its level lines arcs of the tip. Corners are gaps that end in a point.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from stampwright.base.counting import counted, picked
from stampwright.base.tolerances import GRID_MM

from .cells import cross, floor_lines
from .mesh import plan_keys
from .necks import necks_of
from .noding import once
from .slopes import Lines, all_of, chains_of, foot_lines, lines_between, parted_at_least, step_of, towards

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from stampwright.plane import Diagram

    from .cells import FloorLines
    from .necks import Necks
    from .slopes import Chains

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_SHOWS = 0.25  # of the chord error: a tip that rounds a valley by less leaves no strip
_LEVEL = 1e-3  # of a run: the sides of a gap are taken as parallel, and its bottom as level
_FULL = 2 * np.pi
_CLEAR_MM = 1e-6
_BESIDE_MM = 8 * GRID_MM  # places this near to each other are one: half the chord error at most
_AT_WALL_MM = 2 * GRID_MM  # places this near to a wall are on it: rounding moves each by less


class Point(NamedTuple):
    """A pointed cutter that follows an outline: half its tip, and its radius at the height of the face."""

    tip_mm: float
    face_mm: float

    @property
    def reach_mm(self) -> float:
        """How wide its flank is from tip to face."""
        return self.face_mm - self.tip_mm


def grooved(
    diagram: Diagram, point: Point, *, may_meet: Callable[[Floats, Floats], Bools], chord_mm: float
) -> tuple[Lines, Grooves]:
    """Lines in plan of the surface that a pointed cutter leaves beside the ink of the diagram, on some ground at least.

    `may_meet`: which boxes between corners (n, 2) may have some of that ground within.
    Depths are told by the width of the flank from the face down: 0 at the face, `point.reach_mm` on the floor. Where
    one is not known, on ground that the tip cuts deeper from the other side of a neck, it is nan.
    """
    found = parted_at_least(floor_lines(diagram, reach_mm=point.face_mm + 2 * point.tip_mm))
    beyond = chains_of(found, reach_mm=point.face_mm + 2 * point.tip_mm, chord_mm=chord_mm)
    near = _cells_near(found, beyond, point, may_meet)
    kept = np.any(near[found.cell], axis=1)
    ridges = _segments(beyond.rows(kept[beyond.line]))
    grooves, found = Grooves(point, walls=diagram.walls, ridges=ridges), found.rows(kept)
    del beyond  # what is large goes as soon as it has served
    lines, beside_necks = _lines(found, near, point, chord_mm=chord_mm)
    lines = all_of([lines, grooves.deepest(beside_necks, chord_mm=chord_mm)])
    rows = once(lines.xy)  # neighbours share their ends
    return Lines(picked(lines.xy, rows), picked(lines.depth, rows)), grooves


def _cells_near(found: FloorLines, chains: Chains, point: Point, may_meet: Callable[[Floats, Floats], Bools]) -> Bools:
    """By the number of each cell, whether it, or what the tip makes beside its lines, may meet the ground.

    All of a cell: where a gap is wide, ground reaches over the foot of a long wall and near no line around its cell.
    """
    starts = np.flatnonzero(np.diff(chains.line, prepend=-1))
    row = chains.line[starts]
    least, most = np.minimum.reduceat(chains.xy, starts), np.maximum.reduceat(chains.xy, starts)
    count = int(found.cell.max(initial=0)) + 1
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    for side in (0, 1):
        cell, corner, tip = found.cell[row, side], found.corner[row, side, None], found.site[row, side, 0]
        # about a corner arcs of the foot reach out between the lines
        np.minimum.at(low, cell, np.where(corner, np.minimum(least, tip - point.face_mm), least))
        np.maximum.at(high, cell, np.where(corner, np.maximum(most, tip + point.face_mm), most))
    margin_mm = 2 * point.tip_mm  # as far as both sides of a neck see each other
    cells = np.unique(found.cell[row])
    near = np.zeros(count, dtype=bool)
    near[cells[may_meet(low[cells] - margin_mm, high[cells] + margin_mm)]] = True
    return near


class Grooves:
    """The depth of that surface at any place of the floor, from the `walls` and the `ridges` of the axis."""

    def __init__(self, point: Point, *, walls: Floats, ridges: Lines) -> None:
        self.point, self._walls, self._ridges = point, walls, ridges

    def deepest(self, lines: Lines, *, chord_mm: float) -> Lines:
        """Lines without those on ground that the tip cuts deeper than they say, the depth of ends there unknown."""
        depth = self.depth_mm(lines.xy.reshape(-1, 2)).reshape(-1, 2)
        deeper = depth > lines.depth + chord_mm
        kept = ~np.all(deeper, axis=1)
        return Lines(lines.xy[kept], np.where(deeper, np.nan, lines.depth)[kept])

    def depth_mm(self, places: Floats) -> Floats:
        """Depth at places (n, 2). The walls are indexed for each question: an index takes more than all else here."""
        if not len(places):
            return np.zeros(0)
        tip_mm, walls = self.point.tip_mm, shapely.STRtree(shapely.linestrings(self._walls))
        away, distance = self._nearest(places, walls)
        # at a wall and on the floor the axis changes nothing
        off = np.flatnonzero((distance > _AT_WALL_MM) & (distance < self.point.face_mm))
        widest = distance + tip_mm  # where no axis is near, the way up from the ink is free; nowhere is more
        beside, on_axis = self._along_ridges(places[off])
        beside = off[beside]
        free, widest[beside] = widest[beside], np.maximum(on_axis, distance[beside])
        lower = beside[widest[beside] < free - _CLEAR_MM]
        there = places[lower] + tip_mm * away[lower] / distance[lower, None]
        widest[lower] = np.maximum(widest[lower], self._nearest(there, walls)[1])
        depth: Floats = np.clip(widest - tip_mm, 0.0, self.point.reach_mm)
        return np.where(distance <= _AT_WALL_MM, 0.0, depth)

    def _nearest(self, places: Floats, walls: shapely.STRtree) -> tuple[Floats, Floats]:
        """Vectors from the nearest place of the ink's outline, and their lengths."""
        _, wall = walls.query_nearest(shapely.points(places), all_matches=False)
        start, end = picked(self._walls, wall).swapaxes(0, 1)
        along = end - start
        share = np.sum((places - start) * along, axis=1) / np.sum(along * along, axis=1)
        away = places - start - np.clip(share, 0.0, 1.0)[:, None] * along
        return away, np.hypot(*away.T)

    def _along_ridges(self, places: Floats) -> tuple[Ints, Floats]:
        """Places with the axis within the tip's radius, and the greatest distance to the ink on it there."""
        ridges = shapely.STRtree(shapely.linestrings(self._ridges.xy))
        spot, row = ridges.query(shapely.points(places), predicate="dwithin", distance=self.point.tip_mm)
        start, along = self._ridges.xy[row, 0], self._ridges.xy[row, 1] - self._ridges.xy[row, 0]
        offset = places[spot] - start
        length = np.maximum(np.sum(along * along, axis=1), _CLEAR_MM**2)
        middle = np.sum(offset * along, axis=1) / length
        half = np.sqrt(np.maximum(self.point.tip_mm**2 - np.sum(offset**2, axis=1) + middle**2 * length, 0) / length)
        low, high = self._ridges.depth[row].T
        found = np.zeros(len(places))
        for share in (middle - half, middle + half):
            np.maximum.at(found, spot, low + np.clip(share, 0.0, 1.0) * (high - low))
        beside = np.unique(spot)
        return beside, found[beside]


def _lines(found: FloorLines, near: Bools, point: Point, *, chord_mm: float) -> tuple[Lines, Lines]:
    """All lines, the foot of `near` cells; those beside necks apart, where the tip comes over them from both sides."""
    chains = chains_of(found, reach_mm=point.face_mm, chord_mm=chord_mm)
    to_sites = _to_sites(found, chains)
    shows = _shows(found, chains, np.abs(_turn(to_sites)), point, chord_mm=chord_mm)
    ways = _ways(chains, to_sites, shows, point)
    at_foot = np.flatnonzero(chains.is_foot)
    feet = chains.xy[at_foot, None] + point.tip_mm * to_sites[at_foot]
    feet = np.where(shows[chains.line[at_foot], None, None], feet, feet.mean(axis=1, keepdims=True))
    step = step_of(point.reach_mm, chord_mm=chord_mm)
    foot = foot_lines(found, chains.line[at_foot], feet, reach_mm=point.reach_mm, step=step, within=near)
    necks = _necks(chains, to_sites, point, chord_mm=chord_mm)
    beside = _beside(necks, ways, point)
    free, crowded = (_strips(ways.rows(some), point, chord_mm=chord_mm) for some in (~beside, beside))
    return all_of([*foot, *_rays(found, ways), *_valleys(ways), *free, necks.creases]), all_of(crowded)


def _necks(chains: Chains, to_sites: Floats, point: Point, *, chord_mm: float) -> Necks:
    """Necks of the axis; a line between a wall and its own end is none of it."""
    joined = chains.line[1:] == chains.line[:-1]
    parts = np.abs(_turn(to_sites)) > _LEVEL
    axis, opened = _segments(chains), (parts[1:] | parts[:-1])[joined]
    return necks_of(
        Lines(axis.xy[opened], axis.depth[opened] - point.tip_mm),
        tip_mm=point.tip_mm,
        least_gain_mm=_SHOWS * chord_mm,
        chord_mm=chord_mm,
    )


def _beside(necks: Necks, ways: _Ways, point: Point) -> Bools:
    """Ways on lines of the diagram that come within the tip's reach of a neck."""
    if not len(necks.xy):
        return np.zeros(len(ways.line), dtype=bool)
    tree = shapely.STRtree(shapely.points(necks.xy))
    way, _ = tree.query(shapely.linestrings(ways.axis), predicate="dwithin", distance=2 * point.tip_mm)
    return np.isin(ways.line, ways.line[way])


class _Ways(NamedTuple):
    """Ways of the tip along the axis, piece by piece (n): its middle, its edges beside it, its depth."""

    line: Ints
    circle: Ints  # (n, end): number of the place where the tip stands
    axis: Floats  # (n, end, 2): that place
    to_sites: Floats  # (n, end, side, 2)
    edges: Floats  # (n, end, side, 2)
    depth: Floats  # (n, end)
    is_valley: Bools  # so open that the tip does not show: a sharp line

    def rows(self, kept: Bools) -> _Ways:
        kept_fields: Any = [picked(of, kept) for of in self]
        return _Ways(*kept_fields)


def _shows(found: FloorLines, chains: Chains, turn: Floats, point: Point, *, chord_mm: float) -> Bools:
    """Lines of the diagram where the tip rounds the valley by more than the chord error allows."""
    widest, least = np.zeros(len(found.ends)), np.full(len(found.ends), np.inf)
    np.maximum.at(widest, chains.line, turn)
    np.minimum.at(least, chains.line, chains.depth)
    rounded_mm = point.tip_mm * (1 / np.maximum(np.cos(widest / 2), 0.1) - 1)
    # a valley begins at the outline itself; one that begins beside it is closed by the tip's arc
    return (rounded_mm > _SHOWS * chord_mm) | ((least > _CLEAR_MM) & (least < point.tip_mm))


def _ways(chains: Chains, to_sites: Floats, shows: Bools, point: Point) -> _Ways:
    joined = chains.line[1:] == chains.line[:-1]
    line, axis = chains.line[1:][joined], _segments(chains)
    to_sites = picked(np.stack([to_sites[:-1], to_sites[1:]], axis=1), joined)
    opened = np.max(axis.depth, axis=1) > point.tip_mm
    whole, line = Lines(picked(axis.xy, opened), picked(axis.depth, opened)), line[opened]
    part, to_sites = _from(whole, picked(to_sites, opened), point.tip_mm)
    circle, part = _gathered(part)
    edges = part.xy[:, :, None] + point.tip_mm * to_sites
    middle = np.where((whole.depth <= _CLEAR_MM)[..., None], whole.xy, edges.mean(axis=2))
    is_valley = ~shows[line]
    edges = np.where(is_valley[:, None, None, None], middle[:, :, None], edges)
    return _Ways(line, circle, part.xy, to_sites, edges, part.depth - point.tip_mm, is_valley)


def _gathered(axis: Lines) -> tuple[Ints, Lines]:
    """Number the places where the tip stands, (n, end). Those next to each other are one, else their arcs would cross.

    Next to each other are the ends of lines that are hardly there, as where four cells nearly meet in a point.
    """
    _, first, number = np.unique(plan_keys(axis.xy), return_index=True, return_inverse=True)
    one, other = number[np.hypot(*(axis.xy[:, 1] - axis.xy[:, 0]).T) < _BESIDE_MM].T
    beside = coo_array((np.ones(len(one), dtype=bool), (one, other)), shape=(len(first), len(first)))
    _, group = connected_components(beside, directed=False)
    number = group[number]
    first = first[np.unique(group, return_index=True)[1]]
    return number, Lines(picked(axis.xy.reshape(-1, 2), first[number]), picked(axis.depth.ravel(), first[number]))


def _valleys(ways: _Ways) -> list[Lines]:
    """Sharp lines, and where they end the short lines to the edges that the tip would have."""
    valleys = ways.rows(ways.is_valley)
    return [Lines(valleys.edges[:, :, 0], valleys.depth)]


def _to_sites(found: FloorLines, chains: Chains) -> Floats:
    """Unit vectors from the places of chains to the sites on both sides, (n, 2, 2)."""
    line, xy = chains.line, chains.xy
    return np.stack([towards(found.site[line, side], found.corner[line, side], xy) for side in (0, 1)], axis=1)


def _turn(to_sites: Floats) -> Floats:
    """From one foot to the other [rad]; both lie on the side where the gap narrows, so it is the smaller angle."""
    first, last = to_sites[..., 0, :], to_sites[..., 1, :]
    turn: Floats = np.arctan2(cross(first, last), np.sum(first * last, axis=-1))
    return turn


def _segments(chains: Chains) -> Lines:
    return lines_between(chains.xy, chains.depth, chains.line[1:] == chains.line[:-1])


def _from(axis: Lines, to_sites: Floats, least_mm: float) -> tuple[Lines, Floats]:
    """The part of each line where the distance to the ink is at least so much."""
    low, high = axis.depth[:, 0], axis.depth[:, 1]
    share = np.clip((least_mm - low) / np.where(high == low, 1.0, high - low), 0.0, 1.0)
    at = axis.xy[:, 0] + share[:, None] * (axis.xy[:, 1] - axis.xy[:, 0])
    between = to_sites[:, 0] + share[:, None, None] * (to_sites[:, 1] - to_sites[:, 0])
    between /= np.maximum(np.hypot(between[..., 0], between[..., 1]), _CLEAR_MM)[..., None]
    below = axis.depth < least_mm
    clipped = Lines(np.where(below[..., None], at[:, None], axis.xy), np.where(below, least_mm, axis.depth))
    return clipped, np.where(below[..., None, None], between[:, None], to_sites)


def _rays(found: FloorLines, ways: _Ways) -> list[Lines]:
    """From a corner of the outline to both ends of the tip's edge on its side."""
    rays = []
    for side, end in itertools.product((0, 1), (0, 1)):
        here = found.corner[ways.line, side]
        level = ways.depth[here, end]
        xy = np.stack([found.site[ways.line[here], side, 0], ways.edges[here, end, side]], axis=1)
        rays.append(Lines(xy, np.stack([np.zeros_like(level), level], axis=1)))
    return rays


def _strips(ways: _Ways, point: Point, *, chord_mm: float) -> list[Lines]:
    """Lines along the way of the tip from one edge to the other, and the arcs of the tip at both of its ends."""
    ways = ways.rows(~ways.is_valley)
    turn, first = _way_turn(ways.to_sites), np.arctan2(ways.to_sites[:, :, 0, 1], ways.to_sites[:, :, 0, 0])
    first -= _FULL * np.floor(np.minimum(first, first + turn) / _FULL)
    count = _pieces(np.abs(turn), ways.line, point, chord_mm=chord_mm)
    row = np.repeat(np.arange(len(count)), count + 1)
    rank = counted(count + 1)
    angle = picked(first, row) + (rank / count[row])[:, None] * picked(turn, row)
    xy = picked(ways.axis, row) + point.tip_mm * np.stack([np.cos(angle), np.sin(angle)], axis=2)
    along = Lines(xy, picked(ways.depth, row))
    begins, ends = (np.where(rank == of, 1, 0)[:, None] for of in (0, count[row]))
    opens = (begins - ends) * np.where(_closed_by_others(ways, turn), 0, np.sign(turn))[row]
    return [along, _arcs(along, picked(ways.circle, row), angle, opens)]


def _closed_by_others(ways: _Ways, turn: Floats) -> Bools:
    """Ends of ways between parallel walls, (n, end), at which others end: on a level bottom these close it as well."""
    parallel = np.all(np.cos(turn / 2) < _LEVEL, axis=1)
    closed: Bools = parallel[:, None] & np.isin(ways.circle, ways.circle[~parallel])
    return closed


def _arcs(along: Lines, circle: Ints, angle: Floats, opens: Floats) -> Lines:
    """Arcs of the tip, led through all ends of lines (n, end) that lie on them: where it stands, arcs of several meet.

    `circle` (n, end): its number; `angle` (n, end): in [0, 3 pi), so that it rises along each arc; `opens`: 1 where an
    arc begins that turns to the left, -1 where one ends.
    """
    once_round = angle.ravel()
    again = once_round + np.where(once_round < _FULL, _FULL, -_FULL)
    order = np.argsort(np.concatenate([once_round, again]) + 3 * _FULL * np.tile(circle.ravel(), 2))
    within = np.cumsum(np.append(opens.ravel(), np.zeros_like(opens))[order])[:-1] > 0
    place = order % len(once_round)
    ends = np.stack([place[:-1], place[1:]], axis=1)[within]
    return Lines(picked(along.xy.reshape(-1, 2), ends), picked(along.depth.ravel(), ends))


def _way_turn(to_sites: Floats) -> Floats:
    """Turn at both ends of ways, alike in sign: at a neck, where it is half a circle, either way round is as near."""
    turn = _turn(to_sites)
    wide = np.argmax(np.abs(turn), axis=1)
    rows = np.arange(len(turn))
    turn[rows, wide] = np.copysign(turn[rows, wide], turn[rows, 1 - wide])
    return turn


def _pieces(turn: Floats, line: Ints, point: Point, *, chord_mm: float) -> Ints:
    """Chords of the tip's arc, the same all along a line: their sag tells only as far as the bottom falls along it."""
    falls = np.maximum(np.cos(turn / 2), _LEVEL)
    sag = np.minimum(chord_mm / (point.tip_mm * falls), 1.0)
    count = np.maximum(np.ceil(np.max(turn / (2 * np.arccos(1 - sag)), axis=1) - 1e-9), 1).astype(np.int64)
    most = np.zeros(int(line.max(initial=0)) + 1, dtype=np.int64)
    np.maximum.at(most, line, count)
    return most[line]
