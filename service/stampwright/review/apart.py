r"""Ground of one closed gap that discs in its mouths part: what lies apart from the place where the gap is told.

    A            Discs that come as far as they can from three sides into the middle of three lands leave a bit at
  \___/          each of them. The gap is told where it is narrowest, by a disc that touches both walls there: those
 (     )         of A and B. What is left at C lies apart from that, and is told by itself.
B (   ) C
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import RIB_DEG, joined

from .uncut import overlaps, strips_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

_FINE_PER_MM = 2.0**20  # strips beside each other share their edges but for the last digits
_TOUCHES_MM = 1e-4
_QUARTER = 128  # segments of discs


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
    some = np.unique(pieces.piece[mouth[overlaps(pieces, mouth)]]) if len(mouth) else mouth
    if len(some):
        some = np.setdiff1d(some, _necks(uncut, some[pieces.mouths[some] == 2]))
    found = [(piece, *of) for piece in some.tolist() for of in _apart_in(uncut, piece)]
    piece, at, width_mm, area_mm2 = zip(*found, strict=True) if found else ([], [], [], [])
    return Apart(np.array(piece, dtype=np.int64), np.reshape(at, (-1, 2)), np.array(width_mm), np.array(area_mm2))


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


def _apart_in(uncut: Uncut, piece: int) -> list[tuple[Floats, float, float]]:
    """Place, width and area of each such ground in one piece."""
    axis, told = uncut.axis, uncut.thin_at[piece]
    rows = np.flatnonzero(uncut.pieces.piece == piece)
    parts = _left_in(uncut, rows)
    parts = parts[shapely.distance(parts, shapely.Point(told)) > uncut.width_mm[piece] / 2 + _TOUCHES_MM]
    if not len(parts):
        return []
    row = uncut.pieces.row[rows]
    row = row[np.lexsort((axis.low_mm[row], axis.separation_low_deg[row] < RIB_DEG))]  # ribs first, the narrowest first
    at, radius_mm = picked(axis.vertices, axis.low[row]), axis.low_mm[row]
    touches = shapely.distance(parts[:, None], shapely.points(at)) < radius_mm + _TOUCHES_MM
    first = np.argmax(touches, axis=1)
    return list(zip(at[first], 2 * radius_mm[first], shapely.area(parts), strict=True))


def _left_in(uncut: Uncut, rows: Ints) -> Geometries:
    """Connected ground of the rows of one piece that no disc in its mouths reaches, as wide as widths are told."""
    pieces = uncut.pieces
    mouth = rows[pieces.mouth[rows]]
    strips = shapely.polygons(np.rint(strips_of(uncut.axis, pieces, rows) * _FINE_PER_MM) / _FINE_PER_MM)
    ground = shapely.coverage_union_all(strips)
    if not shapely.is_valid(ground):
        ground = shapely.union_all(strips)
    discs = shapely.buffer(shapely.points(pieces.at_top[mouth]), pieces.top_mm[mouth], quad_segs=_QUARTER)
    parts = shapely.get_parts(shapely.difference(ground, shapely.union_all(discs)))
    return np.asarray(parts[~shapely.is_empty(shapely.buffer(parts, -WIDTH_MM / 2))])
