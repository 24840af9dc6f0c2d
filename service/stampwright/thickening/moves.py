"""How far each sample of the outline moves along its wall's normal: what is wanted, less what must be kept.

The order matters: what gaps deny one side is asked of the other before tips and slopes have their say, since only
gaps, not tapers, may make the far side grow more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import counted, picked
from stampwright.plane import radius_along

from .ends import Planes, end_of_samples, ends_of, faced
from .facing import Facing
from .ground import ground_of, spare_mm
from .slopes import LEAD, SLOPE, Round, tapered
from .stretches import STEP_SHARE, Stretches
from .walls import owned, samples_of
from .want import RIB_DEG

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

_LEAN_DEG = 8.0  # from what just faces each other to what the review calls thin
_BESIDE_CRUMB = 2.0  # so many longest crumbs far the rows of one may reach over the walls beside it
_NEARLY = 1e-3  # so much farther samples stand beside them
_NECK = 0.9  # of what a corner lacks: below it no wall beside it moves enough


@dataclass(frozen=True, slots=True)
class Moves:
    """Samples of the outline, each with its move [mm]; `free` tells how far any other ray may go.

    `shared_mm` (s,): what gaps leave, before tips and slopes have their say. `loose_mm` (s,): the moves if nothing lay
    ahead of ends; `held_mm` (s,): if ends had no `planes`. `denied_mm` (s,): what gaps and margin keep back of the
    width at each sample, both sides together.
    """

    samples: Samples
    by_mm: Floats
    shared_mm: Floats
    loose_mm: Floats
    held_mm: Floats
    planes: Planes
    denied_mm: Floats
    free: Clearance


class Moving:
    """All of one drawing that does not change when a spot is frozen and the moves are made again.

    `beyond` tells how far rays may go for reasons beside the gaps; with `close` samples stand close everywhere.
    """

    def __init__(  # noqa: PLR0913  the parts of one drawing
        self, axis: Axis, walls: Walls, wants: Wants, gap_mm: float, beyond: Clearance | None, *, close: bool
    ) -> None:
        self.axis, self.walls, self.wants, self._beyond = axis, walls, wants, beyond
        feet = walls.feet_positions()
        stretches = Stretches(walls, wants, feet)
        self.most_mm = stretches.reach_mm  # that any wall moves
        self.ground: Ground = ground_of(axis, gap_mm, reach_mm=stretches.reach_mm)
        self._necks = self._found_necks(stretches.at_corners())
        positions = stretches.positions(self.ground, beyond, close=close)
        self.samples = samples_of(
            walls,
            np.concatenate([positions, self._beside_necks(), self._gap_feet(feet, positions), self._beside_crumbs()]),
        )
        self.ink = owned(walls, feet, self.samples, of=stretches.row)
        self.floor = owned(walls, feet, self.samples, of=np.flatnonzero(self.ground.near))
        self.feet = feet
        self.round = Round(walls, self.samples, least_mm=wants.least_mm)
        self._off_crumb = self._off_crumbs()
        self.want = self.round.nearest_known(self._want(), known=self._off_crumb)
        self.reach = 2 * self.want
        ends = ends_of(axis, wants)
        end = end_of_samples(axis, wants, ends, self.ink)
        ends = faced(walls, ends, self.samples, end[0])
        self.planes = Planes(walls, ends, self.samples, *end, least_mm=wants.least_mm)

    def _gap_feet(self, feet: Floats, positions: Floats) -> Floats:
        """Feet of the gaps that may hold walls back, on walls that have samples."""
        moving = np.zeros(len(self.axis.walls), dtype=bool)
        moving[self.walls.at(positions)] = True
        near = self.ground.near[:, None] & (self.axis.point == 0) & moving[self.axis.site]
        return np.asarray(feet.transpose(0, 2, 1)[near].ravel())

    def _beside_necks(self) -> Floats:
        """Positions on the walls beside necks, from the corner to where nothing is left of what is wanting there."""
        walls, (corner, lacks) = self.walls, self._necks
        if not len(corner):
            return lacks
        later, step_mm = walls.next[corner], STEP_SHARE * self.wants.least_mm
        steps = np.floor(lacks / SLOPE / step_mm).astype(np.int64) + 1
        which, away = np.repeat(np.arange(len(corner)), steps), step_mm * (counted(steps) + 1)
        before = walls.base[corner] + walls.length_mm[corner]
        near = [np.minimum(away, walls.length_mm[wall][which]) for wall in (corner, later)]
        return np.concatenate([before[which] - near[0], walls.base[later][which] + near[1]])

    def _beside_crumbs(self) -> Floats:
        """Positions on the walls beside crumbs, just where the rows of these do not reach any more."""
        walls = self.walls
        crumb, away = np.flatnonzero(walls.crumb), (1 + _NEARLY) * _BESIDE_CRUMB * walls.crumb_mm
        before, after = walls.previous[crumb], walls.next[crumb]
        before, after = (wall[walls.length_mm[wall] > 2 * away] for wall in (before, after))
        return np.concatenate([walls.base[before] + walls.length_mm[before] - away, walls.base[after] + away])

    def _found_necks(self, wanting: Floats) -> tuple[Ints, Floats]:
        """Concave corners that a thin rib touches: the wall each ends, and what is wanting there [mm].

        Where land is thin between two corners no wall is; the walls beside the corners have to move. `wanting` (k, 2):
        what is wanting at either end of each wall.
        """
        axis, wants = self.axis, self.wants
        row, side = np.nonzero(wants.rib[:, None] & (axis.point > 0))
        if not len(row):
            return row, np.zeros(0)
        lacks = wants.at(axis, row, np.zeros(len(row)))
        # walls that lean are no neck yet where they begin to face each other: the axis may as well come short of it
        lacks *= np.clip((axis.separation_low_deg[row] - RIB_DEG) / _LEAN_DEG, 0.0, 1.0)
        row, side, lacks = row[lacks > 0], side[lacks > 0], lacks[lacks > 0]
        site = axis.site[row, side]
        corner = np.where(axis.point[row, side] == 1, self.walls.previous[site], site)
        # where a wall beside the corner moves as far already, the rib is the end of its stroke and no neck
        # crumbs have a say in nothing
        walls, before, after = self.walls, corner, self.walls.next[corner]
        before = np.where(walls.crumb[before], walls.previous[before], before)
        after = np.where(walls.crumb[after], walls.next[after], after)
        neck = np.maximum(wanting[before, 1], wanting[after, 0]) < _NECK * lacks
        return corner[neck], lacks[neck]

    def _want(self) -> Floats:
        here = np.zeros(self.ink.row.shape)
        beside = self.ink.row >= 0
        here[beside] = self.wants.at(self.axis, self.ink.row[beside], self.ink.share[beside])
        want: Floats = np.maximum(*here.T)
        corner, lacks = self._necks
        if not len(corner):
            return want
        peak, samples = np.zeros(len(want)), self.samples
        beside = np.concatenate([samples.last[corner], samples.first[self.walls.next[corner]]])
        np.maximum.at(peak, beside, np.tile(lacks, 2))
        return np.maximum(want, self.round.falling(peak))

    def moves(self, most_mm: Floats) -> Moves:
        """Move all samples, each by `most_mm` (s,) at most."""
        samples, walls = self.samples, self.walls

        def free(origin: Floats, direction: Floats, reach_mm: Floats) -> Floats:
            clear = self.ground.clearance(origin, direction, reach_mm)
            return clear if self._beyond is None else np.minimum(clear, self._beyond(origin, direction, reach_mm))

        limit = np.minimum(most_mm, self._own_limit())
        asks = np.flatnonzero(np.minimum(limit, self.want) > 0)
        limit[asks] = np.minimum(
            limit[asks], free(picked(samples.at, asks), picked(walls.outward, samples.wall[asks]), self.reach[asks])
        )
        # what keeps the face of an end back is no reason for the stroke behind it to run thinner
        by, denied = self._shared(np.where(self.planes.ahead(), most_mm, limit))
        shared = by
        by = self.round.nearest_known(by, known=self._off_crumb)
        by = np.minimum(by, self._tapered())
        loose = np.minimum(self.round.sloped(by), self.planes.across())
        held = np.minimum(loose, limit)
        by = np.minimum(held, self.planes.of_samples())
        return Moves(samples, by, shared, loose, held, self.planes, denied, free)

    def _shared(self, limit: Floats) -> tuple[Floats, Floats]:
        """Moves within the limits, what one side is denied asked of the other; and what both sides are denied."""
        by = np.minimum(self.want, limit)
        if (by == self.want).all():
            return by, np.zeros(len(by))
        # where a gap begins the slope takes more than the gap, and so much less is left for the far side
        tapers = self.round.sloped(self.want) - self.round.sloped(by)
        lacks = self.facing.lacks(np.minimum(by, self.want - tapers))
        lacks = self.round.largest(lacks, within_mm=LEAD * self.wants.least_mm)
        by = np.minimum(self.want + np.minimum(lacks, self.want), limit)
        return by, np.maximum(self.facing.lacks(by) + self.want - by, 0.0)

    def _tapered(self) -> Floats:
        """The most each sample may move on the way to points that keep their place: acute corners, tops of needles."""
        walls, samples = self.walls, self.samples
        acute = np.flatnonzero(walls.turn_deg > 120.0)
        corners = walls.base[acute] + walls.length_mm[acute]
        points, spare = self.planes.needle_points()
        spare = np.concatenate([np.zeros(len(corners)), spare])
        return tapered(walls, samples, np.concatenate([corners, points]), spare)

    def _off_crumbs(self) -> Bools:
        """Samples, (s,), that are on no crumb nor near to one on the walls beside it: its rows may lie there."""
        walls, wall, from_start = self.walls, self.samples.wall, self.samples.from_start_mm
        after = np.where(walls.crumb[walls.previous[wall]], from_start, np.inf)
        before = np.where(walls.crumb[walls.next[wall]], walls.length_mm[wall] - from_start, np.inf)
        near = np.minimum(before, after) <= _BESIDE_CRUMB * walls.crumb_mm
        return ~(walls.crumb[wall] | near)

    def _own_limit(self) -> Floats:
        """Half the least gap is left before the middle of the gap each sample faces."""
        limit = np.full(self.floor.row.shape, np.inf)
        beside = self.floor.row >= 0
        if not beside.any():
            return limit[:, 0]
        radius = radius_along(self.axis, self.floor.row[beside], self.floor.share[beside])
        weight, gap_mm = self.ground.weight[self.floor.row[beside]], self.ground.gap_mm
        limit[beside] = np.maximum(radius - weight * gap_mm / 2, 0.0) + spare_mm(weight, gap_mm)
        return np.asarray(np.minimum(*limit.T))

    @cached_property
    def facing(self) -> Facing:
        """The thin ribs as seen from the walls."""
        return Facing(self.walls, self.wants, self.samples, ink=self.ink, feet=self.feet, rounds=self.round)
