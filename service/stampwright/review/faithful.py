"""How much of the outline prints where it was drawn, with the edge that a round cutter leaves.

A point of the outline moves by its distance to the nearest reachable centre, less the cutter's radius; only outline
owned by uncut pieces moves at all, and its nearest reachable centre is a mouth of the same piece.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from .uncut import stacked

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .uncut import Uncut

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

_STEP_MM = 0.1  # outline is parted so finely before each part is given to its nearest mouth; the rest is exact


def outline_mm(axis: Axis) -> float:
    """Length of all outlines [mm]."""
    return float(np.hypot(*(axis.walls[:, 1] - axis.walls[:, 0]).T).sum())


def moved_mm(axis: Axis, uncut: Uncut, *, deviation_mm: float) -> float:
    """Length of outline that moves by more than `deviation_mm` [mm]."""
    pieces = uncut.pieces
    may_move = ~(uncut.residual_mm <= deviation_mm)  # of several mouths, or none, or a residual beyond the limit
    chosen = may_move[pieces.piece]
    start, end = axis.feet_low[pieces.row[chosen]].reshape(-1, 2), pieces.feet_top[chosen].reshape(-1, 2)
    piece = np.repeat(pieces.piece[chosen], 2)
    length = np.hypot(*(end - start).T)
    kept = length > 0
    start, end, piece, length = start[kept], end[kept], piece[kept], length[kept]
    lost = uncut.mouths[piece] == 0
    moved = float(length[lost].sum())
    start, end, piece = _parted(start[~lost], end[~lost], piece[~lost], length[~lost])
    if not len(piece):
        return moved
    mouth = _nearest_mouth(uncut, (start + end) / 2, piece)
    centre, reach = pieces.at_top[mouth], pieces.top_mm[mouth] + deviation_mm
    return moved + float(_outside(start, end, centre, reach).sum())


def _parted(start: Floats, end: Floats, piece: Ints, length: Floats) -> tuple[Floats, Floats, Ints]:
    parts = np.ceil(length / _STEP_MM).astype(np.int64)
    which = np.repeat(np.arange(len(parts)), parts)
    nth = np.arange(len(which)) - np.repeat(np.cumsum(parts) - parts, parts)
    along = (end - start)[which] / parts[which][:, None]
    first = start[which] + nth[:, None] * along
    return first, first + along, piece[which]


def _nearest_mouth(uncut: Uncut, points: Floats, piece: Ints) -> Ints:
    mouths = np.flatnonzero(uncut.pieces.mouth)
    tree = cKDTree(stacked(uncut.pieces.at_top[mouths], uncut.pieces.piece[mouths]))
    return np.asarray(mouths[tree.query(stacked(points, piece))[1]])


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
