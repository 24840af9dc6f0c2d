"""How far each sample of the outline moves along its wall's normal: what is wanted, less what must be kept.

The order matters: what gaps deny one side is asked of the other before tips and slopes have their say, since only
gaps, not tapers, may make the far side grow more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from stampwright.plane import along

from .ends import Planes, end_of_samples, ends_of, needle_points
from .facing import Facing
from .ground import ground_of
from .slopes import Round, tapered
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

_NECK = 0.9  # of what a corner lacks: below it no wall beside it moves enough
_STEP_SHARE = 0.1  # samples on walls that move lie so many least widths apart at most


@dataclass(frozen=True, slots=True)
class Moves:
    """Samples of the outline, each with its move [mm]; `free` tells how far any other ray may go.

    `loose_mm` (s,): the moves if ends had no `planes`. `denied_mm` (s,): what gaps and margin keep back of the width at
    each sample, both sides together.
    """

    samples: Samples
    by_mm: Floats
    loose_mm: Floats
    planes: Planes
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
        self.round = Round(walls, self.samples)
        self.want = self._want()
        self.reach = 2 * self.want
        self.ground: Ground = ground_of(axis, gap_mm, reach_mm=float(self.reach.max(initial=0.0)))
        self.ends = ends_of(axis, wants)
        end = end_of_samples(axis, wants, self.ends, self.ink)
        self.planes = Planes(axis, self.ends, self.samples, end, least_mm=wants.least_mm)

    def _moving_walls(self) -> Bools:
        """Walls, (k,), that some row with a want owns."""
        axis, want = self.axis, self.wants.vertex_mm
        some = axis.in_ink & (np.maximum(want[axis.low], want[axis.high]) > 0)
        close = np.zeros(len(axis.walls), dtype=bool)
        close[axis.site[some]] = True
        corner, _ = self._necks()
        close[corner] = close[self.walls.next[corner]] = True
        return close

    def _necks(self) -> tuple[Ints, Floats]:
        """Concave corners that a thin rib touches: the wall each ends, and what is wanting there [mm].

        Where land is thin between two corners no wall is; the walls beside the corners have to move.
        """
        axis, wants = self.axis, self.wants
        row, side = np.nonzero(wants.rib[:, None] & (axis.point > 0))
        lacks = wants.at(axis, row, np.zeros(len(row)))
        row, side, lacks = row[lacks > 0], side[lacks > 0], lacks[lacks > 0]
        before = np.zeros(len(axis.walls), dtype=np.int64)
        before[self.walls.next] = np.arange(len(before))
        site = axis.site[row, side]
        return np.where(axis.point[row, side] == 1, before[site], site), lacks

    def _want(self) -> Floats:
        want = np.zeros(len(self.samples))
        for column in (0, 1):
            row = self.ink.row[:, column]
            some = np.flatnonzero(row >= 0)
            here = self.wants.at(self.axis, row[some], self.ink.share[some, column])
            want[some] = np.maximum(want[some], here)
        corner, lacks = self._necks()
        first = np.searchsorted(self.samples.wall, np.arange(len(self.walls.start) + 1))
        last, later = first[corner + 1] - 1, first[self.walls.next[corner]]
        # where a wall beside the corner moves as far already, the rib is the end of its stroke and no neck
        neck = np.maximum(want[last], want[later]) < _NECK * lacks
        peak = np.zeros(len(want))
        np.maximum.at(peak, np.concatenate([last[neck], later[neck]]), np.tile(lacks[neck], 2))
        return np.maximum(want, self.round.falling(peak)) if neck.any() else want

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
        by, denied = self._shared(limit)
        by = self.round.nearest_known(by, known=~walls.crumb[samples.wall])
        by = np.minimum(by, tapered(walls, samples, self._tips()))
        loose = np.minimum(self.round.sloped(by), self.planes.across(walls, samples))
        by = np.minimum(loose, self.planes.of_samples(samples, walls.outward[samples.wall]))
        return Moves(samples, by, loose, self.planes, denied, free)

    def _shared(self, limit: Floats) -> tuple[Floats, Floats]:
        """Moves within the limits, what one side is denied asked of the other; and what both sides are denied."""
        by = np.minimum(self.want, limit)
        if (by == self.want).all():
            return by, np.zeros(len(by))
        lacks = self.facing.lacks(by)
        by = np.minimum(self.want + np.minimum(lacks, self.want), limit)
        return by, np.maximum(self.facing.lacks(by) + self.want - by, 0.0)

    def _tips(self) -> Floats:
        """Positions of the points that keep their place: acute corners, and the tops of needles."""
        walls = self.walls
        acute = np.flatnonzero(walls.turn_deg > 120.0)
        corners = walls.base[acute] + walls.length_mm[acute]
        needles = self.samples.position[needle_points(self.axis, self.ends, self.samples, self.planes.end)]
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

    @cached_property
    def facing(self) -> Facing:
        """The thin ribs as seen from the walls."""
        return Facing(self.walls, self.wants, self.samples, ink=self.ink, feet=self.feet, rounds=self.round)
