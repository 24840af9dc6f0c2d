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

    Ints = NDArray[np.int64]

CRUMB_MM = 4 * GRID_MM  # each wall lies half a step off at most; shallow crossings double that and more


def tied(axis: Axis) -> tuple[Axis, Ints]:
    """The axis with its crumbs left out of the ink and their ends made one; and which vertex stands for each, (m,).

    That is the widest of those tied together. Rows still lead from narrow to wide.
    """
    crumb = axis.in_ink & (np.hypot(*(axis.vertices[axis.high] - axis.vertices[axis.low]).T) <= CRUMB_MM)
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
