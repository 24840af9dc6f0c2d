"""Lines cut where a question about their points changes its answer: by points, not by overlays of areas.

And a large area asked about many things piece by piece, so that never all of it is indexed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import picked

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

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
    if len(change):
        ends = last_passing(picked(points, change), picked(points, change + 1), test, forward=passes[change])
        points, key = inserted(points, np.where(passes, line, -1), change + 1, ends, line[change])
    else:
        key = np.where(passes, line, -1)
    return runs(points, key)


def inserted(points: Floats, key: Ints, before: Ints, more: Floats, keys: Ints) -> tuple[Floats, Ints]:
    """More points with their keys put in before those of these indices, which rise: `np.insert` in one go for both."""
    at = before + np.arange(len(before))
    own = np.ones(len(points) + len(at), dtype=bool)
    own[at] = False
    all_points, all_keys = np.zeros((len(own), 2)), np.zeros(len(own), dtype=np.int64)
    all_points[own], all_points[at] = points, more
    all_keys[own], all_keys[at] = key, keys
    return all_points, all_keys


def runs(points: Floats, key: Ints) -> tuple[Geometries, Ints]:
    """Lines through points in a row that have the same key, two at least, and their keys; none where it is < 0."""
    bounds = np.concatenate([[0], np.flatnonzero(key[1:] != key[:-1]) + 1, [len(key)]])  # of runs
    first, counts = bounds[:-1], bounds[1:] - bounds[:-1]
    wanted = counts > 1
    wanted[wanted] = key.take(first[wanted]) >= 0
    if not wanted.any():
        return np.zeros(0, dtype=object), np.zeros(0, dtype=np.int64)
    first, lengths = first[wanted], counts[wanted]
    nth = np.repeat(np.arange(len(first)), lengths)
    return shapely.linestrings(picked(points, np.repeat(wanted, counts)), indices=nth), key.take(first)


def last_passing(start: Floats, end: Floats, test: Callable[[Floats], Bools], *, forward: Bools) -> Floats:
    """The last passing points on the ways from a passing start to an end that fails, or the other way round."""
    low, high = np.where(forward[:, None], start, end), np.where(forward[:, None], end, start)
    if not len(low):
        return low
    between = low[:, None] + _SHARES[:, None] * (high - low)[:, None]
    passes = test(between.reshape(-1, 2)).reshape(len(low), -1)
    reached = np.where(passes.all(axis=1), len(_SHARES), passes.argmin(axis=1))
    return np.asarray(low + reached[:, None] * (high - low) / (len(_SHARES) + 1))


def side_by_side(
    area: shapely.Geometry, boxes: Floats, within_mm: float, *, at_once: int
) -> Iterator[tuple[Ints, shapely.Geometry]]:
    """Numbers of so many things at once, from left to right by their boxes (n, 4), and what of an area is so near.

    All of both, in order, if there are no more.
    """
    if len(boxes) <= at_once:
        yield np.arange(len(boxes)), area
        return
    for some in np.array_split(np.argsort(boxes[:, 0], kind="stable"), -(-len(boxes) // at_once)):
        low, high = boxes[some, :2].min(axis=0) - 2 * within_mm, boxes[some, 2:].max(axis=0) + 2 * within_mm
        yield some, shapely.clip_by_rect(area, *low, *high)
