"""What each land lacks: at every vertex of the axis in the ink, how far each wall beside it should move out.

A rib is a row between walls that face each other; there half the least width less the radius is wanting. What is no
rib, as the rows that lead into a corner or a cap, takes the want of the vertex it climbs to: the corners of a thin bar
move with the bar, those of a thick body stay.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.plane import VERTICES, WALLS, radius_along

from .climb import climbed
from .knots import crumbs, tied

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

RIB_DEG = 152.0
"""Separation from which walls face each other here: a wedge of up to 28°. Eight degrees before the review's own
ribs, so that what the review would call thin has been grown up to its ends; no angle that regular flattening gives."""

_JOINT = 1.75  # strokes that meet make a disc up to √2 (a cross) and more at acute angles; a body is larger
LEFT_SHARE = 1 / 3
"""Lettering thinner than this share of the least width is left: grown more than threefold it turns into stubs."""

LETTER = 15.0
"""A land in a circle of up to so many least widths is a letter when its lines are that thin: bolder than a twelfth of
its height it cannot be read (common practice, no source), and a letter's circle is a quarter wider than it is high."""


@dataclass(frozen=True, slots=True)
class Wants:
    """`vertex_mm` (m,): wanted outward move of the walls about each axis vertex; `root` (m,): the vertex it climbs to.

    `rib` (n,): rows of the ink between facing walls; `straight` (n,): ribs whose want falls as their radius rises, not
    towards a joint; `letters` (parts,): lands left alone as lettering; `level` (m,): vertices between facing walls;
    `fed`: where strokes run into wider ground.
    """

    least_mm: float
    vertex_mm: Floats
    root: Ints
    rib: Bools
    straight: Bools
    letters: Bools
    level: Bools
    fed: Fed

    def at(self, axis: Axis, row: Ints, share: Floats) -> Floats:
        """Want at points along rows of the ink [mm]."""
        low, high = self.vertex_mm[axis.low[row]], self.vertex_mm[axis.high[row]]
        want = np.asarray(low + share * (high - low))
        some = np.flatnonzero(self.straight[row])
        row = row[some]
        radius = radius_along(axis, row, share[some])
        lacks = np.maximum(self._full_mm(axis, row, radius) - radius, 0.0)
        lacks[self.letters[axis.part[row]]] = 0.0
        want[some] = lacks
        return want

    def until(self, axis: Axis, row: Ints) -> Floats:
        """Share of rows of the ink at which nothing is wanting any more; 1 where something is up to the high end."""
        low, high = axis.low_mm[row], axis.high_mm[row]
        rise, lacks = high - low, self._full_mm(axis, row, low) - low
        met = self.straight[row] & (axis.kind[row] == WALLS) & (rise > lacks)
        return np.divide(np.maximum(lacks, 0.0), rise, out=np.ones(len(row)), where=met)

    def _full_mm(self, axis: Axis, row: Ints, radius_mm: Floats) -> Floats:
        """Radius from which nothing is wanting, about points of rows of the ink with these radii."""
        # walls that lean by half the angle short of 180° stand nearer across the axis than their feet lie from it
        across = np.sin(np.radians(axis.separation_high_deg[row] / 2))
        bent = np.flatnonzero(axis.kind[row] != WALLS)
        kind, gauge, radius = axis.kind[row[bent]], axis.gauge_mm[row[bent]], radius_mm[bent]
        gauge = np.divide(gauge, radius, out=np.zeros(len(bent)), where=radius > 0)
        across[bent] = np.where(kind == VERTICES, gauge, np.sqrt(gauge / 2))
        return np.asarray(self.least_mm / 2 / np.clip(across, 0.9, 1.0))


def wants_of(axis: Axis, least_mm: float) -> Wants:
    """What the lands of an axis lack to be `least_mm` wide."""
    axis, stands = tied(axis, crumbs(axis))
    radius, low, high, ink = axis.radius_mm, axis.low, axis.high, axis.in_ink
    rib = ink & (axis.separation_low_deg >= RIB_DEG)
    letters = _letters(axis, rib, least_mm)
    level = np.zeros(len(radius), dtype=bool)
    level[low[rib]] = True
    level[high[ink & (axis.separation_high_deg >= RIB_DEG)]] = True
    want = np.maximum(least_mm / 2 - radius, 0.0)
    want[low[ink & letters[axis.part]]] = 0.0
    want[high[ink & letters[axis.part]]] = 0.0
    top = climbed(axis, ink & ~rib, stays=np.zeros(len(radius), dtype=bool))
    fed = _fed(axis, rib, level, top)
    joint = _joints(axis, fed, level)
    at_joint = joint[fed.top]
    want[joint] = np.inf
    np.minimum.at(want, fed.top[at_joint], want[fed.source[at_joint]])
    # what is wide enough stays, but on the way to a joint, which takes what its strokes want however wide it is
    root = climbed(axis, ink, stays=level | ((radius >= least_mm / 2) & ~joint[top]))
    towards = np.zeros(len(axis.low), dtype=bool)
    towards[fed.row[at_joint & (fed.row >= 0)]] = True
    return Wants(least_mm, want[root][stands], root[stands], rib, rib & ~towards, letters, level[stands], fed)


@dataclass(frozen=True, slots=True)
class Fed:
    """Strokes that run into wider ground: the vertex `source` where facing walls end, the vertex `top` it climbs to.

    `row`: the rib that climbs on by itself, -1 where the walls stop facing each other at the source.
    """

    source: Ints
    top: Ints
    row: Ints


def _fed(axis: Axis, rib: Bools, level: Bools, top: Ints) -> Fed:
    """`top` (m,): where climbing beside ribs leads from each vertex."""
    beside = axis.in_ink & ~rib
    rows = np.flatnonzero(rib & ~level[axis.high])
    rises = np.zeros(len(level), dtype=bool)
    rises[axis.low[beside]] = True
    source = np.flatnonzero(level & rises)
    return Fed(
        source=np.concatenate([axis.low[rows], source]),
        top=np.concatenate([top[axis.high[rows]], top[source]]),
        row=np.concatenate([rows, np.full(len(source), -1)]),
    )


def _joints(axis: Axis, fed: Fed, level: Bools) -> Bools:
    """Vertices, (m,), where strokes meet: two or more climb to it, and it is hardly wider than those."""
    count = len(axis.radius_mm)
    widest = np.zeros(count)
    np.maximum.at(widest, fed.top, axis.radius_mm[fed.source])
    arms = np.bincount(fed.top, minlength=count)
    return np.asarray(~level & (arms >= 2) & (axis.radius_mm <= _JOINT * widest))


def _letters(axis: Axis, rib: Bools, least_mm: float) -> Bools:
    """Parts of the axis, (p,), that are small lands of lines far below the least width."""
    parts = len(axis.part_open)
    thin = np.flatnonzero(rib & (axis.low_mm < least_mm / 2))
    part, length = axis.part[thin], axis.length_mm[thin]
    long = np.bincount(part, length, minlength=parts)
    width = np.bincount(part, length * (axis.low_mm[thin] + axis.high_mm[thin]), minlength=parts)
    widest = np.zeros(parts)
    np.maximum.at(widest, axis.part[axis.in_ink], 2 * axis.high_mm[axis.in_ink])
    mean = np.divide(width, long, out=widest.copy(), where=long > 0)
    of_hairs = (mean < LEFT_SHARE * least_mm) & (widest > 0)
    return of_hairs & _fits(axis, of_hairs, LETTER * least_mm)


def _fits(axis: Axis, asked: Bools, across_mm: float) -> Bools:
    """Which of the parts `asked` (p,) a circle of that diameter holds, however the drawing is turned."""
    out = np.zeros(len(asked), dtype=bool)
    if not asked.any():
        return out
    rows = np.flatnonzero(axis.in_ink & asked[axis.part])
    feet = np.concatenate([axis.feet_low[rows], axis.feet_high[rows]], axis=1).reshape(-1, 2)
    part = np.repeat(axis.part[rows], 4)
    order = np.argsort(part, kind="stable")
    lands, part = np.unique(part, return_inverse=True)
    clouds = shapely.multipoints(shapely.points(feet[order]), indices=part[order])
    out[lands] = 2 * shapely.minimum_bounding_radius(clouds) <= across_mm
    return out
