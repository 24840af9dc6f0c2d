"""Lines cut where a question about their points changes its answer: by points, not by overlays of areas."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

_SHARES = np.arange(1, 16) / 16  # of a step, looked at to find where the answer changes


def kept(lines: Geometries, test: Callable[[Floats], Bools], step_mm: float) -> tuple[Geometries, Ints]:
    """What of lines passes a test of points (n, 2), in the direction of the lines, and of which line each run is.

    Looked at every `step_mm` at most, ends to a sixteenth of that, always on the passing side.
    """
    points, line = shapely.get_coordinates(shapely.segmentize(lines, step_mm), return_index=True)
    passes = test(points)
    change = np.flatnonzero((line[1:] == line[:-1]) & (passes[1:] != passes[:-1]))
    ends = last_passing(points[change], points[change + 1], test, forward=passes[change])
    points, line = np.insert(points, change + 1, ends, axis=0), np.insert(line, change + 1, line[change])
    return runs(points, np.where(np.insert(passes, change + 1, values=True), line, -1))


def runs(points: Floats, key: Ints) -> tuple[Geometries, Ints]:
    """Lines through points in a row that have the same key, two at least, and their keys; none where it is < 0."""
    run = np.concatenate([[0], np.cumsum(key[1:] != key[:-1])])[: len(key)]
    taken = (key >= 0) & (np.bincount(run, minlength=1)[run] > 1)
    which, first, nth = np.unique(run[taken], return_index=True, return_inverse=True)
    if not len(which):
        return np.zeros(0, dtype=object), np.zeros(0, dtype=np.int64)
    return shapely.linestrings(points[taken], indices=nth), key[taken][first]


def last_passing(start: Floats, end: Floats, test: Callable[[Floats], Bools], *, forward: Bools) -> Floats:
    """The last passing points on the ways from a passing start to an end that fails, or the other way round."""
    low, high = np.where(forward[:, None], start, end), np.where(forward[:, None], end, start)
    if not len(low):
        return low
    between = low[:, None] + _SHARES[:, None] * (high - low)[:, None]
    passes = test(between.reshape(-1, 2)).reshape(len(low), -1)
    reached = np.where(passes.all(axis=1), len(_SHARES), passes.argmin(axis=1))
    return np.asarray(low + reached[:, None] * (high - low) / (len(_SHARES) + 1))
