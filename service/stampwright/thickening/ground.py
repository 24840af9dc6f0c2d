"""What growing must leave of the floor: half the least gap on each side of every gap's middle line.

Not every row of the floor is a gap. One that leads into a concave corner and widens all the way out may be overgrown:
the corner just moves. Every other row is kept free by discs along it that no grown wall may enter.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from stampwright.plane import spaced

from .climb import above, climbed, narrowest, widest
from .want import RIB_DEG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

_DISC_SHARE = 0.1  # discs along a gap lie so many least gaps apart: between them they fall short by 0.3 % of it


@dataclass(frozen=True)
class Ground:
    """Floor to be kept: rows `near` (n,) that can hold walls back; discs (d) of `radius_mm` about `centre` (d, 2)."""

    gap_mm: float
    near: Bools
    centre: Floats
    radius_mm: Floats

    @cached_property
    def tree(self) -> cKDTree:
        """The centres of the discs, to be asked by place."""
        return cKDTree(self.centre)

    def clearance(self, origin: Floats, direction: Floats, reach_mm: Floats) -> Floats:
        """How far each ray (s) may go, at most `reach_mm` (s,), before it enters a disc [mm]."""
        free = reach_mm.copy()
        if not len(self.centre) or not len(origin):
            return free
        furthest = float(reach_mm.max()) + self.gap_mm / 2
        near = cKDTree(origin).sparse_distance_matrix(self.tree, furthest, output_type="ndarray")
        near = near[near["v"] < reach_mm[near["i"]] + self.radius_mm[near["j"]]]
        ray, disc = near["i"], near["j"]
        x, y = (self.centre[disc] - origin[ray]).T
        ahead = x * direction[ray, 0] + y * direction[ray, 1]
        half = self.radius_mm[disc] ** 2 - (near["v"] ** 2 - ahead**2)
        met = (half > 0) & (ahead > 0)
        enters = np.maximum(ahead[met] - np.sqrt(half[met]), 0.0)
        np.minimum.at(free, ray[met], enters)
        return free


def ground_of(axis: Axis, gap_mm: float, *, reach_mm: float) -> Ground:
    """The ground that walls moving by at most `reach_mm` have to keep."""
    floor = ~axis.in_ink & (axis.low_mm < reach_mm + gap_mm / 2)  # what is wider holds nothing back
    kept = floor & (_gaps(axis, floor) | _pockets(axis, floor, gap_mm))
    _, discs = spaced(axis, np.flatnonzero(kept), _DISC_SHARE * gap_mm)
    tops = widest(axis, ~axis.in_ink)
    centre = np.concatenate([discs.at, axis.vertices[tops]])
    radius = np.concatenate([discs.radius_mm, axis.radius_mm[tops]])
    near = radius < reach_mm + gap_mm / 2
    return Ground(gap_mm, kept, centre[near], np.minimum(radius[near], gap_mm / 2))


def _gaps(axis: Axis, floor: Bools) -> Bools:
    """Rows of the floor, (n,), that are no dead end: facing walls, or a narrowest place, lie at or below them."""
    facing = floor & (axis.separation_low_deg >= RIB_DEG)
    seeds = np.concatenate([axis.high[facing], narrowest(axis, floor)])
    return np.asarray(facing | above(axis, floor, np.unique(seeds))[axis.low])


def _pockets(axis: Axis, floor: Bools, gap_mm: float) -> Bools:
    """Rows, (n,), that climb to what is itself narrower than the gap: frozen, so that no counter and no slot is lost.

    That is a local maximum, or a place between facing walls: in a slot of even width nothing tells which end is higher.
    """
    between = np.zeros(len(axis.radius_mm), dtype=bool)
    between[axis.low[floor & (axis.separation_low_deg >= RIB_DEG)]] = True
    between[axis.high[floor & (axis.separation_high_deg >= RIB_DEG)]] = True
    top = climbed(axis, floor, stays=between)
    return np.asarray(axis.radius_mm[top[axis.low]] < gap_mm / 2)
