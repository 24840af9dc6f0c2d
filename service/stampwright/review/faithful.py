"""How much of the outline prints where it was drawn, with the edge that a round cutter leaves.

A point of the outline moves by its distance to the nearest reachable centre, less the cutter's radius; only outline
owned by uncut pieces moves at all, and its nearest reachable centre is a mouth of the same piece.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from stampwright.base.counting import counted

from .uncut import stacked

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_STEP_MM = 0.1  # outline of several mouths is parted so finely, each part given to the nearest; the rest is exact


def faithful_shares(uncut: Uncut, deviations_mm: Floats) -> Floats:
    """Share of the outline that moves by no more than `deviations_mm` (q,), one of each radius of `uncut`, (q,)."""
    walls = uncut.axis.walls
    outline_mm = np.hypot(*(walls[:, 1] - walls[:, 0]).T).sum()
    return np.asarray(np.clip(1.0 - _moved_mm(uncut, deviations_mm) / outline_mm, 0.0, 1.0))


def _moved_mm(uncut: Uncut, deviations_mm: Floats) -> Floats:
    """Length of outline that moves by more, (q,) [mm]."""
    axis, pieces, mouths = uncut.axis, uncut.pieces, _Mouths(uncut)
    # of several mouths, or none, or a residual beyond the limit
    chosen = np.flatnonzero(~(uncut.residual_mm <= deviations_mm[uncut.cut])[pieces.piece])
    start, end = axis.feet_low[pieces.row[chosen]].reshape(-1, 2), pieces.feet_top[chosen].reshape(-1, 2)
    piece = np.repeat(pieces.piece[chosen], 2)
    length = np.hypot(*(end - start).T)
    lost = uncut.mouths[piece] == 0
    known = np.flatnonzero(~lost & (length > 0))
    lost[known] = _is_far(mouths, start[known], end[known], piece[known], deviations_mm)
    moved = _summed(length[lost], uncut.cut[piece[lost]], len(deviations_mm))
    kept = ~lost & (length > 0)
    if not kept.any():
        return moved
    parts = np.where(uncut.mouths[piece[kept]] > 1, np.ceil(length[kept] / _STEP_MM), 1).astype(np.int64)
    start, end, piece = _parted(start[kept], end[kept], piece[kept], parts)
    mouth = mouths.nearest((start + end) / 2, piece)
    cut = uncut.cut[piece]
    beyond = _outside(start, end, pieces.at_top[mouth], pieces.top_mm[mouth] + deviations_mm[cut])
    return moved + _summed(beyond, cut, len(deviations_mm))


def _summed(values: Floats, cut: Ints, cuts: int) -> Floats:
    """Sum the values of each cut, (cuts,): they lie one cut after the other."""
    starts = np.searchsorted(cut, np.arange(cuts + 1))
    return np.array([part.sum() for part in np.split(values, starts)[1:-1]])


def _is_far(mouths: _Mouths, start: Floats, end: Floats, piece: Ints, deviations_mm: Floats) -> Bools:
    """Stretches so far from every mouth that all of them moves by more: in wide gaps most of them."""
    uncut, middle, half = mouths.uncut, (start + end) / 2, np.hypot(*(end - start).T) / 2
    away = np.hypot(*(middle - uncut.pieces.at_top[mouths.nearest(middle, piece)]).T) - half
    return np.asarray(away > uncut.radius_mm[piece] + deviations_mm[uncut.cut[piece]])


def _parted(start: Floats, end: Floats, piece: Ints, parts: Ints) -> tuple[Floats, Floats, Ints]:
    which = np.repeat(np.arange(len(parts)), parts)
    nth = counted(parts)
    along = (end - start)[which] / parts[which][:, None]
    first = start[which] + nth[:, None] * along
    return first, first + along, piece[which]


class _Mouths:
    """Mouths by their pieces; most pieces have but one."""

    def __init__(self, uncut: Uncut) -> None:
        self.uncut, pieces = uncut, uncut.pieces
        mouths = np.flatnonzero(pieces.mouth)
        self.only = np.zeros(len(uncut.mouths), dtype=np.int64)
        self.only[pieces.piece[mouths]] = mouths
        self.several = uncut.mouths > 1
        self.among = mouths[self.several[pieces.piece[mouths]]]
        self.tree = cKDTree(stacked(pieces.at_top[self.among], pieces.piece[self.among]))

    def nearest(self, points: Floats, piece: Ints) -> Ints:
        """The mouth of its piece that is nearest to each point."""
        found = self.only[piece]
        choose = np.flatnonzero(self.several[piece])
        if len(choose):
            found[choose] = self.among[self.tree.query(stacked(points[choose], piece[choose]))[1]]
        return found


def _outside(start: Floats, end: Floats, centre: Floats, radius: Floats) -> Floats:
    """Length of each straight part that lies further than `radius` from its `centre`."""
    length = np.hypot(*(end - start).T)
    along = (end - start) / length[:, None]
    from_centre = start - centre
    middle = -(from_centre * along).sum(-1)
    beside = from_centre[:, 0] * along[:, 1] - from_centre[:, 1] * along[:, 0]
    half = np.sqrt(np.maximum(radius * radius - beside * beside, 0.0))
    inside = np.clip(middle + half, 0.0, length) - np.clip(middle - half, 0.0, length)
    return np.asarray(length - inside)
