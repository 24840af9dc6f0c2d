r"""Ground of one closed gap that discs in its mouths part: what lies apart from the place where the gap is told.

    A            Discs that come as far as they can from three sides into the middle of three lands leave a bit at
  \___/          each of them. The gap is told where it is narrowest, by a disc that touches both walls there: those
 (     )         of A and B. What is left at C lies apart from that, and is told by itself.
B (   ) C
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.counting import cut_up, picked
from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import ON_OUTLINE_MM, RIB_DEG, joined

from .uncut import discs_near, overlapping, strips_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from stampwright.plane import Pieces

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

_FINE_PER_MM = 2.0**20  # strips beside each other share their edges but for the last digits
_TOUCHES_MM = 1e-4
_QUARTER = 32  # segments of discs, which get the radius with which they have the area of the circle
_EQUAL = math.sqrt(math.pi / (2 * _QUARTER * math.sin(math.pi / (2 * _QUARTER))))


class Apart(NamedTuple):
    """Connected ground (p) that lies apart: the `piece` it is of, where a disc of `width_mm` touches it, its area."""

    piece: Ints
    at: Floats
    width_mm: Floats
    area_mm2: Floats


def lying_apart(uncut: Uncut, closed: Bools) -> Apart:
    """Find what discs part in pieces that are `closed` (k,) between mouths: hardly any, most are necks."""
    pieces = uncut.pieces
    mouth = np.flatnonzero(pieces.mouth & (closed & (pieces.mouths > 1))[pieces.piece])
    pairs = overlapping(pieces, mouth)
    some = np.unique(pieces.piece[pairs[~_share_a_foot(pieces, pairs), 0]])
    found: list[tuple[int, Floats, float, float]] = []
    if len(some):
        some = np.setdiff1d(some, _necks(uncut, some[pieces.mouths[some] == 2]))
        rows, is_border = _near_discs(uncut, some, np.unique(pairs))
        many = np.bincount(pieces.piece[rows], minlength=pieces.count)[some]
        each = zip(some.tolist(), cut_up(rows, many), cut_up(is_border, many), strict=True)
        found = [(piece, *of) for piece, own, border in each for of in _apart_in(uncut, piece, own, border)]
    piece, at, width_mm, area_mm2 = zip(*found, strict=True) if found else ([], [], [], [])
    return Apart(np.array(piece, dtype=np.int64), np.reshape(at, (-1, 2)), np.array(width_mm), np.array(area_mm2))


def _share_a_foot(pieces: Pieces, pairs: Ints) -> Bools:
    """Discs that touch one and the same corner of a land: they enclose nothing between them."""
    feet = pieces.feet_top[pairs]
    away = feet[:, 0, :, None] - feet[:, 1, None]
    return np.asarray(np.hypot(away[..., 0], away[..., 1]).min(axis=(1, 2)) < _TOUCHES_MM)


def _near_discs(uncut: Uncut, some: Ints, mouth: Ints) -> tuple[Ints, Bools]:
    """Rows of `some` pieces, one piece after the other, that discs in these mouths reach, and the rows beside them.

    And which are the latter: where they all hang together with the place at which the piece is told, ground that
    reaches one of them lies not apart. Where they do not, all rows of the piece, and none of these.
    """
    axis, pieces = uncut.axis, uncut.pieces
    rows = np.flatnonzero(np.isin(pieces.piece, some))
    rows = rows[np.argsort(pieces.piece[rows], kind="stable")]
    piece, row = pieces.piece[rows], pieces.row[rows]
    mouth = mouth[np.isin(pieces.piece[mouth], some)]
    reached = np.zeros(len(rows), dtype=bool)
    reached[discs_near(pieces, strips_of(axis, pieces, rows), rows, mouth)[0]] = True
    vertex = piece * len(axis.radius_mm) + np.stack([axis.low[row], axis.high[row]])
    alone = np.stack([axis.low_mm[row] <= ON_OUTLINE_MM, pieces.mouth[rows]])
    vertex[alone] = -1 - np.arange(np.count_nonzero(alone))
    number, ends = np.unique(vertex, return_inverse=True)
    ends = ends.reshape(2, -1)
    group = joined(ends[0, ~reached], ends[1, ~reached], np.ones(len(number), dtype=bool))
    groups = np.bincount(piece[~reached][np.unique(group, return_index=True)[1]], minlength=pieces.count)
    told = np.isin(rows, uncut.thin_row[some]) & ~reached
    whole = ((groups != 1) | (np.bincount(piece[told], minlength=pieces.count) == 0))[piece]
    border = ~reached & np.isin(ends, ends[:, reached]).any(axis=0)
    kept = whole | reached | border
    return rows[kept], (border & ~whole)[kept]


def _necks(uncut: Uncut, some: Ints) -> Ints:
    """Which of `some` pieces of two mouths are told between these: the disc there touches all that is left."""
    pieces, axis = uncut.pieces, uncut.axis
    rows = np.flatnonzero(np.isin(pieces.piece, some))
    piece, row, mouth = pieces.piece[rows], pieces.row[rows], pieces.mouth[rows]
    low, high = (piece * len(axis.radius_mm) + end[row] for end in (axis.low, axis.high))
    high[mouth] = -1 - np.flatnonzero(mouth)  # what discs reach joins nothing
    vertex, at = np.unique([low, high], return_inverse=True)
    told = some * len(axis.radius_mm) + axis.low[pieces.row[uncut.thin_row[some]]]
    starts, ends = at.reshape(2, -1)
    group = joined(starts, ends, ~np.isin(vertex, told))
    one, other = group[mouth][np.argsort(piece[mouth], kind="stable")].reshape(-1, 2).T
    return np.asarray(some[one != other])


def _apart_in(uncut: Uncut, piece: int, rows: Ints, is_border: Bools) -> Iterator[tuple[Floats, float, float]]:
    """Place, width and area of each such ground, as wide as widths are told, in these rows of one piece."""
    axis, row = uncut.axis, uncut.pieces.row[rows]
    strips = shapely.polygons(np.rint(strips_of(axis, uncut.pieces, rows) * _FINE_PER_MM) / _FINE_PER_MM)
    parts, told_mm = _left_of(strips, uncut.pieces, rows[uncut.pieces.mouth[rows]]), uncut.width_mm[piece] / 2
    parts = parts[shapely.distance(parts, shapely.Point(uncut.thin_at[piece])) > told_mm + _TOUCHES_MM]
    if len(parts) and is_border.any():
        within = shapely.point_on_surface(strips[is_border])
        parts = np.delete(parts, np.unique(shapely.STRtree(parts).query(within, predicate="intersects")[1]))
    parts = parts[~shapely.is_empty(shapely.buffer(parts, -WIDTH_MM / 2))]
    if not len(parts):
        return
    row = row[np.lexsort((axis.low_mm[row], axis.separation_low_deg[row] < RIB_DEG))]  # ribs first, the narrowest first
    at, radius_mm = picked(axis.vertices, axis.low[row]), axis.low_mm[row]
    disc, part = shapely.STRtree(parts).query(shapely.points(at), predicate="dwithin", distance=radius_mm + _TOUCHES_MM)
    part, nth = np.unique(part, return_index=True)
    yield from zip(at[disc[nth]], 2 * radius_mm[disc[nth]], shapely.area(parts[part]), strict=True)


def _left_of(strips: Geometries, pieces: Pieces, mouth: Ints) -> Geometries:
    """Connected ground of strips that no disc in these mouths reaches."""
    discs = shapely.buffer(shapely.points(pieces.at_top[mouth]), _EQUAL * pieces.top_mm[mouth], quad_segs=_QUARTER)
    return np.asarray(shapely.get_parts(shapely.difference(_united(strips), shapely.union_all(discs))))


def _united(strips: Geometries) -> shapely.Geometry:
    """Strips beside each other, by their edges alone where these meet: a union that looks for more takes ten times."""
    try:
        united = shapely.coverage_union_all(strips)
    except shapely.GEOSException:
        return shapely.union_all(strips)
    return united if shapely.is_valid(united) else shapely.union_all(strips)
