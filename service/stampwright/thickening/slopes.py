"""Gentle changes along the outline: moves rise and fall by a quarter of the way at most, and run out at tips."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import counted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .walls import Samples, Walls

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

SLOPE = 0.25  # rise of a move per length of outline; common practice for tapers that shall not be seen, no source
LEAD = (math.hypot(1.0, SLOPE) - 1.0) / SLOPE
"""Of the least width, by so much of the way one wall goes ahead of the other where growing goes over from one side of a
land to the other. There both lean by the slope and stand nearer across than along their normals: by 3 % of the width
if neither went ahead, by nothing if one does."""

TIP_SLOPE = 0.25
_APART = 2.5  # of the least width: over so much of the way a move may fall from half of that to nothing, and more
_FAR_MM = 1e4  # beyond the length of any outline between two corners
_SAME_MM = 1e-3  # nearer than that, two ways are as long
SMOOTH_DEG, CORNER_DEG = 26.0, 34.0
"""Turns up to which moves on both sides are one, and from which they have nothing to do with each other, at corners.
Between them it is as if so much more of the outline lay there; regular flattening gives turns of 30°."""


class Round:
    """The samples of a drawing in the order of the outline, each ring gone round three times, so that it has no seam.

    `way` is the length along the outline, with `_FAR_MM` more at each corner and between rings: nothing that is
    weighed by its distance reaches past either. What is nearly a corner has some least widths more.
    """

    def __init__(self, walls: Walls, samples: Samples, *, least_mm: float) -> None:
        start = samples.first[walls.first]
        many = np.diff(np.append(start, len(samples)))
        ring_many = np.repeat(many, 3 * many)
        nth = counted(3 * many)
        self.order: Ints = np.repeat(start, 3 * many) + nth % ring_many
        self.middle: Ints = np.flatnonzero(nth // ring_many == 1)
        wall = samples.wall[self.order]
        before, after = wall[:-1], wall[1:]
        share = np.clip((np.abs(walls.turn_deg) - SMOOTH_DEG) / (CORNER_DEG - SMOOTH_DEG), 0.0, 1.0)
        more_mm = np.where(share < 1, _APART * least_mm * share, _FAR_MM)
        step = np.where(walls.next[before] == after, more_mm[before], _FAR_MM)
        along = samples.from_start_mm[self.order]
        self.way: Floats = np.append(0.0, np.cumsum(np.where(before == after, along[1:] - along[:-1], step)))

    def back(self, value: Floats) -> Floats:
        """Values (s,) of the samples from those of the three rounds."""
        out = np.zeros(len(self.middle))
        out[self.order[self.middle]] = value[self.middle]
        return out

    def sloped(self, by_mm: Floats) -> Floats:
        """The largest moves, nowhere above `by_mm` (s,), that rise by `SLOPE` at most between corners."""
        value, rise = by_mm[self.order], SLOPE * self.way
        forward = np.minimum.accumulate(value - rise) + rise
        backward = np.minimum.accumulate((value + rise)[::-1])[::-1] - rise
        return np.maximum(self.back(np.minimum(forward, backward)), 0.0)

    def largest(self, value: Floats, *, within_mm: float) -> Floats:
        """The largest of the values (s,) on so much of the way to either side, between corners."""
        known, ends = np.append(value[self.order], 0.0), (self.way - within_mm, self.way + within_mm)
        window = np.column_stack([np.searchsorted(self.way, ends[0]), np.searchsorted(self.way, ends[1], side="right")])
        within = np.maximum.reduceat(known, window.ravel())[::2]
        at_ends = (np.interp(end, self.way, known[:-1]) for end in ends)
        return self.back(np.maximum(within, np.maximum(*at_ends)))

    def falling(self, peak_mm: Floats) -> Floats:
        """The least moves, nowhere below `peak_mm` (s,), that fall off by `SLOPE` from each peak between corners."""
        value, rise = peak_mm[self.order], SLOPE * self.way
        forward = np.maximum.accumulate(value + rise) - rise
        backward = np.maximum.accumulate((value - rise)[::-1])[::-1] + rise
        return np.maximum(self.back(np.maximum(forward, backward)), 0.0)

    def nearest_known(self, value: Floats, *, known: Bools) -> Floats:
        """Give each sample the value (s,) of the nearest `known` one between the same corners, 0 without one.

        Where two are as near, the larger: which one comes first on the outline may not matter.
        """
        if known.all():
            return value
        index, count, some = np.arange(len(self.order)), len(self.order), known[self.order]
        before = np.maximum.accumulate(np.where(some, index, -1))
        after = np.minimum.accumulate(np.where(some, index, count)[::-1])[::-1]
        found, away = [], []
        for other, there in ((before, before >= 0), (after, after < count)):
            at = np.clip(other, 0, count - 1)
            gap = np.where(there, np.abs(self.way - self.way[at]), _FAR_MM)
            away.append(gap)
            found.append(np.where(gap < _FAR_MM, value[self.order[at]], 0.0))
        level = np.abs(away[0] - away[1]) < _SAME_MM
        return self.back(np.where(level, np.maximum(*found), np.where(away[0] < away[1], *found)))


def tapered(walls: Walls, samples: Samples, tips: Floats, spare_mm: Floats) -> Floats:
    """The most each sample may move, (s,), on the way to `tips` (t) of its ring, which may move by `spare_mm` [mm].

    Tips are given as positions.
    """
    if not len(tips):
        return np.full(len(samples), np.inf)
    round_mm, from_first = _rings(walls)
    base = np.concatenate([[0.0], np.cumsum(4 * round_mm + _FAR_MM)[:-1]])  # no other ring has a say
    ring = walls.axis.ring - walls.axis.ring[0]
    wall = np.searchsorted(walls.base, tips + 1e-6, side="right") - 1
    tip = base[ring[wall]] + from_first[wall] + np.clip(tips - walls.base[wall], 0.0, walls.length_mm[wall])
    copies = np.concatenate([tip + k * round_mm[ring[wall]] for k in (0, 1, 2)])
    order = np.argsort(copies, kind="stable")
    copies, spare = copies[order], np.tile(spare_mm, 3)[order]
    own = ring[samples.wall]
    here = base[own] + round_mm[own] + from_first[samples.wall] + samples.from_start_mm
    nth = np.searchsorted(copies, here)
    before = _least(spare - TIP_SLOPE * copies)
    after = len(copies) - 1 - _least((spare + TIP_SLOPE * copies)[::-1])[::-1]
    least = np.full(len(samples), np.inf)
    for some, which in ((nth > 0, before[nth - 1]), (nth < len(copies), after[np.minimum(nth, len(copies) - 1)])):
        by = spare[which] + TIP_SLOPE * np.abs(here - copies[which])
        least = np.where(some, np.minimum(least, by), least)
    return np.where(np.isin(own, ring[wall]), least, np.inf)


def _least(of: Floats) -> Ints:
    """The place of the least so far, the latest of equal ones, (n,)."""
    return np.maximum.accumulate(np.where(of == np.minimum.accumulate(of), np.arange(len(of)), 0))


def _rings(walls: Walls) -> tuple[Floats, Floats]:
    """Length of each ring, and from its first wall's start to the start of each wall [mm]."""
    total = np.concatenate([[0.0], np.cumsum(walls.length_mm)])
    round_mm = total[walls.first + walls.many] - total[walls.first]
    return round_mm, total[:-1] - np.repeat(total[walls.first], walls.many)
