"""How far each sample of the outline moves along its wall's normal: what is wanted, less what must be kept.

The order matters: what gaps deny one side is asked of the other before tips and slopes have their say, since only
gaps, not tapers, may make the far side grow more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stampwright.plane import along

from .ends import end_of_samples, ends_of, limit_at_ends, needle_points
from .ground import ground_of
from .slopes import nearest_known, sloped, tapered
from .walls import owned, samples_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .ground import Ground
    from .walls import Samples, Walls
    from .want import Wants

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Clearance = Callable[[Floats, Floats, Floats], Floats]

_NEAR_CORNER = 0.02  # of the least width
_STEP_SHARE = 0.1  # samples on walls that move lie so many least widths apart at most


@dataclass(frozen=True, slots=True)
class Moves:
    """Samples of the outline, each with its move [mm]; `free` tells how far any other ray may go.

    `denied_mm` (s,): what gaps and margin keep back of the width at each sample, both sides together.
    """

    samples: Samples
    by_mm: Floats
    denied_mm: Floats
    free: Clearance


class Moving:
    """All of one drawing that does not change when a spot is frozen and the moves are made again."""

    def __init__(self, axis: Axis, walls: Walls, wants: Wants, gap_mm: float) -> None:
        self.axis, self.walls, self.wants = axis, walls, wants
        feet = walls.feet_positions()
        close = self._moving_walls()
        self.samples = samples_of(walls, feet, close=close, step_mm=_STEP_SHARE * wants.least_mm)
        self.ink = owned(walls, feet, self.samples, of=axis.in_ink & close[axis.site].any(axis=1))
        self.floor = owned(walls, feet, self.samples, of=~axis.in_ink)
        self.feet = feet
        self._counts = self._long_enough()
        self.want = self._want()
        self.reach = 2 * self.want
        self.ground: Ground = ground_of(axis, gap_mm, reach_mm=float(self.reach.max(initial=0.0)))
        self.ends = ends_of(axis, wants)
        self.end = end_of_samples(axis, wants, self.ends, self.ink)

    def _moving_walls(self) -> Bools:
        """Walls, (k,), that some row with a want owns."""
        axis, want = self.axis, self.wants.vertex_mm
        some = axis.in_ink & (np.maximum(want[axis.low], want[axis.high]) > 0)
        close = np.zeros(len(axis.walls), dtype=bool)
        close[axis.site[some]] = True
        return close

    def _long_enough(self) -> Bools:
        """Whether what lies before and after each sample on its wall, (s, 2), is no crumb that a turn would lose."""
        samples = self.samples
        run = np.where(samples.wall[1:] == samples.wall[:-1], np.diff(samples.position), 0.0)
        least = np.minimum(_NEAR_CORNER * self.wants.least_mm, self.walls.length_mm[samples.wall] / 2)
        return np.column_stack([np.append(0.0, run) >= least, np.append(run, 0.0) >= least])

    def _want(self) -> Floats:
        want = np.zeros(len(self.samples))
        for column in (0, 1):
            row = self.ink.row[:, column]
            some = np.flatnonzero(row >= 0)
            here = self.wants.at(self.axis, row[some], self.ink.share[some, column])
            want[some] = np.maximum(want[some], here)
        return want

    def moves(self, beyond: Clearance | None, frozen: Bools) -> Moves:
        """Move all samples but the `frozen` (s,); `beyond` tells how far rays may go for reasons beside the gaps."""
        samples, walls = self.samples, self.walls

        def free(origin: Floats, direction: Floats, reach_mm: Floats) -> Floats:
            clear = self.ground.clearance(origin, direction, reach_mm)
            return clear if beyond is None else np.minimum(clear, beyond(origin, direction, reach_mm))

        limit = np.where(frozen, 0.0, self._own_limit())
        asks = np.flatnonzero(np.minimum(limit, self.want) > 0)
        limit[asks] = np.minimum(
            limit[asks], free(samples.at[asks], walls.outward[samples.wall[asks]], self.reach[asks])
        )
        first = np.minimum(self.want, limit)
        lacks = self._denied(first)
        by = np.minimum(self.want + self._passed_on(lacks), limit)
        denied = self._denied(by) + self.want - by
        tips = self._tips()
        by = np.minimum(by, tapered(walls, samples, tips))
        by = sloped(walls, samples, by)
        by = np.minimum(by, limit_at_ends(walls, self.ends, samples, self.end, least_mm=self.wants.least_mm))
        return Moves(samples, by, np.maximum(denied, 0.0), free)

    def _tips(self) -> Floats:
        """Positions of the points that keep their place: acute corners, and the tops of needles."""
        walls = self.walls
        acute = np.flatnonzero(walls.turn_deg > 120.0)
        corners = walls.base[acute] + walls.length_mm[acute]
        needles = self.samples.position[needle_points(self.axis, self.ends, self.samples, self.end)]
        return np.concatenate([corners, needles])

    def _own_limit(self) -> Floats:
        """Half the least gap is left before the middle of the gap each sample faces."""
        limit = np.full(len(self.samples), np.inf)
        for column in (0, 1):
            row = self.floor.row[:, column]
            some = np.flatnonzero((row >= 0) & self.ground.kept[np.maximum(row, 0)])
            radius = along(self.axis, row[some], self.floor.share[some, column]).radius_mm
            limit[some] = np.minimum(limit[some], np.maximum(radius - self.ground.gap_mm / 2, 0.0))
        return limit

    def _denied(self, by: Floats) -> Floats:
        """What the far side of the rib lacks of its want, at each sample; between corners the nearest rib's."""
        lack, corner = np.full(len(self.samples), -1.0), self._at_corners(by)
        thin = self.wants.rib & (self.axis.low_mm < self.wants.least_mm / 2)
        for column in (0, 1):
            row, side = self.ink.row[:, column], 1 - self.ink.side[:, column]
            some = np.flatnonzero((row >= 0) & thin[np.maximum(row, 0)] & self._counts[:, column])
            row, side = row[some], side[some]
            ends = self.feet[row, :, side]
            across = ends[:, 0] + self.ink.share[some, column] * (ends[:, 1] - ends[:, 0])
            there = np.interp(across, self.samples.position, by)
            # a foot at a corner stands on both its walls, and turning the drawing may put it on either
            site = self.axis.site[row, side]
            near = _NEAR_CORNER * self.wants.least_mm
            from_start = across - self.walls.base[site]
            there = np.where(from_start < near, np.maximum(there, corner[site, 0]), there)
            there = np.where(self.walls.length_mm[site] - from_start < near, np.maximum(there, corner[site, 1]), there)
            want = self.wants.at(self.axis, row, self.ink.share[some, column])
            lack[some] = np.maximum(lack[some], want - there)
        return np.maximum(nearest_known(self.walls, self.samples, lack, known=lack > -1.0), 0.0)

    def _at_corners(self, by: Floats) -> Floats:
        """Move of the corners at the start and the end of each wall, (k, 2): the larger of the two walls'."""
        first = np.searchsorted(self.samples.wall, np.arange(len(self.walls.start)))
        last = np.append(first[1:], len(by)) - 1
        end = np.maximum(by[last], by[first][self.walls.next])
        start = np.zeros(len(end))
        start[self.walls.next] = end
        return np.column_stack([start, end])

    def _passed_on(self, lacks: Floats) -> Floats:
        return np.minimum(lacks, self.want)
