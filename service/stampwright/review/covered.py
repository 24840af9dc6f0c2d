"""Ground under discs that overlap: the exact area of polygons under the union of discs.

Each disc answers for the ground where it reaches furthest, its power cell: there the union is that disc alone. So a
polygon is cut down to the cell of each disc that reaches it, and what is left is intersected with the one disc.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import columns, picked

from .widths import summed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

_TINY_MM2 = 1e-30  # an edge of no length stays one: divided by this it is a point


def covered_mm2(rings: Floats, centres: Floats, radii_mm: Floats, *, ring: Ints, disc: Ints) -> Floats:
    """Area of each of the polygons `rings` (n, v, 2), not closed, under the union of the discs (m) near it, (n,) [mm²].

    Pair i says that disc `disc[i]` is near `ring[i]`; the pairs come in the order of the rings.
    """
    near = np.bincount(ring, minlength=len(rings))
    first = np.cumsum(near) - near  # of the pairs of each ring
    points = np.ascontiguousarray(picked(rings, ring).reshape(-1, 2).T)  # (2, points): rows of two take longer
    pair = np.repeat(np.arange(len(ring)), rings.shape[1])
    under = np.zeros(len(ring))
    for nth in range(int(near.max(initial=0)) + 1):
        done = near.take(ring.take(pair)) <= nth
        own = disc.take(pair.compress(done))
        inner = points.compress(done, axis=1) - columns(centres, own)
        under += _under_disc(inner, pair.compress(done), radii_mm.take(own), len(ring))
        points, pair = points.compress(~done, axis=1), pair.compress(~done)
        rival = disc.take(np.minimum(first.take(ring) + nth, len(ring) - 1))
        points, pair = _in_cell(points, pair, *_border(centres, radii_mm, disc, rival))
    return summed(ring, np.abs(under), len(rings))


def _border(centres: Floats, radii_mm: Floats, disc: Ints, rival: Ints) -> tuple[Floats, Floats]:
    """Normal (2, pairs) and offset of the line beyond which a rival reaches further; of equal discs the first does."""
    power = _dot(centres.T, centres.T) - radii_mm**2
    normal, offset = 2 * (columns(centres, rival) - columns(centres, disc)), power.take(rival) - power.take(disc)
    equal = (normal == 0).all(axis=0) & (offset == 0) & (rival < disc)
    return normal, np.where(equal, -1.0, offset)


def _following(pair: Ints) -> Ints:
    """The next point of each point's polygon; those of a polygon lie one after the other."""
    last = np.flatnonzero(np.diff(pair, append=-1))
    out = np.arange(1, len(pair) + 1)
    out[last] = np.concatenate([[0], last[:-1] + 1])[: len(last)]
    return out


def _in_cell(points: Floats, pair: Ints, normal: Floats, offset: Floats) -> tuple[Floats, Ints]:
    """What of each polygon does not lie beyond its line (Sutherland and Hodgman)."""
    beyond = _dot(points, normal.take(pair, axis=1)) - offset.take(pair)
    following = _following(pair)
    ahead = beyond.take(following)
    crosses = (beyond > 0) != (ahead > 0)
    share = np.divide(beyond, beyond - ahead, out=np.zeros(len(beyond)), where=crosses)
    crossing = points + share * (points.take(following, axis=1) - points)
    kept = np.column_stack([beyond <= 0, crosses]).ravel()
    return np.stack([points, crossing], axis=2).reshape(2, -1).compress(kept, axis=1), np.repeat(pair, 2).compress(kept)


def _under_disc(points: Floats, pair: Ints, radius_mm: Floats, count: int) -> Floats:
    """Signed area of each polygon (count,) under a disc about the origin: sectors and triangles over its edges."""
    end = points.take(_following(pair), axis=1)
    along = end - points
    square, towards = np.maximum(_dot(along, along), _TINY_MM2), _dot(points, along)
    within = towards**2 - square * (_dot(points, points) - radius_mm**2)
    half = np.sqrt(np.maximum(within, 0.0))
    enters = points + np.clip((-towards - half) / square, 0.0, 1.0) * along
    leaves = points + np.clip((-towards + half) / square, 0.0, 1.0) * along
    sectors = radius_mm**2 * (_angle(points, enters) + _angle(leaves, end))
    return summed(pair, (sectors + _cross(enters, leaves)) / 2, count)


def _angle(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.arctan2(_cross(a, b), _dot(a, b)))


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[0] * b[1] - a[1] * b[0])


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + 0.0)  # no angle turns on the sign of 0
