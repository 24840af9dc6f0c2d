"""How much of the outline prints where it was drawn, with the edge that a round cutter leaves.

A point of the outline moves by its distance to the nearest reachable centre, less the cutter's radius; only outline
owned by uncut pieces moves at all, and its nearest reachable centre is a mouth of the same piece.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from stampwright.base.counting import counted, dot, picked

from .uncut import stacked

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_FEW_PAIRS = 20_000  # of points and mouths: up to so many are measured faster one by one than a tree is asked
_STEP_MM = 0.1  # outline of several mouths is parted so finely, each part given to the nearest; the rest is exact


def faithful_shares(uncut: Uncut, deviations_mm: Floats) -> Floats:
    """Share of the outline that moves by no more than `deviations_mm` (q,), one of each radius of `uncut`, (q,)."""
    return np.asarray(np.clip(1.0 - _moved_mm(uncut, deviations_mm) / uncut.axis.outline_mm, 0.0, 1.0))


def _moved_mm(uncut: Uncut, deviations_mm: Floats) -> Floats:
    """Length of outline that moves by more, (q,) [mm]."""
    axis, pieces, mouths = uncut.axis, uncut.pieces, _Mouths(uncut)
    # of several mouths, or none, or a residual beyond the limit
    chosen = np.flatnonzero(~(uncut.residual_mm <= deviations_mm.take(uncut.cut)).take(pieces.piece))
    start = picked(axis.feet_low, pieces.row.take(chosen)).reshape(-1, 2)
    end = picked(pieces.feet_top, chosen).reshape(-1, 2)
    piece = np.repeat(pieces.piece.take(chosen), 2)
    length = np.hypot(*(end - start).T)
    lost = uncut.mouths.take(piece) == 0
    known = np.flatnonzero(~lost & (length > 0))
    lost[known] = far = _is_far(mouths, picked(start, known), picked(end, known), piece.take(known), deviations_mm)
    moved = _summed(length.compress(lost), uncut.cut.take(piece.compress(lost)), len(deviations_mm))
    if far.all():
        return moved
    kept = known.compress(~far)
    parts = np.where(uncut.mouths.take(piece.take(kept)) > 1, np.ceil(length.take(kept) / _STEP_MM), 1).astype(np.int64)
    start, end, piece = _parted(picked(start, kept), picked(end, kept), piece.take(kept), parts)
    mouth = mouths.nearest((start + end) / 2, piece)
    cut = uncut.cut.take(piece)
    beyond = _outside(start, end, picked(pieces.at_top, mouth), pieces.top_mm.take(mouth) + deviations_mm.take(cut))
    return moved + _summed(beyond, cut, len(deviations_mm))


def _summed(values: Floats, cut: Ints, cuts: int) -> Floats:
    """Sum the values of each cut, (cuts,): they lie one cut after the other."""
    starts = np.searchsorted(cut, np.arange(cuts + 1)).tolist()
    return np.array([np.add.reduce(values[a:b]) for a, b in pairwise(starts)])


def _is_far(mouths: _Mouths, start: Floats, end: Floats, piece: Ints, deviations_mm: Floats) -> Bools:
    """Stretches so far from every mouth that all of them moves by more: in wide gaps most of them."""
    uncut, middle, half = mouths.uncut, (start + end) / 2, np.hypot(*(end - start).T) / 2
    away = np.hypot(*(middle - picked(uncut.pieces.at_top, mouths.nearest(middle, piece))).T) - half
    return np.asarray(away > uncut.radius_mm.take(piece) + deviations_mm.take(uncut.cut.take(piece)))


def _parted(start: Floats, end: Floats, piece: Ints, parts: Ints) -> tuple[Floats, Floats, Ints]:
    which = np.repeat(np.arange(len(parts)), parts)
    nth = counted(parts)
    along = picked(end - start, which) / parts.take(which)[:, None]
    first = picked(start, which) + nth[:, None] * along
    return first, first + along, piece.take(which)


class _Mouths:
    """Mouths by their pieces; most pieces have but one."""

    def __init__(self, uncut: Uncut) -> None:
        self.uncut, pieces = uncut, uncut.pieces
        mouths = np.flatnonzero(pieces.mouth)
        self.only = np.zeros(len(uncut.mouths), dtype=np.int64)
        self.only[pieces.piece[mouths]] = mouths
        self.several = uncut.mouths > 1
        among = mouths.compress(self.several.take(pieces.piece.take(mouths)))
        self.among = among.take(np.argsort(pieces.piece.take(among), kind="stable"))  # those of a piece in a row

    def nearest(self, points: Floats, piece: Ints) -> Ints:
        """The mouth of its piece that is nearest to each point."""
        found = self.only.take(piece)
        choose = np.flatnonzero(self.several.take(piece))
        if len(choose):
            found[choose] = self._of_several(picked(points, choose), piece.take(choose))
        return found

    def _of_several(self, points: Floats, piece: Ints) -> Ints:
        many = self.uncut.mouths.take(piece)
        if many.sum() > _FEW_PAIRS:
            return np.asarray(self.among.take(self._tree.query(stacked(points, piece))[1]))
        pair = np.repeat(np.searchsorted(self.uncut.pieces.piece.take(self.among), piece), many) + counted(many)
        away = np.repeat(points, many, axis=0) - picked(self.uncut.pieces.at_top, self.among.take(pair))
        square = dot(away, away)
        first = np.cumsum(many) - many
        nearest = np.flatnonzero(square == np.repeat(np.minimum.reduceat(square, first), many))[::-1]
        out = np.zeros(len(points), dtype=np.int64)
        out[np.repeat(np.arange(len(points)), many).take(nearest)] = self.among.take(pair.take(nearest))
        return out

    @cached_property
    def _tree(self) -> cKDTree:
        pieces = self.uncut.pieces
        return cKDTree(stacked(picked(pieces.at_top, self.among), pieces.piece.take(self.among)))


def _outside(start: Floats, end: Floats, centre: Floats, radius: Floats) -> Floats:
    """Length of each straight part that lies further than `radius` from its `centre`."""
    length = np.hypot(*(end - start).T)
    (u, v), (x, y) = np.ascontiguousarray((end - start).T) / length, (start - centre).T
    middle = -(x * u + y * v)
    beside = x * v - y * u
    half = np.sqrt(np.maximum(radius * radius - beside * beside, 0.0))
    inside = np.clip(middle + half, 0.0, length) - np.clip(middle - half, 0.0, length)
    return np.asarray(length - inside)
