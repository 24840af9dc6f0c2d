"""Vertices of the axis that are one but for the grid: where four walls are as near, rounding parts them by a crumb.

Such a crumb may lie between any two of the walls, as the drawing is turned; what asks which rows meet in a vertex must
not see it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.tolerances import GRID_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

CRUMB_MM = 4 * GRID_MM  # each wall lies half a step off at most; shallow crossings double that and more


def crumbs(axis: Axis, *, share: float = 0.0, below_deg: float = 0.0) -> Bools:
    """Rows of the ink, (n,), that rounding may make or lose.

    So are also those shorter than a `share` of their radius between walls seen from them below `below_deg`: about the
    middle of a round end each facet has a row of its own, and they meet in another order at each turn.
    """
    loose = (axis.length_mm <= share * axis.high_mm) & (axis.separation_low_deg < below_deg)
    return np.asarray(axis.in_ink & ((axis.length_mm <= CRUMB_MM) | loose))


def tied(axis: Axis, crumb: Bools) -> tuple[Axis, Ints]:
    """The axis with each `crumb` (n,) left out of the ink and its ends made one; and the vertex that stands for each.

    That, (m,), is the widest of those tied together. Rows still lead from narrow to wide.
    """
    if not crumb.any():
        return axis, np.arange(len(axis.radius_mm))
    one, other = axis.low[crumb], axis.high[crumb]
    knot = np.arange(len(axis.radius_mm))
    while (apart := knot[one] != knot[other]).any():
        least = np.minimum(knot[one], knot[other])[apart]
        np.minimum.at(knot, one[apart], least)
        np.minimum.at(knot, other[apart], least)
    rising = np.argsort(axis.radius_mm, kind="stable")
    widest = np.zeros(len(knot), dtype=np.int64)
    widest[knot[rising]] = rising  # the last one written, the widest, holds
    stands = widest[knot]
    low, high = stands[axis.low], stands[axis.high]
    falls = axis.radius_mm[low] > axis.radius_mm[high]
    low, high = np.where(falls, high, low), np.where(falls, low, high)
    return replace(axis, low=low, high=high, in_ink=axis.in_ink & ~crumb & (low != high)), stands
