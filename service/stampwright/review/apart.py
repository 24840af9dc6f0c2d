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
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from stampwright.base.counting import picked
from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import ON_OUTLINE_MM, RIB_DEG, joined

from .uncut import discs_near, overlapping, strips_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Pieces

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

_FINE_PER_MM = 2.0**20  # strips beside each other share their edges but for the last digits
_TOUCHES_MM = 1e-4
_ASIDE_MM = 2.0**14  # further than any head is wide
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
    some = some[uncut.thin_row[some] >= 0]  # without a rib a gap is told as a whole, at its largest disc
    some = np.setdiff1d(some, _necks(uncut, some[pieces.mouths[some] == 2]))
    if not len(some):
        return Apart(some, np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    near = _near_discs(uncut, some, np.unique(pairs))
    apart, undecided = _left_apart(uncut, near)
    if len(undecided):
        whole = np.flatnonzero(np.isin(pieces.piece, undecided))
        more, _ = _left_apart(uncut, _Near(whole, np.full(len(whole), -1), np.zeros(0, dtype=np.int64), undecided[:0]))
        kept = ~np.isin(apart.piece, undecided)
        apart = Apart(*(np.concatenate([of[kept], other]) for of, other in zip(apart, more, strict=True)))
    return apart


def _share_a_foot(pieces: Pieces, pairs: Ints) -> Bools:
    """Discs that touch one and the same corner of a land: they enclose nothing between them."""
    feet = pieces.feet_top[pairs]
    away = feet[:, 0, :, None] - feet[:, 1, None]
    return np.asarray(np.hypot(away[..., 0], away[..., 1]).min(axis=(1, 2)) < _TOUCHES_MM)


class _Near(NamedTuple):
    """Rows (n) that discs reach, `group` -1, and rows beside them, with the number of the group these hang together in.

    A group (g) is all of a piece that no disc reaches and that hangs together: the `piece_of` each, and those (t) in
    which the place lies at which their piece is `told`.
    """

    rows: Ints
    group: Ints
    told: Ints
    piece_of: Ints


def _near_discs(uncut: Uncut, some: Ints, mouth: Ints) -> _Near:
    """What discs in these mouths reach of `some` pieces."""
    axis, pieces = uncut.axis, uncut.pieces
    rows = np.flatnonzero(np.isin(pieces.piece, some))
    piece, row = pieces.piece[rows], pieces.row[rows]
    mouth = mouth[np.isin(pieces.piece[mouth], some)]
    reached = np.zeros(len(rows), dtype=bool)
    reached[discs_near(pieces, strips_of(axis, pieces, rows), rows, mouth)[0]] = True
    vertex = piece * len(axis.radius_mm) + np.stack([axis.low[row], axis.high[row]])
    alone = np.stack([axis.low_mm[row] <= ON_OUTLINE_MM, pieces.mouth[rows]])
    vertex[alone] = -1 - np.arange(np.count_nonzero(alone))
    number, ends = np.unique(vertex, return_inverse=True)
    ends = ends.reshape(2, -1)
    group = np.full(len(rows), -1)
    group[~reached] = joined(ends[0, ~reached], ends[1, ~reached], np.ones(len(number), dtype=bool))
    _, first = np.unique(group[~reached], return_index=True)
    told = group[np.isin(rows, uncut.thin_row[some])]
    kept = reached | np.isin(ends, ends[:, reached]).any(axis=0)
    return _Near(rows[kept], group[kept], told[told >= 0], piece[~reached][first])


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


def _left_apart(uncut: Uncut, near: _Near) -> tuple[Apart, Ints]:
    """What is left of the rows' ground, as wide as widths are told, that hangs on no group and at no told place.

    And the pieces of which a whole group lies apart: of these all rows have to be looked at.
    """
    axis, pieces, rows = uncut.axis, uncut.pieces, near.rows
    piece, nth = np.unique(pieces.piece[rows], return_inverse=True)
    aside = np.column_stack([nth * _ASIDE_MM, np.zeros(len(nth))])  # each piece in a place of its own
    strips = np.rint(strips_of(axis, pieces, rows) * _FINE_PER_MM) / _FINE_PER_MM + aside[:, None]
    strips, is_mouth = shapely.polygons(strips), pieces.mouth[rows]
    centres, radii_mm = pieces.at_top[rows[is_mouth]] + aside[is_mouth], pieces.top_mm[rows[is_mouth]]
    discs = shapely.buffer(shapely.points(centres), _EQUAL * radii_mm, quad_segs=_QUARTER)
    parts = shapely.get_parts(shapely.difference(_united(strips), shapely.union_all(discs)))
    owner = np.rint(shapely.bounds(parts)[:, 0] / _ASIDE_MM).astype(np.int64)
    is_told = _at_told_places(uncut, near, piece, strips, parts, owner)
    undecided = np.unique(near.piece_of[~is_told[len(parts) :]])
    apart = ~is_told[: len(parts)]
    apart[apart] = ~shapely.is_empty(shapely.buffer(parts[apart], -WIDTH_MM / 2))
    parts, owner, row = parts[apart], owner[apart], pieces.row[rows]
    order = np.lexsort((axis.low_mm[row], axis.separation_low_deg[row] < RIB_DEG))  # ribs first, the narrowest first
    at, radii_mm = picked(axis.vertices, axis.low[row]), axis.low_mm[row]
    lows, near_mm = shapely.points(at + aside)[order], radii_mm[order] + _TOUCHES_MM
    disc, part = shapely.STRtree(parts).query(lows, predicate="dwithin", distance=near_mm)
    part, first = np.unique(part, return_index=True)
    chosen = order[disc[first]]
    return Apart(piece[owner[part]], at[chosen], 2 * radii_mm[chosen], shapely.area(parts[part])), undecided


def _at_told_places(  # noqa: PLR0913, PLR0917  the parts of one drawing
    uncut: Uncut, near: _Near, piece: Ints, strips: Geometries, parts: Geometries, owner: Ints
) -> Bools:
    """Which of the parts, and of the groups after them, hang together with the place at which their piece is told."""
    told_at = uncut.thin_at[piece] + np.column_stack([np.arange(len(piece)) * _ASIDE_MM, np.zeros(len(piece))])
    near_mm = uncut.width_mm[piece][owner] / 2 + _TOUCHES_MM
    touched = np.flatnonzero(shapely.distance(parts, shapely.points(told_at)[owner]) <= near_mm)
    beside = np.flatnonzero(near.group >= 0)
    strip, part = shapely.STRtree(parts).query(shapely.point_on_surface(strips[beside]), predicate="intersects")
    many = len(parts) + len(near.piece_of)
    links = coo_array((np.ones(len(part)), (part, len(parts) + near.group[beside[strip]])), shape=(many, many))
    _, label = connected_components(links, directed=False)
    return np.isin(label, label[np.append(touched, len(parts) + near.told)])


def _united(strips: Geometries) -> shapely.Geometry:
    """Strips beside each other, by their edges alone where these meet: a union that looks for more takes ten times."""
    try:
        united = shapely.coverage_union_all(strips)
    except shapely.GEOSException:
        return shapely.union_all(strips)
    return united if shapely.is_valid(united) else shapely.union_all(strips)
