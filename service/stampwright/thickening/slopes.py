"""Gentle changes along the outline: moves rise and fall by a quarter of the way at most, and run out at tips."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .walls import Samples, Walls

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

SLOPE = 0.25  # rise of a move per length of outline; common practice for tapers that shall not be seen, no source
TIP_SLOPE = 0.25
_FAR_MM = 1e4  # beyond the length of any outline between two corners
_SAME_MM = 1e-3  # nearer than that, two ways are as long
CORNER_DEG = 30.0
"""Turns from which the outline has a corner: moves on its two sides have nothing to do with each other."""


def sloped(walls: Walls, samples: Samples, by_mm: Floats) -> Floats:
    """The largest moves, nowhere above `by_mm` (s,), that rise by `SLOPE` at most between corners."""
    order, middle = _three_times_round(walls, samples)
    way = _way(walls, samples, order, far_mm=2 * float(by_mm.max(initial=0.0)) / SLOPE + 1.0)
    value = by_mm[order]
    forward = np.minimum.accumulate(value - SLOPE * way) + SLOPE * way
    backward = np.minimum.accumulate((value + SLOPE * way)[::-1])[::-1] - SLOPE * way
    out = np.zeros(len(samples))
    out[order[middle]] = np.minimum(forward, backward)[middle]
    return np.maximum(out, 0.0)


def nearest_known(walls: Walls, samples: Samples, value: Floats, *, known: Bools) -> Floats:
    """Give each sample the value (s,) of the nearest `known` one between the same corners, 0 where there is none.

    Where two are as near, the larger: which one comes first on the outline may not matter.
    """
    order, middle = _three_times_round(walls, samples)
    way = _way(walls, samples, order, far_mm=_FAR_MM)
    index, count, some = np.arange(len(order)), len(order), known[order]
    before = np.maximum.accumulate(np.where(some, index, -1))
    after = np.minimum.accumulate(np.where(some, index, count)[::-1])[::-1]
    found, away = [], []
    for other, there in ((before, before >= 0), (after, after < count)):
        at = np.clip(other, 0, count - 1)
        gap = np.where(there, np.abs(way - way[at]), _FAR_MM)
        away.append(gap[middle])
        found.append(np.where(gap < _FAR_MM, value[order[at]], 0.0)[middle])
    level = np.abs(away[0] - away[1]) < _SAME_MM
    out = np.zeros(len(samples))
    out[order[middle]] = np.where(level, np.maximum(*found), np.where(away[0] < away[1], *found))
    return out


def _three_times_round(walls: Walls, samples: Samples) -> tuple[Ints, Ints]:
    """Order of the samples with each ring gone round three times, and where its middle round is."""
    start = np.searchsorted(samples.wall, walls.first)
    many = np.diff(np.append(start, len(samples)))
    place = np.repeat(start, 3 * many) + _counted(3 * many) % np.repeat(many, 3 * many)
    turn = _counted(3 * many) // np.repeat(many, 3 * many)
    return place, np.flatnonzero(turn == 1)


def _counted(many: Ints) -> Ints:
    """0, 1, ... for each of the groups of so `many`."""
    return np.asarray(np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many))


def _way(walls: Walls, samples: Samples, order: Ints, *, far_mm: float) -> Floats:
    """Length along the outline to each sample in `order`; `far_mm` more at each corner and between rings."""
    wall = samples.wall[order]
    same = wall[1:] == wall[:-1]
    on = walls.next[wall[:-1]] == wall[1:]
    sharp = np.abs(walls.turn_deg[wall[:-1]]) > CORNER_DEG
    step = np.where(same, samples.from_start_mm[order][1:] - samples.from_start_mm[order][:-1], 0.0)
    # a ring of a single wall does not exist, so going back on the same wall cannot happen
    step = np.where(same, step, np.where(on & ~sharp, 0.0, far_mm))
    return np.concatenate([[0.0], np.cumsum(step)])


def tapered(walls: Walls, samples: Samples, tips: Floats) -> Floats:
    """The most each sample may move, (s,), on the way to the nearest of the `tips` (positions) of its ring [mm]."""
    if not len(tips):
        return np.full(len(samples), np.inf)
    round_mm, from_first = _rings(walls)
    base = np.concatenate([[0.0], np.cumsum(4 * round_mm)[:-1]])
    ring = walls.axis.ring - walls.axis.ring[0]
    wall = np.searchsorted(walls.base, tips + 1e-6, side="right") - 1
    tip = from_first[wall] + np.clip(tips - walls.base[wall], 0.0, walls.length_mm[wall])
    copies = np.sort(np.concatenate([base[ring[wall]] + k * round_mm[ring[wall]] + tip for k in (0, 1, 2)]))
    own = ring[samples.wall]
    here = base[own] + round_mm[own] + from_first[samples.wall] + samples.from_start_mm
    nth = np.searchsorted(copies, here)
    before = here - copies[np.maximum(nth - 1, 0)]
    after = copies[np.minimum(nth, len(copies) - 1)] - here
    away = np.minimum(np.where(nth > 0, before, np.inf), np.where(nth < len(copies), after, np.inf))
    has = np.isin(own, ring[wall])
    return np.where(has, TIP_SLOPE * away, np.inf)


def _rings(walls: Walls) -> tuple[Floats, Floats]:
    """Length of each ring, and from its first wall's start to the start of each wall [mm]."""
    total = np.concatenate([[0.0], np.cumsum(walls.length_mm)])
    many = np.diff(np.append(walls.first, len(walls.length_mm)))
    round_mm = total[walls.first + many] - total[walls.first]
    return round_mm, total[:-1] - np.repeat(total[walls.first], many)
