"""The outline as a line of samples: where each lies, which rows of the axis own it, how the walls turn.

    ink   ______________s0______s1________s2______   samples: the ends of the wall, the feet of axis vertices,
    floor          wall                              and points between, so that lengths are followed closely

A position is a length along all walls laid end to end with room between, so that one sorted array answers for all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import dot, picked

from .directions import directions
from .knots import CRUMB_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_CRUMB_SHARE = 0.005  # of the least width
_ROOM_MM = 1.0  # between two walls on the line of positions
SAME_MM = 1e-6  # samples nearer than this are one


class Walls:
    """The walls (k) of an axis in the order of their rings, ink on their left.

    `run` (k, 2): from start to end; `along`: the same, but of crumbs that of a wall beside them.
    """

    def __init__(self, axis: Axis, *, least_mm: float) -> None:
        self.axis, self.least_mm = axis, least_mm
        start, end = axis.walls[:, 0], axis.walls[:, 1]
        self.start = start
        self.length_mm: Floats = np.hypot(*(end - start).T)
        first = np.flatnonzero(np.diff(axis.ring, prepend=-1))
        self.first: Ints = first  # first wall of each ring
        self.many: Ints = np.diff(np.append(first, len(start)))  # walls of each ring
        # leads on as a wall beside it, and is no corner: the grid lets it point anywhere
        self.crumb_mm = max(CRUMB_MM, _CRUMB_SHARE * least_mm)
        self.run: Floats = (end - start) / self.length_mm[:, None]
        self.along, self.crumb = directions(start, self.run, self.length_mm, first, self.crumb_mm)
        self.outward: Floats = np.column_stack([self.along[:, 1], -self.along[:, 0]])
        self.base: Floats = np.concatenate([[0.0], np.cumsum(self.length_mm + _ROOM_MM)[:-1]])
        self.next: Ints = np.arange(1, len(start) + 1)
        self.next[np.append(first[1:], len(start)) - 1] = first
        self.previous: Ints = np.argsort(self.next)  # each wall is the next of one
        self.turn_deg: Floats = self._turns()

    def _turns(self) -> Floats:
        """Turn at the end of each wall, (k,), to the left positive: there the ink has a convex corner."""
        here, there = self.along, picked(self.along, self.next)
        cross = here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]
        return np.asarray(np.degrees(np.arctan2(cross, dot(here, there))))

    def at(self, position: Floats) -> Ints:
        """The wall, (s,), on which each position (s,) lies."""
        return np.searchsorted(self.base, position + SAME_MM, side="right") - 1

    def feet_positions(self) -> Floats:
        """Positions of the feet of both ends of each row on both sides, (n, end, side)."""
        axis = self.axis
        feet, wall, point = np.stack([axis.feet_low, axis.feet_high], axis=1), axis.site, axis.point[:, None, :]
        start, run = (picked(of, wall)[:, None] for of in (self.start, self.run))
        measured = dot(feet - start, run)
        length = self.length_mm[wall][:, None, :]
        corner = np.where(point == 1, 0.0, length)
        return np.asarray(self.base[wall][:, None, :] + np.where(point > 0, corner, np.clip(measured, 0.0, length)))


@dataclass(frozen=True, slots=True)
class Samples:
    """Samples (s) of the outline, sorted by position; of each its wall, the way from the wall's start, its place.

    `first`, `last` (k,): the samples at the start and at the end of each wall.
    """

    position: Floats
    wall: Ints
    from_start_mm: Floats
    at: Floats
    first: Ints
    last: Ints

    def __len__(self) -> int:
        return len(self.position)


def samples_of(walls: Walls, positions: Floats) -> Samples:
    """Take the ends of all walls, and the `positions` between, which may come in any order and more than once."""
    axis = walls.axis
    ends = np.concatenate([walls.base, walls.base + walls.length_mm])
    position = np.sort(np.concatenate([ends, positions]))
    wall = walls.at(position)
    from_start = position - walls.base[wall]
    # both ends of a wall stay exactly themselves; what is nearly one of them goes
    inner = (from_start > SAME_MM) & (from_start < walls.length_mm[wall] - SAME_MM)
    keep = inner & (np.diff(position, prepend=-1.0) > SAME_MM)
    position = np.sort(np.concatenate([ends, position[keep]]))
    wall = walls.at(position)
    from_start, length = position - walls.base[wall], walls.length_mm[wall]
    from_start = np.where(from_start < SAME_MM, 0.0, np.where(from_start > length - SAME_MM, length, from_start))
    at = picked(walls.start, wall) + from_start[:, None] * picked(walls.run, wall)
    ended = from_start == length
    at[ended] = axis.walls[wall[ended], 1]
    first = np.searchsorted(wall, np.arange(len(walls.start) + 1))
    return Samples(position, wall, from_start, at, first[:-1], first[1:] - 1)


@dataclass(frozen=True, slots=True)
class Owned:
    """Which row of one side of the axis owns the outline just before and just after each sample.

    `row` (s, 2): -1 where none does; `side` (s, 2) of that row; `share` (s, 2) along it, 0 at its low end.
    """

    row: Ints
    side: Ints
    share: Floats


def owned(walls: Walls, feet: Floats, samples: Samples, *, of: Ints) -> Owned:
    """Find the owners among the rows `of` (q,) the axis."""
    if not len(of):
        none = np.full((len(samples), 2), -1)
        return Owned(none, np.zeros_like(none), np.zeros(none.shape))
    which, side = np.nonzero(walls.axis.point[of] == 0)
    row = of[which]
    ends = feet[row, :, side]  # (intervals, end)
    low, high = np.minimum(*ends.T), np.maximum(*ends.T)
    order = np.lexsort((high, low))
    row, side, ends, low, high = row[order], side[order], ends[order], low[order], high[order]
    middle = (samples.position[1:] + samples.position[:-1]) / 2
    within = samples.wall[1:] == samples.wall[:-1]
    found = np.searchsorted(low, middle, side="right") - 1
    if len(row):
        found = np.where(within & (found >= 0) & (middle <= high[found] + SAME_MM), found, -1)
    pairs = np.column_stack([np.append(-1, found), np.append(found, -1)])
    if not len(row):
        return Owned(pairs, np.zeros_like(pairs), np.zeros(pairs.shape))
    start = ends[:, 0][pairs]
    run = ends[:, 1][pairs] - start
    share = np.divide(samples.position[:, None] - start, run, out=np.zeros(pairs.shape), where=np.abs(run) > SAME_MM)
    none = pairs < 0
    return Owned(np.where(none, -1, row[pairs]), np.where(none, 0, side[pairs]), np.clip(share, 0.0, 1.0))
