"""From lines in plan to the triangles between them: the faces that lines enclose.

Nearly all faces of a sloping front have few sides. They are walked over the sorted half-edges and cut in arrays, all of
one number of sides together; only what is left (lands, the floor) goes through the library's own polygonizer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from stampwright.base.counting import picked

from .mesh import plan_keys
from .regions import numbered_triangles_of
from .rings import rings_along

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.signedinteger]
    Bools = NDArray[np.bool_]

_MOST_SIDES = 8  # faces with more are few, and cutting all of one number together costs its cube
_AT_ONCE = 20_000  # faces: what is laid out to judge their ears takes some kilobytes each
_LEAST_MM = 1e-6  # keeps divisions by lengths finite


class _HalfEdges(NamedTuple):
    """Both directions of each line: 2k and 2k + 1. `following`: the next one around the face on the left."""

    places: Floats  # (n, 2), in the order of their keys
    origin: Ints
    target: Ints
    following: Ints


class Triangles(NamedTuple):
    """Triangles of faces, counter-clockwise."""

    places: Floats  # (n, 2), in the order of their keys
    corners: Ints  # (m, 3): numbers of places
    face: Ints  # (m,): a number for the face that each lies in
    are_between: bool  # each line parts two faces: none crosses another, and none ends nowhere


def triangles_between(xy: Floats) -> Triangles:
    """Triangles of the faces that lines (n, 2, 2) enclose.

    Lines meet in their ends only; where they do not, the triangles fill no plate.
    """
    edges = _half_edges(xy)
    small, taken = _small_faces(edges)
    half_edge, ring = _rings(edges, np.flatnonzero(~taken))
    corners, face = zip(*small, _large_faces(edges, half_edge, ring), strict=True)
    are_between = len(half_edge) == np.count_nonzero(~taken)
    return Triangles(edges.places, np.concatenate(corners), np.concatenate(face), are_between)


def _half_edges(xy: Floats) -> _HalfEdges:
    keys, first, index = np.unique(plan_keys(xy), return_index=True, return_inverse=True)
    places = picked(xy.reshape(-1, 2), first)
    ends = np.sort(index.reshape(-1, 2), axis=1)
    _, once = np.unique(ends[:, 0] * len(keys) + ends[:, 1], return_index=True)
    ends = picked(ends, once).astype(np.int32)  # arrays are large here
    del keys, first, index, once
    ends = picked(ends, ends[:, 0] != ends[:, 1])
    origin, target = np.column_stack([ends, ends[:, ::-1]]).reshape(-1, 2).T.copy()
    offset = picked(places, target) - picked(places, origin)
    order = np.lexsort((np.arctan2(offset[:, 1], offset[:, 0]), origin)).astype(np.int32)
    del offset
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order), dtype=np.int32)
    many = np.bincount(origin, minlength=len(places))
    stops = np.cumsum(many)  # of each place, where its half-edges end in that order
    clockwise = order[np.where(rank > (stops - many)[origin], rank - 1, stops[origin] - 1)]
    return _HalfEdges(places, origin, target, clockwise[np.arange(len(origin)) ^ 1])


def _small_faces(edges: _HalfEdges) -> tuple[list[tuple[Ints, Ints]], Bools]:
    """Triangles of faces of few sides with the numbers of these, and which half-edges they took."""
    taken = np.zeros(len(edges.origin), dtype=bool)
    found = []
    others = _Others(edges)
    around = np.arange(len(edges.origin), dtype=np.int32)[:, None]
    for sides in range(1, _MOST_SIDES + 1):
        ahead = edges.following[around[:, -1]]
        if sides > 2:
            face = picked(around, ahead == around[:, 0])
            face = picked(face, ~others.within(picked(edges.places, picked(edges.origin, face))))
            triangles, proper = _cut(picked(edges.origin, face), edges.places)
            taken[picked(face, proper).ravel()] = True
            found.append((triangles, np.repeat(face[proper, 0], sides - 2)))
        on = ahead > around[:, 0]  # each face is walked from its first half-edge
        around = np.column_stack([picked(around, on), ahead[on]])
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


def _cut(faces: Ints, places: Floats) -> tuple[Ints, Bools]:
    """Cut faces (n, k) of numbered places into triangles, and which of them could be."""
    parts = [_cut_together(part, places) for part in np.array_split(faces, len(faces) // _AT_ONCE + 1)]
    triangles, proper = zip(*parts, strict=True)
    return np.concatenate(triangles), np.concatenate(proper)


def _cut_together(faces: Ints, places: Floats) -> tuple[Ints, Bools]:
    """Ear by ear, the best shaped first."""
    rows, ears = np.arange(len(faces))[:, None], []
    left = faces
    while left.shape[1] > 3:
        best = np.argmax(_ears(_corners(left, places)), axis=1)[:, None]
        around = (best + np.arange(-1, left.shape[1] - 1)) % left.shape[1]
        left = left.take(around + left.shape[1] * rows)  # the ear's tip second
        ears.append(left[:, :3])
        left = np.delete(left, 1, axis=1)
    cut = np.stack([*ears, left], axis=1)  # (n, k - 2, 3)
    proper = np.all(_turn(*np.moveaxis(_corners(cut, places), 3, 0)) > 0, axis=1)
    return picked(cut, proper).reshape(-1, 3), proper


def _corners(faces: Ints, places: Floats) -> Floats:
    """Where numbered places (n, ...) lie, x and y apart: (2, n, ...)."""
    return np.ascontiguousarray(np.moveaxis(picked(places, faces), -1, 0))


def _ears(corners: Floats) -> Floats:
    """How well shaped the ear at each corner of faces (2, n, k) is, as the sine of an angle; -1 where there is none."""
    before, after = np.roll(corners, 1, axis=2), np.roll(corners, -1, axis=2)
    first, across = np.hypot(*(corners - before)), np.hypot(*(after - before))
    second = np.roll(first, -1, axis=1)
    shortest = np.maximum(np.minimum(np.minimum(first, second), across), _LEAST_MM)
    quality: Floats = _turn(before, corners, after) / np.maximum(first * second * across / shortest, _LEAST_MM**2)
    for other in range(2, corners.shape[2] - 1):
        place = np.roll(corners, -other, axis=2)
        sides = ((before, corners), (corners, after), (after, before))
        outside = np.any([_turn(*side, place) < 0 for side in sides], axis=0)
        quality = np.where(outside, quality, -1.0)
    return quality


def _turn(a: Floats, b: Floats, c: Floats) -> Floats:
    """Twice the area of triangles with such corners (2, ...), negative where they run clockwise."""
    turn: Floats = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return turn


def _large_faces(edges: _HalfEdges, half_edge: Ints, ring: Ints) -> tuple[Ints, Ints]:
    """Triangles of all other faces, by the half-edges of their rings, with the numbers of these."""
    xy = picked(edges.places, edges.origin[half_edge])
    starts = np.flatnonzero(np.diff(ring, prepend=-1))
    if not len(starts):
        return np.zeros((0, 3), dtype=np.int32), np.zeros(0, dtype=np.int32)
    ahead = np.append(xy[1:], xy[:1], axis=0)
    last = np.append(starts[1:], len(ring)) - 1
    ahead[last] = xy[starts]
    twice = np.add.reduceat(xy[:, 0] * ahead[:, 1] - xy[:, 1] * ahead[:, 0], starts)
    rings = shapely.linearrings(xy, indices=ring)
    shells, holes = np.flatnonzero(twice > 0), np.flatnonzero(twice < 0)
    hole, shell = _holes_in(rings[shells], twice[shells], (xy[starts[holes]] + ahead[starts[holes]]) / 2)
    owner = np.concatenate([np.arange(len(shells)), shell])
    order = np.argsort(owner, kind="stable")  # of each face the shell first
    faces = shapely.polygons(rings[np.concatenate([shells, holes[hole]])[order]], indices=owner[order])
    triangles, of = numbered_triangles_of(faces)
    corners = np.searchsorted(plan_keys(edges.places), plan_keys(triangles)).astype(np.int32)
    return corners, half_edge[starts[shells]][of]


def _holes_in(shells: NDArray[np.object_], twice: Floats, at: Floats) -> tuple[Ints, Ints]:
    """Which holes, by a place of each, lie within a shell, and the smallest one that each lies in."""
    hole, shell = shapely.STRtree(shells := shapely.polygons(shells)).query(shapely.points(at), predicate="within")
    order = np.lexsort((twice[shell], hole))
    hole, shell = hole[order], shell[order]
    smallest = np.diff(hole, prepend=-1) > 0
    return hole[smallest], shell[smallest]


def _rings(edges: _HalfEdges, open_half_edges: Ints) -> tuple[Ints, Ints]:
    """Half-edges in the order of the rings they make, and the number of each one's ring; no ring meets itself.

    Lines that end nowhere are walked there and back, and are no ring.
    """
    number = np.zeros(len(edges.origin), dtype=np.int32)
    number[open_half_edges] = np.arange(len(open_half_edges), dtype=np.int32)
    following = number[edges.following[open_half_edges]]  # around open faces all of them are open
    row, ring = rings_along(edges.origin[open_half_edges], following)
    return open_half_edges[row], ring
