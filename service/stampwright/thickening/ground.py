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

from stampwright.base.counting import dot, picked
from stampwright.plane import spaced

from .climb import climbed, narrowest, weighed_above, widest
from .want import RIB_DEG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

_CRUMB, _GROOVE = 0.02, 0.2  # of the gap: radii up to which facing walls in a corner are a crumb, and surely a groove
_DISC_SHARE = 0.1  # discs along a gap lie so many least gaps apart: between them they fall short by 0.3 % of it


@dataclass(frozen=True)
class Ground:
    """Floor to be kept: rows `near` (n,) that can hold walls back; discs (d) of `radius_mm` about `centre` (d, 2).

    `weight` (n,): how surely a row is a gap and no corner; rays may go `spare_mm` (d,) into discs, endless where it is
    surely a corner.
    """

    gap_mm: float
    near: Bools
    weight: Floats
    centre: Floats
    radius_mm: Floats
    spare_mm: Floats

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
        ray, disc, away_mm = (near[of].copy() for of in "ijv")  # columns of a table are slow to choose from
        some = np.flatnonzero(away_mm < reach_mm[ray] + self.radius_mm[disc])
        ray, disc, away_mm = ray[some], disc[some], away_mm[some]
        ahead = dot(picked(self.centre, disc) - picked(origin, ray), picked(direction, ray))
        half = self.radius_mm[disc] ** 2 - (away_mm**2 - ahead**2)
        met = np.flatnonzero((half > 0) & (ahead > 0))
        enters = np.maximum(ahead[met] - np.sqrt(half[met]), 0.0) + self.spare_mm[disc[met]]
        np.minimum.at(free, ray[met], enters)
        return free


def ground_of(axis: Axis, gap_mm: float, *, reach_mm: float) -> Ground:
    """The ground that walls moving by at most `reach_mm` have to keep."""
    floor = ~axis.in_ink & (axis.low_mm < reach_mm + gap_mm / 2)  # what is wider holds nothing back
    if not floor.any():
        return Ground(gap_mm, floor, np.zeros(len(floor)), np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    weight = np.maximum(_gaps(axis, floor, gap_mm), _pockets(axis, floor, gap_mm)) * floor
    row, discs = spaced(axis, np.flatnonzero(weight), _DISC_SHARE * gap_mm)
    tops = widest(axis, ~axis.in_ink)
    centre = np.concatenate([discs.at, axis.vertices[tops]])
    radius = np.concatenate([discs.radius_mm, axis.radius_mm[tops]])
    weighs = np.concatenate([weight[row], np.ones(len(tops))])
    near = radius < reach_mm + gap_mm / 2
    kept_mm = weighs[near] * np.minimum(radius[near], gap_mm / 2)
    return Ground(gap_mm, weight > 0, weight, centre[near], kept_mm, spare_mm(weighs[near], gap_mm))


def spare_mm(weight: Floats, gap_mm: float) -> Floats:
    """How much farther walls may go where ground is a gap by so much `weight` only: endlessly where by none [mm]."""
    return gap_mm * (1 / weight - 1)


def _gaps(axis: Axis, floor: Bools, gap_mm: float) -> Floats:
    """How surely rows of the floor, (n,), are no dead end: facing walls, or a narrowest place, lie at or below them.

    Walls that face each other in the last of a corner only, as the first facets of an arc may, are none.
    """
    facing = floor & (axis.separation_low_deg >= RIB_DEG)
    grooved = np.where(facing, np.clip((axis.high_mm / gap_mm - _CRUMB) / (_GROOVE - _CRUMB), 0.0, 1.0), 0.0)
    some, necks = np.flatnonzero(grooved), narrowest(axis, floor)
    seeds, weight = np.concatenate([axis.high[some], necks]), np.concatenate([grooved[some], np.ones(len(necks))])
    return np.maximum(grooved, weighed_above(axis, floor, seeds, weight)[axis.low])


def _pockets(axis: Axis, floor: Bools, gap_mm: float) -> Bools:
    """Rows, (n,), that climb to what is itself narrower than the gap: frozen, so that no counter and no slot is lost.

    That is a local maximum, or a place between facing walls: in a slot of even width nothing tells which end is higher.
    """
    facing = floor & (axis.separation_low_deg >= RIB_DEG) & (axis.high_mm >= _GROOVE * gap_mm)
    between = np.zeros(len(axis.radius_mm), dtype=bool)
    between[axis.low[facing]] = True
    between[axis.high[facing & (axis.separation_high_deg >= RIB_DEG)]] = True
    top = climbed(axis, floor, stays=between)
    return np.asarray(axis.radius_mm[top[axis.low]] < gap_mm / 2)
