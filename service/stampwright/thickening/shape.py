r"""Moved samples as areas: a strip on each wall, a fan at each convex corner, a wedge in each blunt concave one.

   fan                         At a concave corner strips overlap; where one of them has no height its end would
 ________/\                    stand beside the other wall as a slit, so a wedge fills up to where the moved
| strip  | \  strip            lines meet.
|________|__\_______
  wall      wall
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.counting import counted, cut_up, dot, picked
from stampwright.plane import area_of, section_of_rings

from .slopes import CORNER_DEG, SLOPE, SMOOTH_DEG

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from .ends import CornerEnds
    from .moves import Moves
    from .walls import Walls

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_NONE_MM = 1e-5  # a move below a tenth of the grid is none
_SEEN_MM = 1e-3  # samples are left out where the outline stays so near
_SMOOTH_DEG = 10.0  # at smaller convex turns neighbouring strips share a corner: 1.004 of the move at most
_RAY_DEG = 15.0  # rays of a fan lie so close at least
_SAME_TURN = 1e-3  # of two rays' width: a right angle has as many rays wherever it lies
_SHARP_DEG = 120.0  # of a concave corner: beyond it even an arc that begins there lies under the strip
_BLUNT = math.radians(80.0)  # turn of a concave corner up to which a line along one wall goes down to the other
_MITRE = 1.5  # a mitre reaches so many moves at most


def grown_by(walls: Walls, moves: Moves) -> shapely.MultiPolygon:
    """The ink within the walls, these moved out; not yet on the grid."""
    corners = _corners(walls, moves)
    rings = cut_up(walls.start, walls.many)
    parts = [*_strips(walls, moves, corners), *_fans(walls, corners, moves), *_wedges(walls, moves)]
    return area_of(section_of_rings([*rings, *parts], "nonzero"))


class _Corners(NamedTuple):
    """At the end of each wall (k): how far both walls move there, and the end of a stroke if any.

    `start_mm`, `end_mm`: what lies ahead of ends left aside; `held_mm` (k, 2): but for the planes of ends.
    """

    start_mm: Floats
    end_mm: Floats
    held_mm: Floats
    ends: CornerEnds


def _corners(walls: Walls, moves: Moves) -> _Corners:
    last, first = moves.samples.last, moves.samples.first[walls.next]
    held = np.column_stack([moves.held_mm[last], moves.held_mm[first]])
    ends = moves.planes.at_corners(last, first)
    return _Corners(moves.loose_mm[last], moves.loose_mm[first], held, ends)


def _strips(walls: Walls, moves: Moves, corners: _Corners) -> Iterator[Floats]:
    """Outline of the strip on each wall that moves, counter-clockwise."""
    which = np.unique(moves.samples.wall[moves.by_mm > _NONE_MM])
    if not len(which):
        return iter(())
    kept = np.union1d(_thinned(moves, which), _beside_falls(walls, moves, corners, which))
    wall, outward = moves.samples.wall[kept], picked(walls.outward, moves.samples.wall[kept])
    # as they are, and as they were if ends had no planes
    outer, far = (picked(moves.samples.at, kept) + by[kept, None] * outward for by in (moves.by_mm, moves.held_mm))
    _share_corners(walls, outer, far, kept, corners, moves)
    outer, wall = _with_edges(outer, far, kept, wall, moves)
    start, end = picked(walls.axis.walls, which).swapaxes(0, 1)
    order = np.argsort(np.concatenate([3 * which, 3 * wall + 1, 3 * which + 2]), kind="stable")
    points = picked(np.concatenate([start, outer, end]), order)
    many = np.bincount(wall)[which] + 2
    return iter(cut_up(points, many))


def _thinned(moves: Moves, which: Ints) -> Ints:
    """The samples on walls `which`, but for those that change nothing seen, with the planes of ends or without."""
    samples = moves.samples
    first, many = samples.first[which], samples.last[which] + 1 - samples.first[which]
    chosen, line = np.repeat(first, many) + counted(many), np.repeat(np.arange(len(which)), many)
    kept = _telling(samples.position[chosen], moves.by_mm[chosen], line)
    cut = np.zeros(len(which), dtype=bool)
    cut[line[moves.held_mm[chosen] > moves.by_mm[chosen]]] = True
    again = cut[line]
    if again.any():
        line = (np.cumsum(cut) - 1)[line[again]]
        kept = np.union1d(kept, _telling(samples.position[chosen[again]], moves.held_mm[chosen[again]], line))
    return np.searchsorted(samples.position, kept)


def _beside_falls(walls: Walls, moves: Moves, corners: _Corners, which: Ints) -> Ints:
    """The samples on walls `which` next to corners that are shared, and where the wall by itself would go farther."""
    fall = np.subtract(*corners.held_mm.T) * _shares_corner(walls)
    last, first = moves.samples.last[fall > _SEEN_MM], moves.samples.first[walls.next[fall < -_SEEN_MM]]
    beside = np.concatenate([last - 1, first + 1])
    return beside[np.isin(moves.samples.wall[beside], which)]


def _shares_corner(walls: Walls) -> Bools:
    """Walls, (k,), whose strips end in one point with those of the next."""
    return np.asarray((walls.turn_deg > 0) & (walls.turn_deg <= _SMOOTH_DEG))


def _telling(position: Floats, by_mm: Floats, line: Ints) -> Floats:
    """The positions (q,) at which lines of moves bend so that it is seen."""
    lines = shapely.linestrings(np.column_stack([position, by_mm]), indices=line)
    # a move is a function of the way, and no simpler one crosses itself: the search for crossings is left out
    return np.asarray(shapely.get_coordinates(shapely.simplify(lines, _SEEN_MM, preserve_topology=False))[:, 0])


def _share_corners(  # noqa: PLR0913, PLR0917  the parts of one drawing
    walls: Walls, outer: Floats, far: Floats, kept: Ints, corners: _Corners, moves: Moves
) -> None:
    """At smooth convex turns let both strips end in one and the same point, where the moved lines meet."""
    wall, from_start = moves.samples.wall[kept], moves.samples.from_start_mm[kept]
    smooth = _shares_corner(walls)
    last, first = np.full(len(smooth), -1), np.full(len(smooth), -1)
    at_end, at_start = from_start >= walls.length_mm[wall], from_start <= 0
    last[wall[at_end]], first[wall[at_start]] = np.flatnonzero(at_end), np.flatnonzero(at_start)
    corner = np.flatnonzero(smooth & (last >= 0) & (first[walls.next] >= 0))
    before, after = last[corner], first[walls.next[corner]]
    mean = (picked(walls.outward, corner) + picked(walls.outward, walls.next[corner])) / 2
    cos, at = np.hypot(*mean.T), picked(walls.axis.walls, corner)[:, 1]
    ray = mean / cos[:, None]
    held = np.minimum(*picked(corners.held_mm, corner).T) / cos
    reach = np.minimum(held, moves.planes.clearance(corners.ends.of(corner), at, ray))
    outer[before] = outer[after] = at + reach[:, None] * ray
    far[before] = far[after] = at + held[:, None] * ray


def _with_edges(outer: Floats, far: Floats, kept: Ints, wall: Ints, moves: Moves) -> tuple[Floats, Ints]:
    """Strips with the corner where one comes from beside an end to its plane, and the wall of each point.

    Between two samples, one held back by the plane, the corner would be cut off: more or less of it, as these lie.
    Where something else lets moves fall off steeply there is no corner, but a beak.
    """
    cut, moved = np.hypot(*(far - outer).T) > _NONE_MM, np.hypot(*(far - picked(moves.samples.at, kept)).T)
    gentle = np.abs(np.diff(moved)) <= SLOPE * np.diff(moves.samples.position[kept]) + _SEEN_MM
    edge = np.flatnonzero((cut[1:] != cut[:-1]) & (wall[1:] == wall[:-1]) & gentle)
    at_plane, other = np.where(cut[edge], [edge, edge + 1], [edge + 1, edge])
    normal = moves.planes.normals(kept[at_plane])
    over, short = (dot(picked(far, some) - picked(outer, at_plane), normal) for some in (at_plane, other))
    some = np.flatnonzero((over > 0) & (short < 0))
    share = (over[some] / (over[some] - short[some]))[:, None]
    corner = (1 - share) * picked(far, at_plane[some]) + share * picked(far, other[some])
    place = edge[some] + 1
    return np.insert(outer, place, corner, axis=0), np.insert(wall, place, wall[place])


def _fans(walls: Walls, corners: _Corners, moves: Moves) -> Iterator[Floats]:
    """Convex corners: rays between the two normals, each up to the nearer of the two moved lines."""
    start, end = corners.start_mm, corners.end_mm
    some = np.flatnonzero((walls.turn_deg > _SMOOTH_DEG) & (np.minimum(start, end) > _NONE_MM))
    if not len(some):
        return iter(())
    which, angle, inner = _rays(walls.turn_deg[some], start[some], end[some])
    rest = np.radians(walls.turn_deg[some])[which] - angle
    corner = some[which]
    reach = np.minimum(_over_cos(start[corner], angle), _over_cos(end[corner], rest))
    reach = np.minimum(reach, _MITRE * np.maximum(start, end)[corner])
    normal, wall = picked(walls.outward, corner), picked(walls.along, corner)
    ray = np.cos(angle)[:, None] * normal + np.sin(angle)[:, None] * wall
    origin = picked(walls.axis.walls, corner)[:, 1]
    reach = np.minimum(reach, moves.planes.clearance(corners.ends.of(corner), origin, ray))
    reach[inner] = np.minimum(reach[inner], moves.free(origin[inner], ray[inner], reach[inner]))
    for outer, held in ((angle <= 0.0, 0), (rest <= 0.0, 1)):
        reach[outer] = np.minimum(reach[outer], corners.held_mm[corner[outer], held])
    tips = origin + reach[:, None] * ray
    order = np.argsort(np.concatenate([2 * np.arange(len(some)), 2 * which + 1]), kind="stable")
    points = picked(np.concatenate([walls.axis.walls[some, 1], tips]), order)
    return iter(cut_up(points, np.bincount(which) + 1))


def _rays(turn_deg: Floats, start: Floats, end: Floats) -> tuple[Ints, Floats, Bools]:
    """The corner of each ray, its angle to the first normal [rad], and whether it lies between the normals.

    Rays are spread evenly, and one more goes to where the two moved lines meet.
    """
    turn = np.radians(turn_deg)
    parts = 2 * np.ceil(turn_deg / (2 * _RAY_DEG) - _SAME_TURN).astype(np.int64)
    which = np.repeat(np.arange(len(turn)), parts + 1)
    nth = counted(parts + 1)
    meeting = np.arctan2(end - start * np.cos(turn), start * np.sin(turn))
    angle = np.concatenate([turn[which] * nth / parts[which], np.clip(meeting, 0.0, turn)])
    inner = np.concatenate([(nth > 0) & (nth < parts[which]), (meeting > 0) & (meeting < turn)])
    which = np.concatenate([which, np.arange(len(turn))])
    order = np.lexsort((angle, which))
    return which[order], angle[order], inner[order]


def _over_cos(height: Floats, angle: Floats) -> Floats:
    """Way to a line `height` away along a ray at `angle` to its normal; endless beyond a right angle."""
    cos = np.cos(angle)
    return np.asarray(np.divide(height, cos, out=np.full(len(cos), np.inf), where=cos > 1e-6))


def _wedges(walls: Walls, moves: Moves) -> Iterator[Floats]:
    """Concave corners of less than a right turn with unlike moves: from the higher strip's end to the lower wall.

    To where the moved lines meet, down to the drawn wall, since strips are thinned; beyond a lower wall too short for
    that, as the first of an arc, to where it meets those that follow.
    """
    some = np.flatnonzero((-walls.turn_deg > SMOOTH_DEG) & (-walls.turn_deg < _SHARP_DEG))
    if not len(some):
        return iter(())
    last, first = moves.samples.last[some], moves.samples.first[walls.next[some]]
    start, end, turn = moves.by_mm[last], moves.by_mm[first], np.radians(-walls.turn_deg[some])
    later = end > start  # which strip is the higher
    high, low = np.where(later, end, start), np.where(later, start, end)
    upper, lower = np.where(later, walls.next[some], some), np.where(later, some, walls.next[some])
    away = (high - low * np.cos(turn)) / np.sin(turn)  # along the lower wall, from the corner
    short = (away > walls.length_mm[lower]) & (high > low + _NONE_MM)
    # where neither is by so much the higher, both strips reach to where their moved lines meet
    # what turns by more than a right angle covers all that its first wall, if no shorter, leaves
    filled = np.flatnonzero(short | (high * np.cos(turn) > low + _NONE_MM))
    if not len(filled):
        return iter(())
    some, later, upper, lower, short = some[filled], later[filled], upper[filled], lower[filled], short[filled]
    high, low, away = high[filled], low[filled], away[filled]
    blunt = np.flatnonzero(turn[filled] < _BLUNT)
    at, low_at, met = _over_wall(walls, moves, lower[blunt], later[blunt], high[blunt], turn[filled][blunt])
    away[blunt[met]], low[blunt[met]], short[blunt] = at[met], low_at[met], ~met
    corner = walls.axis.walls[some, 1]
    foot = corner + (np.where(later, -1.0, 1.0) * away)[:, None] * walls.along[lower]
    meet = foot + low[:, None] * walls.outward[lower]
    top = corner + high[:, None] * walls.outward[upper]
    ahead = np.where(later, -1.0, 1.0)[:, None] * walls.along[upper]
    some = np.flatnonzero(short)
    meet[some], foot[some] = _first_met(walls, moves, top[some], ahead[some], lower[some], ~later[some], high[some])
    quads = np.stack([corner, top, meet, foot], axis=1)
    x, y = quads[..., 0], quads[..., 1]
    area = (x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1)
    quads[area < 0] = quads[area < 0][:, ::-1]
    return iter(quads)


def _over_wall(  # noqa: PLR0913, PLR0917  the parts of one drawing
    walls: Walls, moves: Moves, wall: Ints, to_start: Bools, high: Floats, turn: Floats
) -> tuple[Floats, Floats, Bools]:
    """Where lines `high` (c,) above walls first meet the moved outline of the `wall` (c,) beyond a corner `turn` (c,).

    How far along it from the corner, how far it is moved there [mm], and whether they meet on this wall at all. Moves
    fall along a wall: a wedge that ended at the height of the corner would leave a step.
    """
    samples = moves.samples
    first, many = samples.first[wall], samples.last[wall] + 1 - samples.first[wall]
    which, nth = np.repeat(np.arange(len(wall)), many), counted(many)
    index = first[which] + np.where(to_start[which], many[which] - 1 - nth, nth)
    way = samples.from_start_mm[index]
    way = np.where(to_start[which], walls.length_mm[wall][which] - way, way)
    over = (high[which] - way * np.sin(turn)[which]) / np.cos(turn)[which] - moves.by_mm[index]
    start = np.cumsum(many) - many
    nth = np.minimum.reduceat(np.where(over <= 0, nth, many[which]), start) if len(wall) else many
    met = (nth > 0) & (nth < many)
    here = start + np.where(met, nth, 1)
    share = np.divide(over[here - 1], over[here - 1] - over[here], out=np.zeros(len(wall)), where=met)
    at, by = (of[here - 1] + share * (of[here] - of[here - 1]) for of in (way, moves.by_mm[index]))
    # and a little farther, since strips are thinned
    return at + 2 * _SEEN_MM / np.tan(turn), by - 2 * _SEEN_MM, met


def _first_met(  # noqa: PLR0913, PLR0917  the parts of one drawing
    walls: Walls, moves: Moves, top: Floats, ahead: Floats, wall: Ints, onward: Bools, within_mm: Floats
) -> tuple[Floats, Floats]:
    """Where rays `ahead` (c, 2) from the places `top` (c, 2) meet the first moved wall, and where that was drawn.

    Of the walls from `wall` (c,) on, or backward, up to the next corner, while they lie `within_mm` (c,) of the corner;
    where none is met, the nearest of their moved ends that lies ahead.
    """
    first, last = moves.samples.first, moves.samples.last
    best, moved, drawn = np.full(len(top), np.inf), top.copy(), top.copy()
    way, wall, going = np.zeros(len(top)), wall.copy(), np.ones(len(top), dtype=bool)
    while going.any():
        ends = [np.where(onward, first[wall], last[wall]), np.where(onward, last[wall], first[wall])]
        here, there = (moves.samples.at[end] for end in ends)
        near, out = (moves.samples.at[end] + moves.by_mm[end][:, None] * walls.outward[wall] for end in ends)
        share, met = _crossing(top, ahead, near, out)
        met &= going
        moved[met] = (near + share[:, None] * (out - near))[met]
        drawn[met] = (here + share[:, None] * (there - here))[met]
        going &= ~met
        far = np.hypot(*(out - top).T)
        nearer = going & (far < best) & (((out - top) * ahead).sum(axis=1) > 0)
        best[nearer], moved[nearer], drawn[nearer] = far[nearer], out[nearer], there[nearer]
        way += walls.length_mm[wall]
        after = np.where(onward, walls.next[wall], walls.previous[wall])
        turn = np.abs(walls.turn_deg[np.where(onward, wall, after)])
        going &= (way < within_mm) & (turn <= CORNER_DEG)
        wall = after
    return moved, drawn


def _crossing(origin: Floats, ahead: Floats, start: Floats, end: Floats) -> tuple[Floats, Bools]:
    """Share of the lines from `start` to `end` (c, 2) at which rays cross them, and whether they do."""
    along, away = end - start, start - origin
    slant = ahead[:, 0] * along[:, 1] - ahead[:, 1] * along[:, 0]
    sound = np.abs(slant) > 0
    turned = (away[:, 0] * other[:, 1] - away[:, 1] * other[:, 0] for other in (ahead, along))
    share, way = (np.divide(by, slant, out=np.full(len(slant), -1.0), where=sound) for by in turned)
    return share, (share >= 0) & (share <= 1) & (way >= 0)
