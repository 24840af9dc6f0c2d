"""From lines in plan to the triangles between them: the faces that lines enclose, and lines crossed anew.

Nearly all faces of a sloping front have three or four sides. They are walked over the sorted half-edges in arrays, and
only what is left (lands, the floor, corners with many rays) goes through the library's own polygonizer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from stampwright.base.tolerances import GRID_MM, GRID_PER_MM

from .mesh import plan_keys
from .regions import counter_clockwise, triangles_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ROUNDS = 6  # a line that was bent may come to lie on a neighbour; full noding is left to what needs more
_PASSING_MM = 0.71 * GRID_MM  # the pixel of a grid place lies within this


class _HalfEdges(NamedTuple):
    """Both directions of each line: 2k and 2k + 1. `following`: the next one around the face on the left."""

    keys: Ints  # (n,) of the places, rising
    places: Floats  # (n, 2)
    origin: Ints
    target: Ints
    following: Ints


def triangles_between(xy: Floats) -> Floats:
    """Triangles (m, 3, 2), counter-clockwise, of the faces that lines (n, 2, 2) enclose.

    Lines meet in their ends only; where they do not, the triangles fill no plate.
    """
    edges = _half_edges(xy)
    small, taken = _small_faces(edges)
    return np.concatenate([*small, _large_faces(edges, taken)])


def _half_edges(xy: Floats) -> _HalfEdges:
    keys, first, index = np.unique(plan_keys(xy), return_index=True, return_inverse=True)
    places = xy.reshape(-1, 2)[first]
    ends = np.sort(index.reshape(-1, 2), axis=1)
    _, once = np.unique(ends[:, 0] * len(keys) + ends[:, 1], return_index=True)
    ends = ends[once]
    ends = ends[ends[:, 0] != ends[:, 1]]
    origin, target = np.column_stack([ends, ends[:, ::-1]]).reshape(-1, 2).T
    offset = places[target] - places[origin]
    order = np.lexsort((np.arctan2(offset[:, 1], offset[:, 0]), origin))
    rank = np.argsort(order)
    starts = np.searchsorted(origin[order], origin)  # of each half-edge, where its origin's half-edges begin
    stops = np.searchsorted(origin[order], origin, side="right")
    clockwise = order[np.where(rank > starts, rank - 1, stops - 1)]
    return _HalfEdges(keys, places, origin, target, clockwise[np.arange(len(origin)) ^ 1])


def _small_faces(edges: _HalfEdges) -> tuple[list[Floats], Bools]:
    """Faces of three and four sides as triangles, and which half-edges they took."""
    steps = [np.arange(len(edges.origin))]
    for _ in range(4):
        steps.append(edges.following[steps[-1]])
    taken = np.zeros(len(edges.origin), dtype=bool)
    found = []
    others = _Others(edges)
    for sides in (3, 4):
        around = np.column_stack(steps[:sides])
        face = around[(steps[sides] == steps[0]) & (steps[0] == around.min(axis=1)) & ~taken]
        corners = edges.places[edges.origin[face]]
        empty = ~others.within(corners)
        triangles, proper = _cut(corners[empty])
        taken[face[empty][proper].ravel()] = True
        found.append(triangles)
    return found, taken


class _Others:
    """The pieces that lines hang together in: one of them may lie within a face of another, which then has a hole."""

    def __init__(self, edges: _HalfEdges) -> None:
        count = len(edges.places)
        links = coo_array((np.ones(len(edges.origin), dtype=bool), (edges.origin, edges.target)), shape=(count, count))
        many, piece = connected_components(links, directed=False)
        low, high = np.full((many, 2), np.inf), np.full((many, 2), -np.inf)
        np.minimum.at(low, piece, edges.places)
        np.maximum.at(high, piece, edges.places)
        self.least = (high - low).min(axis=0)
        self.spots = shapely.points(edges.places[np.unique(piece, return_index=True)[1]])

    def within(self, corners: Floats) -> Bools:
        """Which faces (n, k, 2) have another piece within them."""
        found = np.zeros(len(corners), dtype=bool)
        wide = np.flatnonzero(np.all(np.ptp(corners, axis=1) > self.least, axis=1))
        faces = shapely.polygons(corners[wide])
        found[wide[np.unique(shapely.STRtree(faces).query(self.spots, predicate="within")[1])]] = True
        return found


def _cut(corners: Floats) -> tuple[Floats, Bools]:
    """Cut faces (n, 3 or 4, 2) into triangles, and which of them could be: a quad along its better diagonal."""
    if corners.shape[1] == 3:
        proper = _turn(corners) > 0
        return corners[proper], proper
    halves = [
        np.stack([corners[:, cut], corners[:, rest]], axis=1)
        for cut, rest in (((0, 1, 2), (0, 2, 3)), ((1, 2, 3), (1, 3, 0)))
    ]
    least = [_turn(pair.reshape(-1, 3, 2)).reshape(-1, 2).min(axis=1) for pair in halves]
    better = np.where((least[0] >= least[1])[:, None, None, None], *halves)
    proper = np.maximum(*least) > 0
    return better[proper].reshape(-1, 3, 2), proper


def _turn(triangles: Floats) -> Floats:
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    turn: Floats = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return turn


def _large_faces(edges: _HalfEdges, taken: Bools) -> Floats:
    """All other faces, triangulated."""
    line = np.flatnonzero(~taken[0::2] | ~taken[1::2])
    ends = np.stack([edges.places[edges.origin[2 * line]], edges.places[edges.target[2 * line]]], axis=1)
    faces = shapely.get_parts(shapely.polygonize(shapely.linestrings(ends)))
    if not len(faces):
        return np.zeros((0, 3, 2))
    # what small faces fill together is enclosed by these lines as well: its outline was taken
    sides, face = shapely.get_coordinates(shapely.get_exterior_ring(shapely.orient_polygons(faces)), return_index=True)
    first = np.flatnonzero(np.diff(face, prepend=-1))
    side = np.searchsorted(edges.keys, plan_keys(np.stack([sides[first], sides[first + 1]], axis=1)))
    codes = edges.origin * len(edges.keys) + edges.target
    open_faces = faces[np.isin(side[:, 0] * len(edges.keys) + side[:, 1], codes[~taken])]
    is_triangle = shapely.get_num_coordinates(open_faces) == 4
    small = shapely.get_coordinates(open_faces[is_triangle]).reshape(-1, 4, 2)[:, :3]
    return np.concatenate([counter_clockwise(small), triangles_of(open_faces[~is_triangle])])


def noded(xy: Floats) -> Floats:
    """Cross lines with one another anew, on the grid."""
    crossed = shapely.union_all(shapely.linestrings(xy), grid_size=GRID_MM)
    points, line = shapely.get_coordinates(shapely.get_parts(crossed), return_index=True)
    lines: Floats = np.stack([points[:-1], points[1:]], axis=1)[line[1:] == line[:-1]]
    return lines


def noded_where_needed(xy: Floats) -> Floats:
    """Cross lines with one another where they meet elsewhere than in their ends, all nodes on the grid.

    Snap rounding: every line is led through the grid places of its crossings, and through each node that it passes by
    less than the diagonal of half a step. What that bends onto another line is crossed again.
    """
    xy = _once(xy)
    fresh = np.ones(len(xy), dtype=bool)
    for _ in range(_ROUNDS):
        lines = shapely.linestrings(xy)
        tree = shapely.STRtree(lines)
        places = np.concatenate([_crossings(xy, fresh, tree, lines), xy[fresh].reshape(-1, 2)])
        xy, fresh = _led_through(xy, places, tree)
        if not np.any(fresh):
            break
    return xy


def _once(xy: Floats) -> Floats:
    """Each line once, whichever way it runs, and none without length."""
    keys = np.sort(plan_keys(xy), axis=1)
    order = np.lexsort(keys.T)
    new = np.any(np.diff(keys[order], axis=0, prepend=-1), axis=1)
    first = np.sort(order[new])
    once: Floats = xy[first[keys[first, 0] != keys[first, 1]]]
    return once


def _crossings(xy: Floats, fresh: Bools, tree: shapely.STRtree, lines: NDArray[np.object_]) -> Floats:
    """Grid places where lines cross one of those that are fresh."""
    row = np.flatnonzero(fresh)
    one, other = tree.query(lines[row])
    one = row[one]
    apart = (one < other) | ~fresh[other]
    one, other = one[apart], other[apart]
    a, b = xy[one, 0], xy[other, 0]
    along, across = xy[one, 1] - a, xy[other, 1] - b
    area = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    offset = b - a
    with np.errstate(divide="ignore", invalid="ignore"):  # parallel lines meet in ends, if anywhere
        share = (offset[:, 0] * across[:, 1] - offset[:, 1] * across[:, 0]) / area
        back = (offset[:, 0] * along[:, 1] - offset[:, 1] * along[:, 0]) / area
        met = (share > 0) & (share < 1) & (back > 0) & (back < 1)
    places: Floats = np.rint((a + share[:, None] * along)[met] * GRID_PER_MM) / GRID_PER_MM + 0.0
    return places


def _led_through(xy: Floats, places: Floats, tree: shapely.STRtree) -> tuple[Floats, Bools]:
    """Lines cut at the places they pass, and which of the lines are new."""
    _, first = np.unique(plan_keys(places), return_index=True)
    places = places[first]
    place, line = tree.query(shapely.points(places), predicate="dwithin", distance=_PASSING_MM)
    own = np.any(plan_keys(xy)[line] == plan_keys(places)[place][:, None], axis=1)
    place, line = place[~own], line[~own]
    along = xy[line, 1] - xy[line, 0]
    share = np.sum((places[place] - xy[line, 0]) * along, axis=1) / np.sum(along * along, axis=1)
    order = np.lexsort((share, line))
    place, line = place[order], line[order]
    cut = np.unique(line)
    stops = np.concatenate([xy[cut, 0], places[place], xy[cut, 1]])
    owner = np.concatenate([cut, line, cut])
    rank = np.concatenate([np.zeros(len(cut)), np.ones(len(line)), np.full(len(cut), 2.0)])
    order = np.lexsort((rank, owner))
    stops, owner = stops[order], owner[order]
    pieces = np.stack([stops[:-1], stops[1:]], axis=1)[owner[1:] == owner[:-1]]
    kept = np.ones(len(xy), dtype=bool)
    kept[cut] = False
    old = xy[kept]
    both = _once(np.concatenate([old, pieces]))
    return both, np.arange(len(both)) >= len(old)
