"""Stretches of the outline that may move, and how closely each has to be followed.

Along a straight rib the move is linear in the length of the wall wherever nothing holds it back, and two samples tell
it whole. They stand close only near the ends of ribs, where moves taper, beside bent ribs, and near ground or margin.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import counted, picked
from stampwright.plane import WALLS

from .slopes import LEAD, SLOPE
from .walls import SAME_MM

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from .ground import Ground
    from .walls import Walls
    from .want import Wants

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Clearance = Callable[[Floats, Floats, Floats], Floats]

STEP_SHARE = 0.1  # of the least width, between samples that stand close
_PART_STEPS = 4  # samples that stand close do so for so many steps at least
_NEARLY = 1e-6


class Stretches:
    """Rows of the ink along which something is wanting, on both walls, from the low end to where nothing is any more.

    `row` (q,); `reach_mm`: how far any wall may have to go, for itself and for the wall that faces it.
    """

    def __init__(self, walls: Walls, wants: Wants, feet: Floats) -> None:
        axis, want = walls.axis, wants.vertex_mm
        row = np.flatnonzero(axis.in_ink & (np.maximum(want[axis.low], want[axis.high]) > 0))
        until = wants.until(axis, row)
        self._walls, self._feet, self._until = walls, feet, until
        lacks = wants.at(axis, np.tile(row, 2), np.concatenate([np.zeros(len(row)), until]))
        self._lacks = lacks.reshape(2, -1)  # at either end
        self._most = np.maximum(*self._lacks)
        self._on_wall: Bools = axis.point[row] == 0
        self._least_mm, self._step_mm = wants.least_mm, STEP_SHARE * wants.least_mm
        self.row: Ints = row
        every = np.arange(len(row))
        self._ends = np.stack([self._at(every, np.zeros(len(every))), self._at(every, until)])  # (end, q, side)
        self.reach_mm = 2 * float(self._most.max(initial=0.0))

    def positions(self, ground: Ground, beyond: Clearance | None, *, close: bool) -> Floats:
        """Positions of samples along all, and one beyond each end where the outline goes on unmoved.

        With `close` all stand close.
        """
        feet = picked(self._feet, self.row)
        run = np.maximum(*np.abs(feet[:, 1] - feet[:, 0]).T) * self._until
        # what is held back at an end, or where ground is near, is held back no farther along than one part
        part_mm = np.maximum(self._most / SLOPE + LEAD * self._least_mm, _PART_STEPS * self._step_mm)
        parts = np.maximum(np.floor(run / part_mm).astype(np.int64), 1)
        which, nth = np.repeat(np.arange(len(parts)), parts), counted(parts)
        inner = (nth > 0) & (nth < parts[which] - 1) & (self._walls.axis.kind[self.row[which]] == WALLS)
        inner &= not close
        plain, part_mm = inner.copy(), (run / parts)[which]
        if inner.any():
            share = self._until[which] * (nth + 0.5) / parts[which]
            plain[inner] = ~self._held(which[inner], share[inner], part_mm[inner] / 2, ground, beyond)
        steps = np.where(plain, 1, np.maximum(np.ceil(part_mm / self._step_mm - _NEARLY), 1)).astype(np.int64)
        part = np.repeat(np.arange(len(which)), steps + 1)
        share = (nth[part] + counted(steps + 1) / steps[part]) / parts[which[part]]
        at = self._at(which[part], self._until[which[part]] * share)
        return np.concatenate([at[self._on_wall[which[part]]], self._beyond_ends()])

    def at_corners(self) -> Floats:
        """What is wanting at the start and the end of each wall, (k, 2)."""
        walls = self._walls
        site, out = walls.axis.site[self.row], np.zeros((len(walls.start), 2))
        from_start = self._ends - walls.base[site]
        for corner, way in enumerate((from_start, walls.length_mm[site] - from_start)):
            end, which, side = np.nonzero(self._on_wall & (way <= SAME_MM))
            np.maximum.at(out[:, corner], site[which, side], self._lacks[end, which])
        return out

    def _at(self, which: Ints, share: Floats) -> Floats:
        """Positions on both walls, (c, 2), at `share` (c,) along the rows of the stretches `which` (c,)."""
        low, high = picked(self._feet, self.row[which]).swapaxes(0, 1)
        return np.asarray(low + share[:, None] * (high - low))

    def _held(self, which: Ints, share: Floats, half_mm: Floats, ground: Ground, beyond: Clearance | None) -> Bools:
        """Whether ground or margin may hold back some of either wall within `half_mm` (c,) of `share` (c,)."""
        walls, reach = self._walls, 2 * self._most[which] + half_mm
        site, position = walls.axis.site[self.row[which]], self._at(which, share)
        at = picked(walls.start, site) + (position - walls.base[site])[..., None] * picked(walls.run, site)
        held = np.zeros(len(which), dtype=bool)
        if len(ground.centre):
            away, _ = ground.tree.query(at)
            held |= (away < (reach + ground.gap_mm / 2)[:, None]).any(axis=1)
        if beyond is not None:
            turned = picked(walls.outward, site) + np.zeros_like(at)
            clear = beyond(at.reshape(-1, 2), turned.reshape(-1, 2), np.repeat(reach, 2)).reshape(-1, 2)
            held |= (clear < reach[:, None]).any(axis=1)
        return held

    def _beyond_ends(self) -> Floats:
        """Positions a step beyond the ends of stretches, where no other goes on and the wall does."""
        one, other = self._ends[:, self._on_wall]  # (stretches on walls,)
        wall = self._walls.axis.site[self.row][self._on_wall]
        low, high = np.minimum(one, other), np.maximum(one, other)
        order = np.argsort(low, kind="stable")
        low, high, wall = low[order], high[order], wall[order]
        beyond = np.concatenate([low - self._step_mm, high + self._step_mm])
        wall = np.tile(wall, 2)
        found = np.maximum(np.searchsorted(low, beyond, side="right") - 1, 0)
        from_start = beyond - self._walls.base[wall]
        bare = (from_start > 0) & (from_start < self._walls.length_mm[wall])
        return np.asarray(beyond[bare & ((beyond > high[found]) | (beyond < low[found]))])
