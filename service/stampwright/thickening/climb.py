"""Walks over the axis from narrow to wide: where climbing leads, and what lies above a place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_POINT_MM = 1e-6  # smaller radii are corners of the outline
_LEVEL_SLOPE = 0.002  # radius gained per length: walls that lean by less do not run together in a point


def climbed(axis: Axis, of: Bools, *, stays: Bools) -> Ints:
    """The vertex, (m,), reached from each by climbing the rows `of` (n,) to the widest neighbour again and again.

    Climbing ends at vertices that `stays` (m,) marks, and where nothing is wider.
    """
    rows = np.flatnonzero(of & ~stays[axis.low])
    rows = rows[np.argsort(axis.high_mm[rows], kind="stable")]
    root = np.arange(len(axis.radius_mm))
    root[axis.low[rows]] = axis.high[rows]  # the last one written, the widest, holds
    for _ in range(len(root).bit_length()):
        further = root[root]
        if np.array_equal(further, root):
            break
        root = further
    return root


def above(axis: Axis, rows: Bools, seeds: Ints) -> Bools:
    """Vertices, (m,), that climbing the `rows` (n,) reaches from the vertices `seeds`, these included."""
    return np.asarray(weighed_above(axis, rows, seeds, np.ones(len(seeds))) > 0)


def weighed_above(axis: Axis, rows: Bools, seeds: Ints, weight: Floats) -> Floats:
    """The greatest `weight` (q,) of the `seeds` from which climbing the `rows` (n,) reaches each vertex, (m,), or 0."""
    rising = np.argsort(weight, kind="stable")
    order = np.argsort(axis.low[rows], kind="stable")
    first = np.searchsorted(axis.low[rows][order], np.arange(len(axis.radius_mm) + 1)).tolist()
    high = axis.high[rows][order].tolist()
    reached, left = [0.0] * len(axis.radius_mm), list(zip(seeds[rising].tolist(), weight[rising].tolist(), strict=True))
    while left:  # one step for each vertex: a tenth of the time that a sparse graph takes to be set up for a small mark
        vertex, weighs = left.pop()  # the weightiest first: what is reached from two is reached from that one
        if not reached[vertex]:
            reached[vertex] = weighs
            left += [(there, weighs) for there in high[first[vertex] : first[vertex + 1]]]
    return np.array(reached)


def narrowest(axis: Axis, of: Bools) -> Ints:
    """Vertices where the radius is least among their neighbours on the rows `of` and is more than none."""
    least = axis.radius_mm > _POINT_MM
    least[axis.high[of]] = False
    return np.unique(axis.low[of & least[axis.low]])


def widest(axis: Axis, of: Bools) -> Ints:
    """Vertices where the radius is greatest among their neighbours on the rows `of`."""
    top = np.ones(len(axis.radius_mm), dtype=bool)
    top[axis.low[of]] = False
    return np.unique(axis.high[of & top[axis.high]])


def running_out(axis: Axis, facing: Bools) -> Bools:
    """Rows, (n,), between `facing` walls that lean all the way into a point: a groove or a tip, which has no width."""
    leaning = facing & (axis.high_mm - axis.low_mm >= _LEVEL_SLOPE * axis.length_mm)
    points = np.unique(axis.low[leaning & (axis.low_mm <= _POINT_MM)])
    if not len(points):
        return np.zeros(len(leaning), dtype=bool)
    return np.asarray(leaning & above(axis, leaning, points)[axis.low])
