"""Where strokes end: a bar keeps its drawn length, a needle its point.

____________________
                    |   v: last vertex of the ribs, e: their direction there
------------------v-|->  the farthest drawn corner along e is the plane no grown wall of this end passes
____________________|
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from stampwright.plane import along

from .climb import climbed
from .knots import crumbs, tied
from .want import RIB_DEG

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .walls import Owned, Samples, Walls
    from .want import Wants

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_TAPER = 0.06  # radius gained per length going back from an end: beyond it the stroke is a needle
_STROKE_DEG = 140.0  # a stroke whose walls lean about as much as a rib's may goes on where ribs come and go
_KNOT = 0.03  # of the radius: rows of the axis shorter than that, about a round cap's middle, are one knot
_CLUSTER = 0.5  # the axis of a round cap branches over so many radii about the end
_FACES_END = 0.02  # cosine from which a wall faces outward along the end's direction
_STRAIGHT_END = 0.8  # a wall across the end, longer than so many radii, is its face and stays
_SLACK = 0.008  # of the least width: a cap's facets may pass its highest corner by that
_MOST_STEPS = 200  # rows walked back along a stroke


@dataclass(frozen=True, slots=True)
class Ends:
    """Ends (e): `vertex`, outward `direction` (e, 2), `spare_mm` each may grow longer, `needle`: tapers to a point."""

    vertex: Ints
    direction: Floats
    spare_mm: Floats
    needle: Bools

    def __len__(self) -> int:
        return len(self.vertex)


def ends_of(axis: Axis, wants: Wants) -> Ends:
    """Find the ends of thin strokes: where ribs end and all else runs down into corners or a cap."""
    met, lands = _met(axis, wants), axis
    axis, stands = tied(axis, crumbs(axis, share=_KNOT, below_deg=RIB_DEG))
    count = len(axis.radius_mm)
    met[stands[met]] = True
    stroke = axis.in_ink & (axis.separation_low_deg >= _STROKE_DEG)
    degree = np.bincount(np.concatenate([axis.low[stroke], axis.high[stroke]]), minlength=count)
    rises, level = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    rises[axis.low[axis.in_ink & ~stroke]] = True
    level[axis.low[stroke]] = level[axis.high[axis.in_ink & (axis.separation_high_deg >= _STROKE_DEG)]] = True
    thin = (axis.radius_mm < wants.least_mm / 2) & (wants.vertex_mm > 0)
    vertex = np.flatnonzero((degree == 1) & ~rises & thin & level & ~met)
    far_mm = np.maximum(axis.radius_mm[vertex], wants.least_mm / 2)
    back, _ = _walked_back(axis, stroke, vertex, far_mm)
    away = axis.vertices[vertex] - axis.vertices[back]
    # what widens because a wall ends, at a joint, is no taper
    back, length = _walked_back(axis, stroke & (axis.separation_high_deg >= _STROKE_DEG), vertex, far_mm)
    far = length > 0
    taper = np.divide(axis.radius_mm[back] - axis.radius_mm[vertex], length, out=np.zeros(len(vertex)), where=far)
    enough = length >= 0.99 * far_mm
    direction = away / np.maximum(np.hypot(*away.T), 1e-12)[:, None]
    spare = _spare(lands, wants)[_part_of(lands, vertex)]
    keep = np.hypot(*away.T) > 0
    return Ends(vertex[keep], direction[keep], spare[keep], ((taper > _TAPER) & enough)[keep])


def _met(axis: Axis, wants: Wants) -> Bools:
    """Vertices, (m,), to which another stroke climbs from beyond the cap."""
    fed = wants.fed
    way = np.hypot(*(axis.vertices[fed.source] - axis.vertices[fed.top]).T)
    met = np.zeros(len(axis.radius_mm), dtype=bool)
    met[fed.top[way > _CLUSTER * axis.radius_mm[fed.top]]] = True
    return met


def _part_of(axis: Axis, vertex: Ints) -> Ints:
    part = np.zeros(len(axis.radius_mm), dtype=np.int64)
    part[axis.low[axis.in_ink]] = axis.part[axis.in_ink]
    part[axis.high[axis.in_ink]] = axis.part[axis.in_ink]
    return part[vertex]


def _spare(axis: Axis, wants: Wants) -> Floats:
    """How much each end of a land shorter than the least width may grow, (parts,): a dot grows all round."""
    parts, rib = len(axis.part_open), wants.rib
    length = np.hypot(*(axis.vertices[axis.high] - axis.vertices[axis.low]).T)
    chain = np.bincount(axis.part[rib], length[rib], minlength=parts)
    widest = np.zeros(parts)
    np.maximum.at(widest, axis.part[axis.in_ink], 2 * axis.high_mm[axis.in_ink])
    return np.asarray(np.maximum(wants.least_mm - chain - widest, 0.0) / 2)


def _walked_back(axis: Axis, rib: Bools, vertex: Ints, far_mm: Floats) -> tuple[Ints, Floats]:
    """The vertex reached from each end along its ribs, at the first fork or once `far_mm` is walked; and the way."""
    rows = np.flatnonzero(rib)
    ends = np.concatenate([axis.low[rows], axis.high[rows]])
    order = np.argsort(ends, kind="stable")
    first = np.searchsorted(ends[order], np.arange(len(axis.radius_mm) + 1))
    arms, others = np.tile(rows, 2)[order], np.concatenate([axis.high[rows], axis.low[rows]])[order]
    here, came, way = vertex.copy(), np.full(len(vertex), -1), np.zeros(len(vertex))
    for step in range(_MOST_STEPS):
        degree = first[here + 1] - first[here]
        going = np.flatnonzero((way < far_mm) & (degree == (1 if step == 0 else 2)))
        if not len(going):
            break
        slot = first[here[going]]
        slot = np.where(arms[slot] == came[going], np.minimum(slot + 1, len(arms) - 1), slot)
        there = others[slot]
        way[going] += np.hypot(*(axis.vertices[there] - axis.vertices[here[going]]).T)
        came[going], here[going] = arms[slot], there
    return here, way


def end_of_samples(axis: Axis, wants: Wants, ends: Ends, ink: Owned) -> Ints:
    """The end, (s, 2), to which the outline before and after each sample belongs; -1 for none."""
    out = np.full(ink.row.shape, -1)
    stays = wants.level | (axis.radius_mm >= wants.least_mm / 2)
    stays[ends.vertex] = True
    root = climbed(axis, axis.in_ink, stays=stays)
    which = np.nonzero(ink.row >= 0)
    row, share = ink.row[which], ink.share[which]
    anchor = np.where(wants.rib[row][:, None], along(axis, row, share).at, axis.vertices[root[axis.low[row]]])
    if not len(ends) or not len(row):
        return out
    away, nearest = cKDTree(axis.vertices[ends.vertex]).query(anchor)
    radius = axis.radius_mm[ends.vertex[nearest]]
    out[which] = np.where(away <= _CLUSTER * radius, nearest, -1)
    return out


class Planes:
    """The plane of each end, which no grown wall of it passes: the farthest drawn corner along its direction.

    `end` (s, 2): the end to which the outline before and after each sample belongs, -1 for none.
    """

    def __init__(self, axis: Axis, ends: Ends, samples: Samples, end: Ints, *, least_mm: float) -> None:
        self._axis, self._ends, self.end = axis, ends, end
        ahead = np.full(len(ends), -np.inf)
        for column in (0, 1):
            at = np.flatnonzero(end[:, column] >= 0)
            np.maximum.at(ahead, end[at, column], _beyond(axis, ends, end[at, column], samples.at[at]))
        self._reach_mm = ahead + ends.spare_mm + _SLACK * least_mm

    def clearance(self, which: Ints, origin: Floats, direction: Floats) -> Floats:
        """How far rays (q) may go before they pass the planes of the ends `which` (q,), endless for none [mm]."""
        free = np.full(len(which), np.inf)
        some = np.flatnonzero(which >= 0)
        facing = (direction[some] * self._ends.direction[which[some]]).sum(-1)
        some, facing = some[facing > _FACES_END], facing[facing > _FACES_END]
        room = self._reach_mm[which[some]] - _beyond(self._axis, self._ends, which[some], origin[some])
        free[some] = np.maximum(room, 0.0) / facing
        return free

    def of_samples(self, samples: Samples, direction: Floats) -> Floats:
        """How far samples (s) may go in their directions (s, 2) before they pass the plane of either end they see."""
        one, other = (self.clearance(self.end[:, column], samples.at, direction) for column in (0, 1))
        return np.minimum(one, other)

    def ahead(self, walls: Walls, samples: Samples) -> Bools:
        """Samples, (s,), on walls that face outward from an end."""
        out = np.zeros(len(samples), dtype=bool)
        for column in (0, 1):
            at = np.flatnonzero(self.end[:, column] >= 0)
            facing = (walls.outward[samples.wall[at]] * self._ends.direction[self.end[at, column]]).sum(-1)
            out[at[facing > _FACES_END]] = True
        return out

    def across(self, walls: Walls, samples: Samples) -> Floats:
        """How far samples (s) on straight walls across an end may move: such a wall is the end's face, and stays.

        A needle has no face: both its walls run to its point.
        """
        free = np.full(len(samples), np.inf)
        for column in (0, 1):
            at = np.flatnonzero(self.end[:, column] >= 0)
            which, wall = self.end[at, column], samples.wall[at]
            facing = (walls.outward[wall] * self._ends.direction[which]).sum(-1)
            face = (facing > 0.5) & ~self._ends.needle[which]
            face &= walls.length_mm[wall] >= _STRAIGHT_END * self._axis.radius_mm[self._ends.vertex[which]]
            free[at[face]] = np.minimum(free[at[face]], self._ends.spare_mm[which[face]])
        return free


def _beyond(axis: Axis, ends: Ends, which: Ints, at: Floats) -> Floats:
    """How far places lie along the direction of their ends, from the ends' vertices [mm]."""
    return np.asarray(((at - axis.vertices[ends.vertex[which]]) * ends.direction[which]).sum(-1))


def needle_points(axis: Axis, ends: Ends, samples: Samples, end: Ints) -> Ints:
    """The sample, one for each needle, that lies farthest out."""
    at, column = np.nonzero(end >= 0)
    which = end[at, column]
    some = ends.needle[which]
    at, which = at[some], which[some]
    far = _beyond(axis, ends, which, samples.at[at])
    order = np.lexsort((-far, which))
    return np.asarray(at[order][np.unique(which[order], return_index=True)[1]])
